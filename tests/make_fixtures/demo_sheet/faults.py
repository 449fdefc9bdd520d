"""The faulty sheet: the clean one with one fault planted for each rule, and where each is by construction."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet.outline import Contour, Path, Point, bounds, divided, reversed_path
from demo_sheet.season import (
    HEIGHT,
    MARK_CENTRES,
    MARK_RADIUS,
    WIDTH,
    cards,
    kiss_line,
    mark_layer,
    print_layer,
    stickers,
    through_layer,
    white_layer,
)
from demo_sheet.shapes import circle, rectangle, rounded
from demo_sheet.sheet import (
    HAIRLINE,
    Layer,
    Picture,
    Shape,
    Sheet,
    Sticker,
    cut_line,
    filled,
    placed,
    stroked,
)
from demo_sheet.tea_stickers import TAG

GAP = 0.8
COPY_SHIFT = 0.03
SPECK = 1.2
TIGHT_RADIUS = 0.3
PARTS = 32
WIDE = 1.2
LOOP = 2.5
SEAL_RADIUS = 8.0
NEAR_MARK = 3.0
COARSE = 72.0
"""Pixels per inch of the picture that is too coarse."""
THIN = 0.15
"""Points."""
ASTRAY = 3.0
WITHIN = 0.05
"""mm: how near two runs count as shared, `contour-overlap.within`."""


@dataclass(frozen=True)
class Fault:
    """One planted fault: which rule finds it, where, and the value it must report."""

    rule: str
    layer: str
    about: str
    bounds: tuple[float, float, float, float]
    points: tuple[Point, ...] = ()
    measured: float | None = None
    unit: str | None = None

    def plain(self) -> dict[str, object]:
        """For the expectation file; lengths to a tenth of a micrometre."""
        return {
            "rule": self.rule,
            "layer": self.layer,
            "about": self.about,
            "bounds_mm": [round(value, 4) for value in self.bounds],
            "points_mm": [[round(x, 4), round(y, 4)] for x, y in self.points],
            "measured": None if self.measured is None else round(self.measured, 4),
            "unit": self.unit,
        }


@dataclass
class _Draft:
    """The sheet while faults are planted in it."""

    stickers: dict[str, Sticker]
    kiss: dict[str, Shape]
    more_art: list[Shape | Picture]
    more_layers: list[Layer]
    faults: list[Fault]

    def take(self, name: str) -> Path:
        """Take a sticker's kiss cut out of its layer."""
        del self.kiss[name]
        return self.stickers[name].cut

    def clip(self, name: str, past: Path) -> None:
        """Let a sticker's art go as far as a path, so that it bleeds past a cut that was changed."""
        sticker = self.stickers[name]
        self.stickers[name] = replace(sticker, art=replace(sticker.art, clip=past))

    def plant(self, rule: str, about: str, where: Path | Sequence[Point], **more: object) -> None:
        """Note a fault; its bounds are those of a path, or of the places."""
        if isinstance(where, Path):
            box, points = bounds(where), tuple[Point, ...]()
        else:
            xs, ys = [x for x, _ in where], [y for _, y in where]
            box, points = (min(xs), min(ys), max(xs), max(ys)), tuple(where)
        self.faults.append(replace(Fault(rule, "Kiss Cut", about, box, points), **more))  # type: ignore[arg-type]


def faulty() -> tuple[Sheet, list[Fault]]:
    """The sheet and its faults, in the order of the design's table of rules."""
    every = stickers()
    draft = _Draft(every, {name: kiss_line(name, s.cut) for name, s in every.items()}, [], [], [])
    for plant in _PLANTS:
        plant(draft)
    art = print_layer(cards(), list(draft.stickers.values()))
    sheet = Sheet(
        title="Quillsay Ferry and The Kettle House: the summer sheet with every fault of contours and steps, a crowded mark, and art that print cannot use",
        about="One fault is planted for each rule; faulty.expected.json says where and how large it is.",
        width=WIDTH,
        height=HEIGHT,
        swatches=(ink.KISS_CUT, ink.THROUGH_CUT, ink.WHITE),
        layers=(
            white_layer(list(draft.stickers.values())),
            replace(art, items=(*art.items, *draft.more_art)),
            Layer("Kiss Cut", tuple(draft.kiss.values())),
            through_layer(cards()),
            *draft.more_layers,
            mark_layer(),
        ),
    )
    return sheet, draft.faults


def _open(draft: _Draft) -> None:
    (contour,) = draft.stickers["Season label"].cut.contours
    x, y = contour.start  # on the straight left side, where the outline closes
    end = (x, y + GAP)
    draft.kiss["Season label"] = kiss_line("Season label", Path((Contour((x, y), (*contour.segments, end)),)))
    draft.plant("contour-open", "Season label", [(x, y), end], measured=GAP, unit="mm")


