"""The registration marks of a job: where they stand, what they look like, how light they print. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Kind, Note, NoteKind
from preflight.colour.ink_names import ALL
from preflight.geometry.clusters import linked
from preflight.geometry.outlines import Floats
from preflight.geometry.rectangles import corners_of
from preflight.job.marks.sets import Crowding, Mark, MarkSet
from preflight.job.marks.shapes import Form, MarkShape, extent_along, form_of, half_stroke, painted_region
from preflight.job.objects import JobObject
from preflight.job.printing.paint_lightness import lightness
from preflight.job.roles import Role, Route

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Crowding", "Mark", "MarkSet", "MarkShape", "Marks"]

MOST_SIZE = 50.0
"""mm. Larger things on a layer of marks are frames, bars and lines of text."""

_LEAST_IN_SET = 3
_NEAR = 0.2
"""Of the width and height of all that the page holds: how near to its corner a mark that is read stands."""

_SAME_SIZE = 0.5
"""mm. Marks of a shape of their own are alike if their sizes agree so far."""

_MOST_PARTS = 32
_TOUCH = 0.01
"""mm. Parts of one mark overlap or touch."""


class Marks:
    """Views of the objects of role mark.

    Those known by the separation ``All`` or by their place only, which do not stand near the corners of a rectangle, are the
    printer's own (crop marks, colour patches): they are in ``printers``, and no cutter reads them.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._unknown_colours: list[Mark] = []

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks that are read, set by set."""
        return tuple(mark for one in self.sets for mark in one.marks)

    @cached_property
    def sets(self) -> tuple[MarkSet, ...]:
        """The marks that are read, by shape."""
        return self._found[0]

    @cached_property
    def printers(self) -> tuple[Mark, ...]:
        """Marks that no cutter reads."""
        return self._found[1]

    @cached_property
    def hidden(self) -> tuple[JobObject, ...]:
        """Objects of role mark that do not print: hidden, clipped away, on layers that do not print.

        What only the separation All tells of and a clip takes away is left out: crop marks beyond the crop box, or round a placed file.
        """
        return tuple(
            item
            for item in self._job.of_role(Role.MARK)
            if not self._prints(item) and not (item.object.clipped_away and _nameless(item))
        )

    @property
    def notes(self) -> tuple[Note, ...]:
        """What could not be judged of all that was asked so far."""
        message = "How light a registration mark prints is not known: its paint is no plain colour."
        return tuple(
            Note(NoteKind.NOT_MODELLED, "contrast of a mark", message, mark.items[0].object.origin)
            for mark in self._unknown_colours[:1]
        )

    def contrasts(self, paper: float) -> list[tuple[Mark, float]]:
        """How much darker than the paper each mark prints, by L*; marks of unknown lightness are noted instead."""
        self._unknown_colours = [mark for mark in self.marks if mark.lightness is None]
        return [(mark, paper - mark.lightness) for mark in self.marks if mark.lightness is not None]

    def crowding(self, zone: float) -> list[Crowding]:
        """Per mark the nearest art, and the nearest cut, that come closer to it than a distance (mm)."""
        marks = [mark for mark in self.marks if not shapely.is_empty(mark.region)]
        if not marks:
            return []
        zones = np.array([_grown(mark.region, zone) for mark in marks])
        return [*self._art_near(marks, zones, zone), *self._cuts_near(marks, zones, zone)]

    def _art_near(self, marks: Sequence[Mark], zones: Any, zone: float) -> Iterator[Crowding]:
        visible = self._job.printed.around(zones)  # which notes what may print or not
        for mark, area, ink in zip(marks, zones, visible.ink, strict=True):
            nearest = _nearest(mark, ink, None, area)
            if nearest is not None and nearest.distance < zone:
                yield msgspec.structs.replace(nearest, art=self._printing_at(nearest.points[1]))

    def _printing_at(self, place: tuple[float, float]) -> JobObject | None:
        """The topmost object that leaves ink at a place or ends there."""
        printed, point = self._job.printed, shapely.Point(place)
        rows = np.sort(printed.meeting(np.array([point.buffer(_TOUCH)], dtype=object))[1])
        rows = rows[printed.parts.adds[rows]]
        rows = rows[shapely.dwithin(printed.regions(rows), point, _TOUCH)]
        return self._job.items[int(printed.parts.index[rows[-1]])] if len(rows) else None

    def _cuts_near(self, marks: Sequence[Mark], zones: Any, zone: float) -> Iterator[Crowding]:
        cuts = self._job.cuts
        boxes = cuts.boxes
        for mark, area in zip(marks, zones, strict=True):
            x0, y0, x1, y1 = area.bounds
            near = np.flatnonzero(
                (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
            )
            found = []
            near = near[cuts.outlines.segment_counts[near] > 0]
            for contour, line in zip(near.tolist(), cuts.lines(near), strict=True):
                nearest = _nearest(mark, line, cuts.contours[contour].item, area)
                if nearest is not None and nearest.distance < zone:
                    found.append(nearest)
            if found:
                yield min(found, key=lambda one: one.distance)

    def _prints(self, item: JobObject) -> bool:
        drawn = item.object
        painted = drawn.fill.paints or drawn.stroke.paint.paints or drawn.kind is not Kind.PATH
        return painted and self._job.artwork.prints(drawn)

    @cached_property
    def _found(self) -> tuple[tuple[MarkSet, ...], tuple[Mark, ...]]:
        items = [
            item
            for item in self._job.of_role(Role.MARK)
            if self._prints(item) and item.box is not None and item.object.kind is not Kind.TEXT
        ]
        marks = [self._mark(group) for group in _touching(items)]
        sets, left = [], [mark for mark in marks if mark.size > MOST_SIZE]
        for shape, own in _by_shape([mark for mark in marks if mark.size <= MOST_SIZE]).items():
            corners = corners_of(np.array([mark.centre for mark in own]).reshape(-1, 2))
            if shape is None or (all(_unnamed(mark) for mark in own) and not self._read(shape, own)):
                left += own
            else:
                sets.append(MarkSet(shape, tuple(own), corners))
        return tuple(sets), tuple(left)

    def _read(self, shape: MarkShape, marks: Sequence[Mark]) -> bool:
        """Whether marks that no name tells of are drawn as marks to be read are, one in each of three corners or more."""
        if shape is MarkShape.OTHER:
            return False
        low, high = self._content
        with np.errstate(invalid="ignore", divide="ignore"):
            places = (np.array([mark.centre for mark in marks]) - low) / (high - low)
        near = (np.abs(places - 0.5) >= 0.5 - _NEAR).all(axis=1)
        corners = {(x > 0.5, y > 0.5) for x, y in places[near].tolist()}
        return bool(near.all()) and len(corners) == len(marks) >= _LEAST_IN_SET

    @cached_property
    def _content(self) -> tuple[Floats, Floats]:
        """Least and greatest coordinates of all that the page holds."""
        page = self._job.artwork.page
        boxes = self._job.boxes[np.isfinite(self._job.boxes).all(axis=1)]
        size = np.array([page.width, page.height])
        return np.clip(boxes[:, :2].min(axis=0), 0, size), np.clip(boxes[:, 2:].max(axis=0), 0, size)

    def _mark(self, group: tuple[JobObject, ...]) -> Mark:
        artwork = self._job.artwork
        indices = [item.index for item in group]
        region = painted_region(artwork, indices)
        box = _box_of(group) if shapely.is_empty(region) else region.bounds
        x0, y0, x1, y1 = box
        form = (form_of(artwork, indices) if len(group) <= _MOST_PARTS else None) or Form(
            MarkShape.OTHER, ((x0 + x1) / 2, (y0 + y1) / 2), 0.0
        )
        lights = [lightness(item.object) for item in group]
        known = None if None in lights else max(light for light in lights if light is not None)
        size, ends = extent_along(region, form.along) or (0.0, (form.centre, form.centre))
        return Mark(group, region, (x0, y0, x1, y1), form.centre, form.shape, size, ends, known)


def _touching(items: Sequence[JobObject]) -> list[tuple[JobObject, ...]]:
    """Objects that overlap or touch together, in paint order."""
    boxes = np.array([item.box for item in items]).reshape(-1, 4)
    half = np.array([half_stroke(item.object) for item in items])
    areas = shapely.box(*(boxes + (half[:, None] + _TOUCH) * (-1, -1, 1, 1)).T)
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    groups: dict[int, list[JobObject]] = {}
    for item, label in zip(items, linked(len(items), first, second).tolist(), strict=True):
        groups.setdefault(label, []).append(item)
    return [tuple(group) for group in groups.values()]


def _by_shape(marks: Sequence[Mark]) -> dict[MarkShape | None, list[Mark]]:
    """Marks by shape; under None those that belong to no set.

    Where a known shape is there three times or more, a shape that is there less often is no mark to be read. Where there is
    none, things of one size that are there so often are; else all belong together.
    """
    shapes: dict[MarkShape | None, list[Mark]] = {}
    for mark in marks:
        shapes.setdefault(mark.shape, []).append(mark)
    known = [
        shape for shape, own in shapes.items() if shape is not MarkShape.OTHER and len(own) >= _LEAST_IN_SET
    ]
    if known:
        left = [mark for mark in marks if mark.shape not in known]
        return {**{shape: shapes[shape] for shape in known}, None: left}
    alike = _most_alike(shapes.get(MarkShape.OTHER, []))
    if len(alike) >= _LEAST_IN_SET:
        return {MarkShape.OTHER: alike, None: [mark for mark in marks if mark not in alike]}
    return {marks[0].shape: list(marks)} if marks else {}


def _most_alike(marks: Sequence[Mark]) -> list[Mark]:
    """The most marks that are of one size."""
    if not marks:
        return []
    sizes = np.array([mark.size for mark in marks])
    order = np.argsort(sizes, kind="stable")
    ends = np.searchsorted(sizes[order], sizes[order] + _SAME_SIZE, side="right")
    first = int(np.argmax(ends - np.arange(len(marks))))
    return [marks[row] for row in sorted(order[first : ends[first]].tolist())]


def _unnamed(mark: Mark) -> bool:
    return _nameless(mark.items[0])


def _nameless(item: JobObject) -> bool:
    """Whether only its place, or the separation All, says that it is a mark."""
    assignment = item.assignment
    return assignment.route is Route.PLACE or (assignment.route is Route.SPOT and assignment.named == ALL)


def _nearest(mark: Mark, other: Any, item: JobObject | None, zone: Any) -> Crowding | None:
    if shapely.is_empty(other):
        return None
    line = shapely.shortest_line(mark.region, other)
    (x0, y0), (x1, y1) = shapely.get_coordinates(line).tolist()
    free = shapely.difference(zone, mark.region)
    rings = tuple(shapely.get_coordinates(ring) for ring in shapely.get_rings(free))
    return Crowding(mark, float(shapely.distance(mark.region, other)), ((x0, y0), (x1, y1)), item, rings)


def _grown(region: Any, reach: float) -> Any:
    return shapely.buffer(region, reach + _TOUCH, quad_segs=32)


def _box_of(group: Sequence[JobObject]) -> Box:
    boxes = np.array([item.box for item in group])
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    return x0, y0, x1, y1
