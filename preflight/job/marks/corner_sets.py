"""Equal small dark shapes that stand alone near the corners of a page's content. Knows what names made of things, and no rule.

Boxes are sifted as arrays first: only the few things nearest to each corner are looked at one by one, however many a sheet holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property

import msgspec
import numpy as np
import shapely

from preflight.artwork import Artwork, Kind
from preflight.geometry.clusters import linked
from preflight.geometry.extents import object_boxes
from preflight.geometry.outlines import Floats, Integers
from preflight.job.marks.page_frames import CORNERS, ZONE, Frame, frames
from preflight.job.marks.shapes import Form, MarkShape, form_of, half_stroke
from preflight.job.marks.surroundings import Surroundings, shows_ink
from preflight.job.printing.paint_lightness import lightness
from preflight.job.roles import Assignment, Role, Route

__all__ = ["LEAST_IN_SET", "MOST_SIZE", "CornerSet", "corner_sets", "small"]

LEAST_IN_SET = 3
"""Marks that make a set; one of four may have been lost."""

MOST_SIZE = 15.0
"""mm. Marks are small; larger things of one size near the corners are more likely stickers."""

_LEAST_SIZE = 1.0
"""mm. Nothing reads a smaller one."""

_MOST_SEGMENTS = 32
"""Of one object. Marks are plain shapes."""

_MOST_PARTS = 8
"""Objects that one mark is made of."""

_LOOKED_AT = 48
"""Things nearest to each corner that are looked at one by one: crop marks and colour patches may lie farther out."""

_LIGHTEST = 60.0
"""L*. Lighter things are taken for art: a mark is to stand out from the paper."""

_TRIED = 4
"""Equal shapes near one corner, from the outermost on, of which one must stand free."""

_SAME_SIZE = 0.1
"""mm. Marks of one set are drawn alike."""

_MOST_LOOSE = 64
"""Things like the marks elsewhere on the sheet, outside all pieces, beyond which they are taken for a pattern."""

_LEAST_STEP = 150.0
"""mm between marks along the sides of a long sheet: nearer ones are a border or a table."""

_STRAIGHT = 5.0
"""mm that a mark along a side may stand off it."""


class CornerSet(msgspec.Struct, frozen=True):
    """Marks of one shape: the objects of each, those along the sides last, which are ``between`` many.

    ``equal`` says whether all are of one size: one may differ.
    """

    shape: MarkShape
    marks: tuple[tuple[int, ...], ...]
    between: int
    equal: bool


class _Candidate(msgspec.Struct, frozen=True, eq=False):
    """Objects that may be a mark; ``place`` (2,) is its centre in the frame in which corners are judged."""

    objects: tuple[int, ...]
    form: Form
    place: Floats


def small(boxes: Floats) -> Integers:
    """Objects no larger than a mark, by their (o, 4) boxes."""
    with np.errstate(invalid="ignore"):
        sides = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
        return np.flatnonzero((sides >= _LEAST_SIZE) & (sides <= MOST_SIZE))


def corner_sets(
    artwork: Artwork, boxes: Floats, assignments: Sequence[Assignment], around: Surroundings
) -> list[CornerSet]:
    """The sets of marks that their shape tells of.

    Parameters
    ----------
    boxes : (o, 4) mm, of the curves of each object.
    assignments : what names make of each object; only what they leave open is looked at.
    """
    outlines = artwork.outlines
    parts = small(boxes)
    segments = np.diff(outlines.contour_offsets[outlines.object_offsets])
    parts = parts[segments[parts] <= _MOST_SEGMENTS]
    if len(parts) < LEAST_IN_SET:
        return []
    search = _Search(artwork, boxes, assignments, around, parts, segments)
    for frame in frames(artwork, boxes, search.middles):
        found = list(search.sets(frame))
        if found:
            return found
    return []


class _Search:
    def __init__(
        self,
        artwork: Artwork,
        boxes: Floats,
        assignments: Sequence[Assignment],
        around: Surroundings,
        parts: Integers,
        segments: Integers,
    ) -> None:
        self._artwork = artwork
        self._boxes = boxes
        self._assignments = assignments
        self._around = around
        self._parts = parts
        self.middles = (boxes[parts, :2] + boxes[parts, 2:]) / 2
        self._segments = segments

    def sets(self, frame: Frame) -> Iterator[CornerSet]:
        """Sets of marks whose corners are those of the frame."""
        places = self.middles @ frame.turn
        zones = [self._parts[frame.nearest(places, sides, _LOOKED_AT)] for sides in CORNERS]
        if sum(len(zone) > 0 for zone in zones) < LEAST_IN_SET:
            return
        chosen = sorted({index for zone in zones for index in zone.tolist() if self._may_be_mark(index)})
        by_class: list[list[_Candidate]] = []
        for candidate in self._candidates(chosen, frame):
            for one in by_class:
                if _alike(one[0], candidate):
                    one.append(candidate)
                    break
            else:
                by_class.append([candidate])
        for alike in by_class:
            others = [one for kind in by_class if kind is not alike for one in kind]
            found = self._set(alike, others, frame)
            if found is not None:
                yield found

    def _may_be_mark(self, index: int) -> bool:
        """Whether an object is an unnamed dark path, drawn whole."""
        drawn = self._artwork.objects[index]
        if self._assignments[index].route is not Route.NONE or drawn.kind is not Kind.PATH:
            return False
        if not self._artwork.prints(drawn):
            return False
        light = lightness(drawn)
        if light is None or light > _LIGHTEST:
            return False
        if drawn.clip is not None:
            clip = object_boxes(self._artwork.clips[drawn.clip])
            box = self._boxes[index]
            return bool((clip[:, :2] <= box[:2]).all() and (clip[:, 2:] >= box[2:]).all())
        return True

    def _candidates(self, chosen: Sequence[int], frame: Frame) -> Iterator[_Candidate]:
        """The shapes that some objects make, those that overlap together."""
        for group in self._grouped(chosen):
            form = form_of(self._artwork, group) if len(group) <= _MOST_PARTS else None
            if form is not None:
                yield _Candidate(group, form, np.array(form.centre) @ frame.turn)

    def _grouped(self, chosen: Sequence[int]) -> list[tuple[int, ...]]:
        """Objects whose boxes, strokes included, overlap or touch, together."""
        if not len(chosen):
            return []
        half = [max(half_stroke(self._artwork.objects[index]), 0.01) for index in chosen]
        boxes = self._boxes[list(chosen)] + np.array(half)[:, None] * (-1, -1, 1, 1)
        first, second = np.nonzero(
            (boxes[:, None, :2] <= boxes[None, :, 2:]).all(axis=2)
            & (boxes[None, :, :2] <= boxes[:, None, 2:]).all(axis=2)
        )
        labels = linked(len(chosen), first, second)
        groups: dict[int, list[int]] = {}
        for index, label in zip(chosen, labels.tolist(), strict=True):
            groups.setdefault(label, []).append(index)
        return [tuple(group) for group in groups.values()]

    def _set(self, alike: list[_Candidate], others: list[_Candidate], frame: Frame) -> CornerSet | None:
        """The set that equal shapes make, or None where they are none."""
        near = [self._nearest(alike, sides, frame) for sides in CORNERS]
        if sum(len(own) > 0 for own in near) < LEAST_IN_SET or self._is_pattern(alike[0]):
            return None
        at: dict[int, _Candidate] = {}
        for number, sides in enumerate(CORNERS):
            found = self._standing_free(near[number], sides, frame)
            if found is not None:
                at[number] = found
        if len(at) < LEAST_IN_SET:
            return None
        if len(at) == LEAST_IN_SET:
            odd = self._odd_one(at, others, frame)
            if odd is not None:
                at[next(iter(set(range(4)) - set(at)))] = odd
        marks = [at[number] for number in sorted(at)]
        loose = self._loose(marks, frame)
        if loose is None:
            return None
        between = _between(at, loose)
        if len(between) < len(loose):
            return None
        every = (*(mark.objects for mark in marks), *(mark.objects for mark in between))
        if not self._anything_else({index for objects in every for index in objects}):
            return None
        equal = all(_alike(marks[0], mark) for mark in marks)
        return CornerSet(marks[0].form.shape, every, len(between), equal)

    def _nearest(self, alike: Sequence[_Candidate], sides: tuple[int, int], frame: Frame) -> list[_Candidate]:
        """The outermost of equal shapes near a corner, some of them."""
        corner = frame.corner(sides)
        near = [one for one in alike if (np.abs(one.place - corner) <= frame.reach).all()]
        return sorted(near, key=lambda one: math.dist(one.place, corner))[:_TRIED]

    def _standing_free(
        self, near: Sequence[_Candidate], sides: tuple[int, int], frame: Frame
    ) -> _Candidate | None:
        """The first of some shapes that stands free and has nothing but small things beyond it."""
        for one in near:
            if self._around.free(one.objects) and not self._beyond(one, sides, frame):
                return one
        return None

    def _beyond(self, mark: _Candidate, sides: tuple[int, int], frame: Frame) -> bool:
        """Whether art or cuts reach past a mark towards its corner; words and small things do not count."""
        side = np.array(sides)
        for index in frame.beyond(mark.place, sides, MOST_SIZE).tolist():
            drawn, role = self._artwork.objects[index], self._assignments[index].role
            if drawn.kind is Kind.TEXT or role not in (Role.PRINT, Role.CUT) or not drawn.drawn:
                continue
            for part, region in self._around.painted(index):
                if region is None or shapely.is_empty(region) or not (part.lays or role is Role.CUT):
                    continue
                # Boxes of clipped things and of large curves say too much; what is painted is worked out for these few.
                points = shapely.get_coordinates(region) @ frame.turn
                ends = np.where(side < 0, points.min(axis=0), points.max(axis=0))
                if (side * (ends - mark.place) > 0).all():
                    return True
        return False

    def _anything_else(self, marks: set[int]) -> bool:
        """Whether the page shows anything but the marks: there is nothing to mark on one that does not."""
        objects = self._artwork.objects
        return any(index not in marks and shows_ink(drawn) for index, drawn in enumerate(objects))

    def _odd_one(
        self, at: dict[int, _Candidate], others: Sequence[_Candidate], frame: Frame
    ) -> _Candidate | None:
        """A mark of the same shape and another size where the fourth of three is expected."""
        (missing,) = set(range(4)) - set(at)
        one, across, other = (at[(missing + step) % 4].place for step in (1, 2, 3))
        expected = one + other - across
        reach = ZONE / 2 * math.dist(frame.low, frame.high)
        like = next(iter(at.values())).form
        near = [
            mark
            for mark in others
            if mark.form.shape is like.shape
            and 0.5 <= mark.form.size / like.size <= 2.0
            and math.dist(mark.place, expected) <= reach
        ]
        near.sort(key=lambda mark: math.dist(mark.place, expected))
        return next((mark for mark in near if self._around.free(mark.objects)), None)

    def _like(self, model: _Candidate) -> Integers:
        """Rows of the parts drawn as the first part of a shape is."""
        sides = self._sides
        part = int(np.searchsorted(self._parts, model.objects[0]))
        like = (np.abs(sides[0] - sides[0][part]) <= _SAME_SIZE) & (
            np.abs(sides[1] - sides[1][part]) <= _SAME_SIZE
        )
        like &= self._segments[self._parts] == self._segments[model.objects[0]]
        return np.flatnonzero(like)

    def _is_pattern(self, model: _Candidate) -> bool:
        """Whether so many are drawn like a shape and lie in no piece that it is part of a pattern; of very many some are looked at."""
        rows = self._like(model)
        if len(rows) <= _MOST_LOOSE:
            return False
        some = rows[:: -(-len(rows) // (4 * _MOST_LOOSE))]
        loose = ~self._around.in_box_of_piece(self.middles[some])
        return int(np.count_nonzero(loose)) > _MOST_LOOSE

    def _loose(self, marks: Sequence[_Candidate], frame: Frame) -> list[_Candidate] | None:
        """Shapes like the marks elsewhere on the sheet, in no piece and on no art; None where they are too many."""
        model, taken = marks[0], {index for mark in marks for index in mark.objects}
        rows = self._like(model)
        rows = rows[[index not in taken for index in self._parts[rows].tolist()]]
        rows = rows[~self._around.in_box_of_piece(self.middles[rows])]
        if len(rows) > _MOST_LOOSE:
            return None
        indices = [index for index in self._parts[rows].tolist() if self._may_be_mark(index)]
        near: set[int] = set()
        for index in indices:
            x0, y0, x1, y1 = self._boxes[index].tolist()
            others = self._boxes[self._parts]
            meets = (others[:, :2] <= (x1 + 0.1, y1 + 0.1)).all(axis=1)
            meets &= (others[:, 2:] >= (x0 - 0.1, y0 - 0.1)).all(axis=1)
            near.update(one for one in self._parts[meets].tolist() if self._may_be_mark(one))
        found = [one for one in self._candidates(sorted(near - taken), frame) if _alike(one, model)]
        return [one for one in found if self._around.free(one.objects)]

    @cached_property
    def _sides(self) -> tuple[Floats, Floats]:
        """(k,), (k,): the shorter and the longer side of the box of each part."""
        x0, y0, x1, y1 = self._boxes[self._parts].T
        return np.minimum(x1 - x0, y1 - y0), np.maximum(x1 - x0, y1 - y0)


def _alike(one: _Candidate, other: _Candidate) -> bool:
    return one.form.shape is other.form.shape and abs(one.form.size - other.form.size) <= _SAME_SIZE


def _between(at: dict[int, _Candidate], loose: Sequence[_Candidate]) -> list[_Candidate]:
    """Of shapes elsewhere those that stand in pairs, far apart, along two opposite sides of the four in the corners."""
    if len(at) < 4 or not loose:
        return []
    corners = np.array([at[number].place for number in range(4)])
    for first, second in (((0, 3), (1, 2)), ((0, 1), (3, 2))):
        rows = [_along(corners[a], corners[b], loose) for a, b in (first, second)]
        if len(rows[0]) == len(rows[1]) and all(
            abs(a - b) <= _STRAIGHT for (a, _), (b, _) in zip(*rows, strict=True)
        ):
            length = float(np.hypot(*(corners[first[1]] - corners[first[0]])))
            steps = np.diff([0.0, *(along for along, _ in rows[0]), length])
            if len(rows[0]) and steps.min() >= _LEAST_STEP:
                return [one for row in rows for _, one in row]
    return []


def _along(start: Floats, end: Floats, loose: Sequence[_Candidate]) -> list[tuple[float, _Candidate]]:
    """Those on the line between two corners, with how far along it they stand, in order."""
    length = float(np.hypot(*(end - start)))
    direction = (end - start) / length
    found = []
    for one in loose:
        along, aside = (one.place - start) @ np.column_stack([direction, (-direction[1], direction[0])])
        if abs(aside) <= _STRAIGHT and 0 < along < length:
            found.append((float(along), one))
    return sorted(found, key=lambda pair: pair[0])