def _duplicate(draft: _Draft) -> None:
    # A circle moved by d lies exactly d from itself at the two points in the direction of the move.
    copy = reversed_path(draft.stickers["Life-ring"].cut.turned(90, (59.0, 84.0)).moved(COPY_SHIFT, 0))
    draft.kiss["Life-ring copy"] = kiss_line("Life-ring copy", copy)
    draft.plant("contour-duplicate", "Life-ring", copy, measured=COPY_SHIFT, unit="mm")


def _overlap(draft: _Draft) -> None:
    jam = draft.stickers["Jam tag"]
    honey = placed(draft.stickers["Honey tag"], 8, 0)
    draft.stickers["Honey tag"] = honey
    draft.kiss["Honey tag"] = kiss_line("Honey tag", honey.cut)
    x = bounds(jam.cut)[0]
    middle = 201.0
    # Straight sides run from the end of the upper 45° rounding to the start of the lower 90° one.
    radius = TAG[3][2]
    top = middle + TAG[3][1] + radius * math.tan(math.pi / 8)
    bottom = middle + TAG[4][1] - radius
    # Past them two mirrored arcs part: their points at angle a are radius·(√(5 − 4·cos a) − 1) from the other arc.
    angle = math.acos((5 - (1 + WITHIN / radius) ** 2) / 4)
    over, aside = radius * math.sin(angle), radius * (1 - math.cos(angle))
    draft.faults.append(
        Fault(
            "contour-overlap",
            "Kiss Cut",
            "Honey tag and Jam tag",
            (x - aside, top - over, x, bottom + over),  # the run on the earlier contour, Honey tag's
            ((x - aside, top - over), (x - aside, bottom + over)),
            measured=bottom - top + 2 * radius * angle,
            unit="mm",
        )
    )


def _self_crossing(draft: _Draft) -> None:
    (contour,) = draft.stickers["Tea room label"].cut.contours
    x0, y0, x1, y1 = bounds(draft.stickers["Tea room label"].cut)
    *kept, _corner = contour.segments  # the last is the lower left rounding
    loop = ((x0 - LOOP, y1), (x0 - LOOP, y1 + LOOP), (x0, y1 + LOOP))
    path = Path((Contour(contour.start, (*kept[:-1], *loop), closed=True),))
    draft.kiss["Tea room label"] = kiss_line("Tea room label", path)
    past = LOOP + ferry.BLEED  # the loop bleeds as well: one fault, one finding
    draft.clip("Tea room label", rectangle(x0 - past, y0 - past, x1 + past, y1 + past))
    draft.plant("contour-self-crossing", "Tea room label", [(x0, y1)], measured=1, unit="places")


def _crossing(draft: _Draft) -> None:
    for name, dx, dy in (("Leaf", 6.5, 3.0), ("Strawberry", -6.5, -3.0)):
        draft.stickers[name] = placed(draft.stickers[name], dx, dy)
        draft.kiss[name] = kiss_line(name, draft.stickers[name].cut)
    leaf, fruit = bounds(draft.stickers["Leaf"].cut), bounds(draft.stickers["Strawberry"].cut)
    places = [(fruit[0], leaf[1]), (leaf[2], fruit[3])]  # straight sides, square to each other
    draft.plant("contour-crossing", "Leaf and Strawberry", places, measured=2, unit="places")


def _fragment(draft: _Draft) -> None:
    speck = circle(252.0, 112.0, SPECK / 2)
    draft.kiss["Speck"] = kiss_line("Speck", speck)
    draft.plant("contour-fragment", "Speck", speck, measured=SPECK, unit="mm")


def _tight(draft: _Draft) -> None:
    # A parabola between two sides square to each other, leaving each at distance s from their corner, is most
    # curved at its apex, s/4 from either side, and its radius there is s/√2.
    reach = TIGHT_RADIUS * math.sqrt(2)
    (contour,) = rounded(ferry.ticket_corners(reach)).moved(139.5, 215.5).contours
    (x0, y), (*_, x, y0) = contour.start, contour.segments[0]
    parabola = (x0, y + (y0 - y) * 2 / 3, x + (x0 - x) * 2 / 3, y0, x, y0)
    path = Path((replace(contour, segments=(parabola, *contour.segments[1:])),))
    draft.clip("Ticket", rounded(ferry.ticket_corners(reach), ferry.BLEED).moved(139.5, 215.5))
    draft.kiss["Ticket"] = kiss_line("Ticket", path)
    apex = (x0 + reach / 4, y0 + reach / 4)
    draft.plant("corner-tight", "Ticket", [apex], measured=TIGHT_RADIUS, unit="mm")


