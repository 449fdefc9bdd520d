"""The window films: a page that stands for the roll itself, with marks for the cutter and for the trimmer. Knows no fault."""

from __future__ import annotations

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet import tea_stickers as tea
from demo_sheet.outline import Path, Point, drawn
from demo_sheet.shapes import circle, rectangle
from demo_sheet.sheet import Layer, Shape, Sheet, Sticker, cut_line, enlarged, filled, placed, stroked

WIDTH, HEIGHT = 610.0, 560.0
DOT_RADIUS = 4.0
DOTS: tuple[Point, ...] = ((32.0, 60.0), (578.0, 60.0), (32.0, 500.0), (578.0, 500.0))
CROSS_SIZE = 8.0
CROSSES: tuple[Point, ...] = ((60.0, 60.0), (550.0, 60.0), (60.0, 500.0), (550.0, 500.0))
BAR_TOP = 58.0
"""mm from the leading edge to the bar of colours."""

PROFILE = """\
# The roll that the window films are printed on.
[media]
width = "610 mm"
side_margin = "25 mm"
lead_margin = "50 mm"
tail_margin = "50 mm"

[marks]
quiet_zone = "5 mm"
contrast = 50
"""

_BAR = (ink.NAVY, ink.SEA, ink.AQUA, ink.CORAL, ink.SUN, ink.MOSS, ink.BERRY, ink.COCOA)


def windows() -> dict[str, Sticker]:
    """Every film in its place, by name."""
    places: list[tuple[Sticker, float, float, float]] = [
        (ferry.life_ring(), 2.4, 120.0, 163.0),
        (ferry.lighthouse(), 2.4, 247.0, 188.0),
        (tea.tea_badge(), 2.4, 381.0, 163.0),
        (tea.berry(), 3.0, 505.0, 150.0),
        (ferry.ferry(), 3.0, 196.0, 400.0),
        (ferry.gull(), 3.0, 452.0, 400.0),
        (tea.leaf(), 3.0, 505.0, 256.0),
    ]
    return {one.name: placed(enlarged(one, factor), x, y) for one, factor, x, y in places}


def colour_bar(top: float) -> tuple[Shape, ...]:
    """Fields of the colours in use, for the printer to look at."""
    left = WIDTH / 2 - 7.0 * len(_BAR)
    return tuple(
        filled(
            f"Colour field {number}", rectangle(left + 14 * index, top, left + 14 * index + 14, top + 8), tone
        )
        for index, (number, tone) in enumerate(enumerate(_BAR, 1))
    )


def dot(number: int, centre: Point, radius: float = DOT_RADIUS, tone: str = "#000000") -> Shape:
    """A mark that the cutter reads."""
    return filled(f"Registration dot {number}", circle(*centre, radius), tone)


def cross(number: int, centre: Point) -> Shape:
    """A mark that the trimmer reads."""
    half = CROSS_SIZE / 2
    bars: Path = drawn(f"M{-half} 0 H{half} M0 {-half} V{half}").moved(*centre)
    return stroked(f"Registration cross {number}", bars, "#000000", 0.6, round_ends=False)


def window_sheet(
    title: str, about: str, films: dict[str, Sticker], bar: tuple[Shape, ...], marks: tuple[Shape, ...]
) -> Sheet:
    """Films, bar and marks on a page as wide as the roll."""
    return Sheet(
        title=title,
        about=about,
        width=WIDTH,
        height=HEIGHT,
        swatches=(ink.THROUGH_CUT,),
        layers=(
            Layer("Print Art", (*bar, *(film.art for film in films.values()))),
            Layer(
                "Through Cut",
                tuple(
                    cut_line(f"{name} through cut", film.cut, ink.THROUGH_CUT) for name, film in films.items()
                ),
            ),
            Layer("Registration Marks", marks),
        ),
    )


def window_films() -> Sheet:
    """The clean page."""
    return window_sheet(
        "Quillsay Ferry: films for the saloon windows, on a roll of 610 mm",
        "Seven films cut right through, dots for the cutter and crosses for the trimmer. Nothing is wrong with it.",
        windows(),
        colour_bar(BAR_TOP),
        (
            *(dot(number, centre) for number, centre in enumerate(DOTS, 1)),
            *(cross(number, centre) for number, centre in enumerate(CROSSES, 1)),
        ),
    )


def bow_gull(scale: float) -> Sheet:
    """A gull for the bow, cut from plain film and printed nowhere; ``scale`` is what it is drawn at."""
    gull = enlarged(ferry.gull(), 1.7 * scale)
    width, height = 96.0 * scale, 64.0 * scale
    cut = gull.cut.moved(width / 2 - 1.7 * scale * 1.7, height / 2 + 1.7 * scale * 1.8)
    drawn_at = "at its size" if scale == 1.0 else "at a tenth of its size"
    return Sheet(
        title=f"A gull for the bow, cut from white film, drawn {drawn_at}",
        about="One through cut and no print.",
        width=width,
        height=height,
        swatches=(ink.THROUGH_CUT,),
        layers=(Layer("Through Cut", (cut_line("Bow gull through cut", cut, ink.THROUGH_CUT),)),),
    )
