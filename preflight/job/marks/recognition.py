"""Marks that no name tells of: by their shape near the corners, or by their place outside the trim box. Knows no rule.

What a name makes something else is never a mark, nor is what lies in a piece that is cut out, on art or beneath it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from preflight.artwork import Artwork, Box, Kind
from preflight.colour.ink_names import ALL
from preflight.geometry.outlines import Flags, Floats
from preflight.job.marks.corner_sets import LEAST_IN_SET, corner_sets, small
from preflight.job.marks.shapes import MarkShape, half_stroke
from preflight.job.marks.surroundings import Surroundings
from preflight.job.naming.assign import UNASSIGNED
from preflight.job.roles import Assignment, Role, Route

__all__ = ["with_marks"]

_NEAR = 0.2
"""Of the trim box's width and height: what lies beyond it no farther from a corner than this is beyond that corner."""

_SAME_SIZE = 0.1
"""mm. Marks of one set are drawn alike."""

_NUMBERS = {3: "three", 4: "four", 6: "six", 8: "eight", 10: "ten"}

_WORDS = {MarkShape.CROSS: "crosses", MarkShape.CORNER: "angles"}
"""Plurals that are not the shape's name and an s."""


def with_marks(
    artwork: Artwork, boxes: Floats, assignments: tuple[Assignment, ...]
) -> tuple[Assignment, ...]:
    """The assignments with the marks that no name tells of.

    Parameters
    ----------
    boxes : (o, 4) mm, of the curves of each object; NaN where it has none.
    assignments : what names make of each object.
    """
    around = Surroundings(artwork, boxes, assignments)
    changed: dict[int, Assignment] = {}
    if any(spot.name == ALL for spot in artwork.spots):
        changed.update(_mistaken(artwork, boxes, assignments, around))
    changed.update(_beyond_trim(artwork, boxes, assignments))
    for found in corner_sets(artwork, boxes, assignments, around):
        count = _NUMBERS.get(len(found.marks), str(len(found.marks)))
        words = _WORDS.get(found.shape, f"{found.shape}s")
        told = f"{count} {'equal ' if found.equal else ''}{words} near the corners" + (
            " and along the sides" if found.between else ""
        )
        mark = Assignment(Role.MARK, None, Route.SHAPE, told)
        for index in (index for objects in found.marks for index in objects):
            changed.setdefault(index, mark)
    if not changed:
        return assignments
    every = list(assignments)
    for index, one in changed.items():
        every[index] = one
    return tuple(every)


def _mistaken(
    artwork: Artwork, boxes: Floats, assignments: Sequence[Assignment], around: Surroundings
) -> Iterator[tuple[int, Assignment]]:
    """Things in the separation All that are no marks: what lies in a piece, and words that are not outside a stated trim box.

    They were meant to be black.
    """
    chosen = np.array(
        [
            index
            for index, one in enumerate(assignments)
            if one.role is Role.MARK and one.route is Route.SPOT and one.named == ALL
        ],
        np.intp,
    )
    chosen = chosen[np.isfinite(boxes[chosen, 0])]
    inside = around.in_pieces((boxes[chosen, :2] + boxes[chosen, 2:]) / 2)
    slug = _outside(boxes[chosen], _trim_of(artwork))
    for index, in_piece, outside in zip(chosen.tolist(), inside.tolist(), slug.tolist(), strict=True):
        if in_piece or (artwork.objects[index].kind is not Kind.PATH and not outside):
            yield index, UNASSIGNED


def _trim_of(artwork: Artwork) -> Box | None:
    """The trim box where the file states one."""
    return artwork.page.boxes["trim"] if "trim" in artwork.page.stated_boxes else None


def _outside(boxes: Floats, trim: Box | None) -> Flags:
    """(k,) whether each of (k, 4) boxes lies wholly outside a trim box; none does where there is none."""
    if trim is None:
        return np.zeros(len(boxes), bool)
    left, top, right, bottom = boxes.T
    return np.asarray((right <= trim[0]) | (left >= trim[2]) | (bottom <= trim[1]) | (top >= trim[3]))


def _beyond_trim(
    artwork: Artwork, boxes: Floats, assignments: Sequence[Assignment]
) -> Iterator[tuple[int, Assignment]]:
    """Small equal things wholly outside a stated trim box, beyond three of its corners or of its sides."""
    trim = _trim_of(artwork)
    if trim is None:
        return
    chosen = small(boxes)
    chosen = chosen[_outside(boxes[chosen], trim)]
    mark = Assignment(Role.MARK, None, Route.PLACE, "outside the trim box, alike beyond its {}")
    groups: dict[tuple[int, ...], list[int]] = {}
    outlines = artwork.outlines
    segments = np.diff(outlines.contour_offsets[outlines.object_offsets])
    for index in chosen.tolist():
        drawn = artwork.objects[index]
        half = half_stroke(drawn)
        box = boxes[index] + half * np.array([-1, -1, 1, 1])
        outside = bool(_outside(box[None], trim)[0])
        if assignments[index].route is Route.NONE and drawn.kind is Kind.PATH and drawn.drawn and outside:
            lengths = sorted((box[2:] - box[:2]).tolist())
            key = (int(segments[index]), *(round(length / _SAME_SIZE) for length in lengths))
            groups.setdefault(key, []).append(index)
    for group in groups.values():
        zones = [_zone((boxes[index, :2] + boxes[index, 2:]) / 2, trim) for index in group]
        corners = {zone for zone in zones if 0 not in zone}
        sides = {zone for zone in zones if 0 in zone}
        for found, where in ((corners, "corners"), (sides, "sides")):
            if len(found) >= LEAST_IN_SET:
                told = Assignment(mark.role, None, mark.route, str(mark.named).format(where))
                yield from ((index, told) for index, zone in zip(group, zones, strict=True) if zone in found)


def _zone(place: Floats, box: Box) -> tuple[int, int]:
    """Column and row of a place among the nine parts of a page round a box: -1, 0 or 1 each."""
    (x, y), (x0, y0, x1, y1) = place.tolist(), box
    dx, dy = _NEAR * (x1 - x0), _NEAR * (y1 - y0)
    return int(x > x1 - dx) - int(x < x0 + dx), int(y > y1 - dy) - int(y < y0 + dy)
