"""The clean sheet: where each sticker stands, the cards they are on, the marks. Knows no file format."""

from __future__ import annotations

from dataclasses import dataclass, field

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet import tea_stickers as tea
from demo_sheet.lettering import line_of_text
from demo_sheet.outline import Path
from demo_sheet.shapes import Corner, circle, rectangle, rounded, wave_band
from demo_sheet.sheet import Group, Layer, Shape, Sheet, Sticker, cut_line, filled, placed, stroked

WIDTH, HEIGHT = 340.0, 264.0
MARK_RADIUS = 3.0
MARK_CENTRES = [(12.0, 12.0), (328.0, 12.0), (12.0, 252.0), (328.0, 252.0)]


@dataclass(frozen=True)
class Card:
    """A piece cut right through: its outline and what is printed on it outside its stickers."""

    name: str
    corners: list[Corner]
    art: tuple[Shape, ...] = field(default=())

    @property
    def cut(self) -> Path:
        """The through cut."""
        return rounded(self.corners)


def _card(x0: float, y0: float, x1: float, y1: float) -> list[Corner]:
    return [(x0, y0, 6), (x1, y0, 6), (x1, y1, 6), (x0, y1, 6)]


def cards() -> list[Card]:
    """The three cards of the sheet."""
    ferry_head = (
        filled("Ferry head", rectangle(18, 18, 172, 43), ink.NAVY),
        filled("Ferry head swell far", wave_band(18, 172, 40.2, 50, 15, 2.4, 4), ink.SEA),
        filled("Ferry head swell near", wave_band(18, 172, 43.4, 50, 19, 2.4), ink.AQUA),
        stroked("Ferry head name", line_of_text("QUILLSAY FERRY", (95, 31.4), 7.2, 2.0), ink.CREAM, 1.4),
        filled("Ferry head stop left", circle(36, 31.4, 1.3), ink.SUN),
        filled("Ferry head stop right", circle(154, 31.4, 1.3), ink.SUN),
    )
    tea_head = (
        filled("Tea head", rectangle(168, 18, 322, 43.5), ink.MOSS),
        filled("Tea head cloth", wave_band(168, 322, 40.4, 50, 7.1, 2.2), ink.BLUSH),
        stroked("Tea head name", line_of_text("THE KETTLE HOUSE", (245, 31.4), 6.4, 1.9), ink.CREAM, 1.25),
        filled("Tea head stop left", circle(186, 31.4, 1.3), ink.BLUSH),
        filled("Tea head stop right", circle(304, 31.4, 1.3), ink.BLUSH),
    )
    return [
        Card("Ferry card", _card(24, 24, 166, 236), ferry_head),
        Card("Tea room card", _card(174, 24, 316, 156), tea_head),
        Card("Jar tag strip", _card(174, 166, 316, 236)),
    ]


def stickers() -> dict[str, Sticker]:
    """Every sticker in its place, by name."""
    places: list[tuple[Sticker, float, float]] = [
        (ferry.life_ring(), 59.0, 84.0),
        (ferry.lighthouse(), 106.0, 92.0),
        (ferry.compass(), 143.5, 73.5),
        (ferry.anchor(), 143.5, 118.0),
        (ferry.gull(), 57.5, 130.0),
        (ferry.ferry(), 75.5, 174.0),
        (ferry.buoy(), 143.5, 171.0),
        (ferry.waves_label(), 71.5, 215.5),
        (ferry.ticket(), 139.5, 215.5),
        (tea.tea_cup(), 213.0, 85.5),
        (tea.tea_badge(), 280.0, 84.0),
        (tea.tea_room_label(), 216.0, 132.0),
        (tea.leaf(), 268.0, 132.0),
        (tea.berry(), 297.0, 132.0),
        (tea.honey(), 201.0, 201.0),
        (tea.jam(), 245.0, 201.0),
        (tea.salt(), 289.0, 201.0),
    ]
    return {sticker.name: placed(sticker, x, y) for sticker, x, y in places}


def print_layer(cards: list[Card], stickers: list[Sticker]) -> Layer:
    """All printed art: the cards' heads, then the stickers."""
    heads = [Group(f"{card.name} art", card.art, clip=_head(card)) for card in cards if card.art]
    return Layer("Print Art", (*heads, *(sticker.art for sticker in stickers)))


def _head(card: Card) -> Path:
    """A card's head reaches past the through cut and ends 24 mm down."""
    (x0, y0, _), (x1, _, _), *_ = card.corners
    over, foot = ferry.BLEED, y0 + 22.5
    return rounded(
        [
            (x0 - over, y0 - over, 6 + over),
            (x1 + over, y0 - over, 6 + over),
            (x1 + over, foot, 0),
            (x0 - over, foot, 0),
        ]
    )


def white_layer(stickers: list[Sticker]) -> Layer:
    """The opaque white printed below the art, so that the set may go on clear film."""
    bases = [
        filled(f"{sticker.name} base", sticker.white, ink.WHITE) for sticker in stickers if sticker.white
    ]
    return Layer("White", tuple(bases))


def mark_layer() -> Layer:
    """Four round marks, one near each corner."""
    marks = [
        filled(f"Registration {i}", circle(x, y, MARK_RADIUS), "#000000")
        for i, (x, y) in enumerate(MARK_CENTRES, 1)
    ]
    return Layer("Registration Marks", tuple(marks))


def kiss_line(name: str, path: Path) -> Shape:
    """One sticker's kiss cut."""
    return cut_line(f"{name} kiss cut", path, ink.KISS_CUT)


def through_layer(cards: list[Card]) -> Layer:
    """The cards' outlines."""
    return Layer(
        "Through Cut", tuple(cut_line(f"{c.name} through cut", c.cut, ink.THROUGH_CUT) for c in cards)
    )


def summer_season() -> Sheet:
    """The clean sheet."""
    every = list(stickers().values())
    return Sheet(
        title="Quillsay Ferry and The Kettle House: summer season sticker sheet",
        about="Seventeen kiss-cut stickers and labels on three cards cut right through. Nothing is wrong with it.",
        width=WIDTH,
        height=HEIGHT,
        swatches=(ink.KISS_CUT, ink.THROUGH_CUT, ink.WHITE),
        layers=(
            white_layer(every),
            print_layer(cards(), every),
            Layer("Kiss Cut", tuple(kiss_line(s.name, s.cut) for s in every)),
            through_layer(cards()),
            mark_layer(),
        ),
    )
