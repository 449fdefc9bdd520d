"""How far what prints, cuts or marks reaches, in the page as drawn or turned. Knows no limit and no rule."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Kind
from preflight.geometry.extents import object_boxes
from preflight.geometry.flatten import flatten
from preflight.geometry.outermost import outermost
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.transform import apply
from preflight.job.objects import JobObject
from preflight.job.printing.painted_regions import Painted, painted_regions
from preflight.job.printing.printed import FLATNESS
from preflight.job.remembered import remembered
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Extent", "Reach", "turning"]

_FIRST_MEASURED = 16
"""Things measured together at first, twice as many each time that is not enough."""

_PRINTS_TOO = (Role.MARK, Role.WHITE, Role.VARNISH)
_SIDES = (0, 1, 2, 3)
_SIGNS = np.array([1.0, 1.0, -1.0, -1.0])
"""What each side of a box is multiplied by so that the least value lies farthest out."""


class Reach(msgspec.Struct, frozen=True, eq=False):
    """The box of all that is made, mm, and the object that reaches farthest on each of its sides.

    ``rows`` are the same as `Extent.place` knows them.
    """

    box: Box
    items: tuple[JobObject, JobObject, JobObject, JobObject]
    rows: tuple[int, int, int, int]


class _Things(msgspec.Struct, frozen=True, eq=False):
    """What is made, in the order parts of art, other things that print, cuts.

    ``items`` (k,) their objects, ``boxes`` (k, 4) that hold each, those of what prints cut to the page; ``rows`` of the parts in
    `Printed.parts`; ``regions`` of the others.
    """

    items: Integers
    boxes: Floats
    rows: Integers
    regions: Any


class Extent:
    """Boxes of what is made: art that leaves ink, white and varnish, marks, and cuts, which have no width.

    What would print outside the page is not printed; a cut there is cut all the same.
    """

    def __init__(self, job: Job) -> None:
        self._job = job

    @remembered
    def turned(self, degrees: float) -> Reach | None:
        """Reach in the page turned clockwise about its origin; None where nothing is made."""
        outward = _turned_boxes(self._things.boxes, turning(degrees)) * _SIGNS
        outward[~self._there] = np.inf
        best, winners = np.full(4, np.inf), [-1] * 4
        for side in _SIDES:
            order = np.argsort(outward[:, side], kind="stable")
            # A thing is measured only where it may reach farther than those measured before it.
            begin, together = 0, _FIRST_MEASURED
            while begin < len(order) and outward[order[begin], side] < best[side]:
                rows = order[begin : begin + together]
                exact = self._measured(rows, degrees) * _SIGNS
                for row, values in zip(rows.tolist(), exact, strict=True):
                    for one in _SIDES:
                        if values[one] < best[one]:
                            best[one], winners[one] = values[one], row
                begin, together = begin + together, 2 * together
        if -1 in winners:
            return None
        x0, y0, x1, y1 = (best * _SIGNS).tolist()
        items = [self._job.items[index] for index in self._things.items[winners].tolist()]
        left, top, right, bottom = winners
        return Reach((x0, y0, x1, y1), (items[0], items[1], items[2], items[3]), (left, top, right, bottom))

    def place(self, row: int, side: int) -> tuple[float, float]:
        """Where a thing reaches farthest towards a side of the page as drawn, mm; of a straight side its middle."""
        things = self._things
        if row < len(things.rows):
            shape = self._job.printed.regions(things.rows[[row]])[0]
        elif row < len(things.rows) + len(things.regions):
            shape = things.regions[row - len(things.rows)]
        else:
            return outermost(self._cut(things.items[row]), side)
        return outermost(shapely.intersection(shape, self._page), side)

    def _cut(self, index: int) -> Any:
        """The lines of a cut."""
        chains = flatten(self._job.artwork.outlines.of_objects(np.array([index])), FLATNESS)
        counts = np.diff(chains.offsets)
        many = np.repeat(counts > 1, counts)
        if not many.any():
            return shapely.multipoints(chains.points)
        return shapely.multilinestrings(
            shapely.linestrings(chains.points[many], indices=np.repeat(np.arange(len(counts)), counts)[many])
        )

    @cached_property
    def _page(self) -> Any:
        page = self._job.artwork.page
        return shapely.box(0.0, 0.0, page.width, page.height)

    @cached_property
    def _there(self) -> Flags:
        """(k,) things of which something is left on the page."""
        boxes = self._things.boxes
        return np.asarray((boxes[:, 2:] >= boxes[:, :2]).all(axis=1))

    @cached_property
    def _things(self) -> _Things:
        job = self._job
        parts = job.printed.parts
        rows = np.flatnonzero(parts.adds)
        others = list(self._others())
        regions = painted_regions(job.artwork, others, flatness=FLATNESS)
        # One that cannot be worked out is taken for all of its box.
        for row in np.flatnonzero(shapely.is_missing(regions)).tolist():
            regions[row] = shapely.box(*(job.items[others[row].index].box or ()))
        printed = np.concatenate([parts.boxes[rows], shapely.bounds(regions).reshape(-1, 4)])
        page = job.artwork.page
        printed = np.concatenate(
            [np.maximum(printed[:, :2], 0.0), np.minimum(printed[:, 2:], (page.width, page.height))], axis=1
        )
        items = [
            *parts.index[rows].tolist(),
            *(one.index for one in others),
            *(one.index for one in job.cuts.items),
        ]
        boxes = np.concatenate([printed, object_boxes(job.cuts.outlines)])
        return _Things(np.array(items, np.intp), boxes, rows, regions)

    def _others(self) -> Iterator[Painted]:
        """What prints beside the art: marks, white and varnish that are painted, on layers that print."""
        for item in self._job.items:
            drawn = item.object
            if item.assignment.role not in _PRINTS_TOO or item.box is None:
                continue
            if not self._job.artwork.prints(drawn):
                continue
            if drawn.fill.paints or drawn.kind is not Kind.PATH:
                yield Painted(item.index, False)
            if drawn.stroke.paint.paints:
                yield Painted(item.index, True)

    def _measured(self, rows: Integers, degrees: float) -> Floats:
        """(r, 4) exact boxes of some things in the turned page; inside out where nothing is left of one."""
        things, turn = self._things, turning(degrees)
        art, inked = len(things.rows), len(things.rows) + len(things.regions)
        boxes = np.full((len(rows), 4), np.nan)
        cut = np.flatnonzero(rows >= inked)
        if len(cut):
            outlines = self._job.artwork.outlines.of_objects(things.items[rows[cut]])
            boxes[cut] = object_boxes(apply(outlines, turn))
        for place, regions in (
            (np.flatnonzero(rows < art), lambda own: self._job.printed.regions(things.rows[own])),
            (np.flatnonzero((rows >= art) & (rows < inked)), lambda own: things.regions[own - art]),
        ):
            if len(place):
                boxes[place] = _turned_bounds(shapely.intersection(regions(rows[place]), self._page), turn)
        boxes[np.isnan(boxes[:, 0])] = (np.inf, np.inf, -np.inf, -np.inf)
        return boxes


def turning(degrees: float) -> Floats:
    """(6,) matrix of a turn clockwise about the origin, y down; quarter turns without any rounding."""
    quarters, rest = divmod(degrees, 90.0)
    cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    if rest:
        cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([cosine, sine, -sine, cosine, 0.0, 0.0])


def _turned_boxes(boxes: Floats, turn: Floats) -> Floats:
    """(k, 4) boxes of boxes that are turned."""
    a, b, c, d, _, _ = turn.tolist()
    x, y = boxes[:, [0, 2, 2, 0]], boxes[:, [1, 1, 3, 3]]
    across, down = a * x + c * y, b * x + d * y
    return np.stack([across.min(axis=1), down.min(axis=1), across.max(axis=1), down.max(axis=1)], axis=1)


def _turned_bounds(regions: Any, turn: Floats) -> Floats:
    a, b, c, d, _, _ = turn.tolist()
    turned = shapely.transform(regions, lambda points: points @ np.array([[a, b], [c, d]]))
    return np.asarray(shapely.bounds(turned))
