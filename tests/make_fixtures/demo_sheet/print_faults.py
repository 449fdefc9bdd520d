"""Faults of what is printed, planted on the faulty sheet: its distance to cuts and marks, its lettering, lines and pictures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from demo_sheet import palette as ink
from demo_sheet.draft import Draft
from demo_sheet.ferry_stickers import CHOKE
from demo_sheet.season import MARK_CENTRES, MARK_RADIUS, WIDTH, kiss_line
from demo_sheet.shapes import circle, line_between, rectangle, rounded, star
from demo_sheet.sheet import Group, Picture, Sticker, Words, filled, stroked
from demo_sheet.tea_stickers import TAG

ASKED = 3.0
"""mm of bleed, `bleed-short.bleed`."""
SAFE = 2.0
"""mm inside the cut, `art-near-cut.margin`."""
REACHED = 1.5
"""mm that one side's art goes past its cut."""
NEAR_CUT = 0.9
"""mm between a piece's cut and its art."""
BRIDGE = 1.4
"""mm of film between two cuts."""
NEAR_MARK = 3.0
COARSE = 72.0
"""Pixels per inch of the picture that is too coarse."""
THIN = 0.15
"""Points."""
ASTRAY = 3.0
SMALL = 4.0
"""Points that the small print is set in."""
POINT = 25.4 / 72


def _short(draft: Draft) -> None:
    tag = draft.stickers["Salt tag"]
    x, y = 289.0, 201.0
    side = x + TAG[3][0]  # the tag's straight right side
    past, radius = side + REACHED, TAG[3][2]
    shown = Group("Salt tag as placed", (tag.art,), clip=rectangle(x - 30, y - 40, past, y + 40))
    white = rounded(TAG, REACHED - CHOKE).moved(x, y)
    draft.stickers[tag.name] = replace(tag, art=shown, white=white)
    # The art ends on that line from where it meets the outline of the bleed asked for, which is rounded about the same
    # centres as the cut: the upper one 45° below the corner, the lower one square to it.
    upper, lower = y + TAG[3][1] + radius * math.tan(math.pi / 8), y + TAG[4][1] - radius
    rise = math.sqrt((radius + ASKED) ** 2 - (radius + REACHED) ** 2)
    ends = [(past, upper - rise), (past, lower + rise)]
    draft.plant("bleed-short", tag.name, line_between(*ends), measured=REACHED, unit="mm")


def _near(draft: Draft) -> None:
    side, y, radius = 75.5 - 45.5, 174.0 + 8.0, 1.8  # the ferry's straight left side
    middle = side + NEAR_CUT + radius
    draft.more_art.append(filled("Fender", circle(middle, y, radius), ink.CORAL))
    # A chord parts what of the round fender lies within the margin.
    half = math.sqrt(radius**2 - (middle - side - SAFE) ** 2)
    draft.plant(
        "art-near-cut",
        "Ferry",
        [(side, y), (side + NEAR_CUT, y)],
        bounds=(side + NEAR_CUT, y - half, side + SAFE, y + half),
        measured=NEAR_CUT,
        unit="mm",
    )


def _spacing(draft: Draft) -> None:
    x, y, radius = 234.0, 54.5, 4.5
    centres = (x, x + 2 * radius + BRIDGE)
    for name, middle in zip(("Price dot", "Price dot next"), centres, strict=True):
        art = Group(name, (filled(f"{name} star", star(middle, y, 2.2, 1.0, 5), ink.CORAL),))
        draft.stickers[name] = Sticker(name, art, circle(middle, y, radius))
        draft.kiss[name] = kiss_line(name, draft.stickers[name].cut)
    places = [(x + radius, y), (x + radius + BRIDGE, y)]
    draft.plant("cut-spacing", "Price dots", places, measured=BRIDGE, unit="mm")


def _words(draft: Draft) -> None:
    words = Words("Small print", "Ask on board for the winter boats", 232.0, 249.0, SMALL * POINT, ink.NAVY)
    draft.more_art.append(words)
    x0, y0, x1, y1 = words.bounds
    box = rectangle(x0, y0, x1, y1)
    draft.plant("text-live", words.name, box, layer="Print Art")
    draft.plant("text-small", words.name, box, layer="Print Art", measured=SMALL, unit="pt")


def _crowded(draft: Draft) -> None:
    x, y = MARK_CENTRES[3]
    edge, near = y - MARK_RADIUS, y - MARK_RADIUS - NEAR_MARK
    draft.more_art.append(filled("Strayed buoy", circle(x, near - 2.5, 2.5), ink.CORAL))
    places = [(x, edge), (x, near)]
    draft.plant(
        "mark-crowded", "Registration 4", places, layer="Registration Marks", measured=NEAR_MARK, unit="mm"
    )


def _coarse(draft: Draft) -> None:
    width, height = 40 / COARSE * 25.4, 24 / COARSE * 25.4
    draft.more_art.append(Picture("Harbour view", 40.0, 244.0, width, height, 40, 24))
    place = rectangle(40.0, 244.0, 40.0 + width, 244.0 + height)
    draft.plant("image-coarse", "Harbour view", place, layer="Print Art", measured=COARSE, unit="ppi")


def _absent(draft: Draft) -> None:
    draft.more_art.append(Picture("Pier view", 64.0, 244.0, 14.0, 8.0, 280, 160, linked="pier-view.jpg"))
    draft.plant("image-absent", "Pier view", rectangle(64.0, 244.0, 78.0, 252.0), layer="Print Art")


def _thin(draft: Draft) -> None:
    line = line_between((88.0, 248.0), (118.0, 248.0))
    draft.more_art.append(stroked("Horizon", line, ink.NAVY, THIN * POINT, round_ends=False))
    draft.plant("line-thin", "Horizon", line, layer="Print Art", measured=THIN, unit="pt")


def _stray(draft: Draft) -> None:
    buoy = circle(WIDTH + ASTRAY + 4.0, 130.0, 4.0)
    draft.more_art.append(filled("Buoy adrift", buoy, ink.CORAL))
    draft.plant("object-stray", "Buoy adrift", buoy, layer="Print Art", measured=ASTRAY, unit="mm")


PRINT_PLANTS: tuple[Callable[[Draft], None], ...] = (
    _short, _near, _spacing,
    _crowded,
    _words, _absent, _coarse, _thin, _stray,
)  # fmt: skip
