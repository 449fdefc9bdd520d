"""The faulty sheet: the clean one with one fault planted for each rule, and where each is by construction."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet.draft import Draft, Fault
from demo_sheet.outline import Contour, Path, bounds, divided, reversed_path
from demo_sheet.print_faults import PRINT_PLANTS
from demo_sheet.season import (
    HEIGHT,
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
    Sheet,
    cut_line,
    placed,
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
WITHIN = 0.05
"""mm: how near two runs count as shared, `contour-overlap.within`."""


def faulty() -> tuple[Sheet, list[Fault]]:
    """The sheet and its faults, in the order of the design's table of rules."""
    every = stickers()
    draft = Draft(every, {name: kiss_line(name, s.cut) for name, s in every.items()}, [], [], [])
    for plant in _PLANTS:
        plant(draft)
    art = print_layer(cards(), list(draft.stickers.values()))
    sheet = Sheet(
        title="Quillsay Ferry and The Kettle House: the summer sheet with a fault of each kind of contour, step, distance and content, and a crowded mark",
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


def _open(draft: Draft) -> None:
    (contour,) = draft.stickers["Season label"].cut.contours
    x, y = contour.start  # on the straight left side, where the outline closes
    end = (x, y + GAP)
    draft.kiss["Season label"] = kiss_line("Season label", Path((Contour((x, y), (*contour.segments, end)),)))
    draft.plant("contour-open", "Season label", [(x, y), end], measured=GAP, unit="mm")


def _duplicate(draft: Draft) -> None:
    # A circle moved by d lies exactly d from itself at the two points in the direction of the move.
    copy = reversed_path(draft.stickers["Life-ring"].cut.turned(90, (59.0, 84.0)).moved(COPY_SHIFT, 0))
    draft.kiss["Life-ring copy"] = kiss_line("Life-ring copy", copy)
    draft.plant("contour-duplicate", "Life-ring", copy, measured=COPY_SHIFT, unit="mm")


def _overlap(draft: Draft) -> None:
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


def _self_crossing(draft: Draft) -> None:
    (contour,) = draft.stickers["Tea room label"].cut.contours
    x0, y0, x1, y1 = bounds(draft.stickers["Tea room label"].cut)
    *kept, _corner = contour.segments  # the last is the lower left rounding
    loop = ((x0 - LOOP, y1), (x0 - LOOP, y1 + LOOP), (x0, y1 + LOOP))
    path = Path((Contour(contour.start, (*kept[:-1], *loop), closed=True),))
    draft.kiss["Tea room label"] = kiss_line("Tea room label", path)
    past = LOOP + ferry.BLEED  # the loop bleeds as well: one fault, one finding
    draft.clip("Tea room label", rectangle(x0 - past, y0 - past, x1 + past, y1 + past))
    draft.plant("contour-self-crossing", "Tea room label", [(x0, y1)], measured=1, unit="places")


def _crossing(draft: Draft) -> None:
    for name, dx, dy in (("Leaf", 6.5, 3.0), ("Strawberry", -6.5, -3.0)):
        draft.stickers[name] = placed(draft.stickers[name], dx, dy)
        draft.kiss[name] = kiss_line(name, draft.stickers[name].cut)
    leaf, fruit = bounds(draft.stickers["Leaf"].cut), bounds(draft.stickers["Strawberry"].cut)
    places = [(fruit[0], leaf[1]), (leaf[2], fruit[3])]  # straight sides, square to each other
    draft.plant("contour-crossing", "Leaf and Strawberry", places, measured=2, unit="places")


def _fragment(draft: Draft) -> None:
    speck = circle(252.0, 112.0, SPECK / 2)
    draft.kiss["Speck"] = kiss_line("Speck", speck)
    draft.plant("contour-fragment", "Speck", speck, measured=SPECK, unit="mm")


def _tight(draft: Draft) -> None:
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


def _nodes(draft: Draft) -> None:
    path = divided(draft.stickers["Compass"].cut, PARTS)
    draft.kiss["Compass"] = kiss_line("Compass", path)
    draft.plant("node-excess", "Compass", path, measured=4 * PARTS, unit="nodes")


def _unnamed(draft: Draft) -> None:
    path = draft.take("Gull")
    draft.more_layers.append(Layer("Gull Edge", (cut_line("Gull edge", path, "#444444"),)))
    draft.plant("step-unnamed", "Gull", path, layer="Gull Edge", measured=HAIRLINE, unit="mm")


def _misspelt(draft: Draft) -> None:
    path = draft.take("Anchor")
    draft.more_layers.append(Layer("Kis Cut", (cut_line("Anchor edge", path, "#1f8a8a"),)))
    draft.plant("step-misspelt", "Anchor", path, layer="Kis Cut", measured=1, unit="slips")


def _printed(draft: Draft) -> None:
    path = draft.take("Bell-buoy")
    draft.more_art.append(cut_line("Bell-buoy edge", path, ink.KISS_CUT.screen))
    draft.plant("step-printed", "Bell-buoy", path, layer="Print Art", measured=HAIRLINE, unit="mm")


def _painted(draft: Draft) -> None:
    line = draft.kiss["Tea cup"]
    draft.kiss["Tea cup"] = replace(line, stroke_width=WIDE)
    draft.plant("step-painted", "Tea cup", line.path, measured=WIDE, unit="mm")


def _order(draft: Draft) -> None:
    seal = placed(ferry.pennant_star(), 170, 249.5)
    draft.stickers[seal.name] = seal
    draft.kiss[seal.name] = kiss_line(seal.name, seal.cut)
    # The whole of the circle runs outside.
    draft.plant("step-order", seal.name, seal.cut, measured=math.tau * SEAL_RADIUS, unit="mm")


def _hidden(draft: Draft) -> None:
    path = draft.take("Lighthouse")
    draft.more_layers.append(Layer("Kiss Cut", (kiss_line("Lighthouse", path),), hidden=True))
    draft.plant("step-hidden", "Lighthouse", path)


_PLANTS: tuple[Callable[[Draft], None], ...] = (
    _open, _duplicate, _overlap, _self_crossing, _crossing, _fragment, _tight, _nodes,
    _unnamed, _misspelt, _printed, _painted, _order, _hidden,
    *PRINT_PLANTS,
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