def _nodes(draft: _Draft) -> None:
    path = divided(draft.stickers["Compass"].cut, PARTS)
    draft.kiss["Compass"] = kiss_line("Compass", path)
    draft.plant("node-excess", "Compass", path, measured=4 * PARTS, unit="nodes")


def _unnamed(draft: _Draft) -> None:
    path = draft.take("Gull")
    draft.more_layers.append(Layer("Gull Edge", (cut_line("Gull edge", path, "#444444"),)))
    draft.plant("step-unnamed", "Gull", path, layer="Gull Edge", measured=HAIRLINE, unit="mm")


def _misspelt(draft: _Draft) -> None:
    path = draft.take("Anchor")
    draft.more_layers.append(Layer("Kis Cut", (cut_line("Anchor edge", path, "#1f8a8a"),)))
    draft.plant("step-misspelt", "Anchor", path, layer="Kis Cut", measured=1, unit="slips")


def _printed(draft: _Draft) -> None:
    path = draft.take("Bell-buoy")
    draft.more_art.append(cut_line("Bell-buoy edge", path, ink.KISS_CUT.screen))
    draft.plant("step-printed", "Bell-buoy", path, layer="Print Art", measured=HAIRLINE, unit="mm")


def _painted(draft: _Draft) -> None:
    line = draft.kiss["Tea cup"]
    draft.kiss["Tea cup"] = replace(line, stroke_width=WIDE)
    draft.plant("step-painted", "Tea cup", line.path, measured=WIDE, unit="mm")


def _order(draft: _Draft) -> None:
    seal = placed(ferry.pennant_star(), 170, 249.5)
    draft.stickers[seal.name] = seal
    draft.kiss[seal.name] = kiss_line(seal.name, seal.cut)
    # The whole of the circle runs outside.
    draft.plant("step-order", seal.name, seal.cut, measured=math.tau * SEAL_RADIUS, unit="mm")


def _hidden(draft: _Draft) -> None:
    path = draft.take("Lighthouse")
    draft.more_layers.append(Layer("Kiss Cut", (kiss_line("Lighthouse", path),), hidden=True))
    draft.plant("step-hidden", "Lighthouse", path)


def _crowded(draft: _Draft) -> None:
    x, y = MARK_CENTRES[3]
    edge, near = y - MARK_RADIUS, y - MARK_RADIUS - NEAR_MARK
    draft.more_art.append(filled("Strayed buoy", circle(x, near - 2.5, 2.5), ink.CORAL))
    places = [(x, edge), (x, near)]
    draft.plant(
        "mark-crowded", "Registration 4", places, layer="Registration Marks", measured=NEAR_MARK, unit="mm"
    )


def _coarse(draft: _Draft) -> None:
    width, height = 40 / COARSE * 25.4, 24 / COARSE * 25.4
    draft.more_art.append(Picture("Harbour view", 40.0, 244.0, width, height, 40, 24))
    place = rectangle(40.0, 244.0, 40.0 + width, 244.0 + height)
    draft.plant("image-coarse", "Harbour view", place, layer="Print Art", measured=COARSE, unit="ppi")


def _absent(draft: _Draft) -> None:
    draft.more_art.append(Picture("Pier view", 64.0, 244.0, 14.0, 8.0, 280, 160, linked="pier-view.jpg"))
    draft.plant("image-absent", "Pier view", rectangle(64.0, 244.0, 78.0, 252.0), layer="Print Art")


def _thin(draft: _Draft) -> None:
    line = Path((Contour((88.0, 248.0), ((118.0, 248.0),)),))
    draft.more_art.append(stroked("Horizon", line, ink.NAVY, THIN * 25.4 / 72, round_ends=False))
    draft.plant("line-thin", "Horizon", line, layer="Print Art", measured=THIN, unit="pt")


def _stray(draft: _Draft) -> None:
    buoy = circle(WIDTH + ASTRAY + 4.0, 130.0, 4.0)
    draft.more_art.append(filled("Buoy adrift", buoy, ink.CORAL))
    draft.plant("object-stray", "Buoy adrift", buoy, layer="Print Art", measured=ASTRAY, unit="mm")


_PLANTS: tuple[Callable[[_Draft], None], ...] = (
    _open, _duplicate, _overlap, _self_crossing, _crossing, _fragment, _tight, _nodes,
    _unnamed, _misspelt, _printed, _painted, _order, _hidden,
    _crowded,
    _absent, _coarse, _thin, _stray,
)  # fmt: skip


def no_cut_line() -> Sheet:
    """A sheet nobody drew a cut line for: the one fault of steps that shuts the others out."""
    seal = placed(ferry.pennant_star(), 20, 20)
    return Sheet(
        title="An envelope seal without any cut line",
        about="Art only: the step the shop expects is missing.",
        width=40,
        height=40,
        layers=(Layer("Print Art", (seal.art,)),),
    )
