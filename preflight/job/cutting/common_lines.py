"""Cut lines that pieces side by side have in common: open, and each ends on a cut of its step. Knows no limit and no rule."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from preflight.artwork import Note, NoteKind
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.points_near_lines import points_near_lines

if TYPE_CHECKING:
    from preflight.job.cutting.cuts import CutContour
    from preflight.job.job import Job

__all__ = ["CommonLines"]

_CLOSED_WITHIN = 0.01
"""mm, where contour-open does not judge: its default."""

_SETTING_FREE = ("Cutting", "PartialCutting")
"""Steps that set pieces free, where contour-open does not judge: its default."""

_LEAVES_WITHIN = 1.0
"""mm. So far from its end a line has left the cut it ends on; one that has not runs along it."""

_PAST = 0.05
"""mm. Lines are drawn out by so much before film is parted along them: where they end is known no better than they are flattened."""

_MOST_CROSSINGS = 100_000
"""Pairs of lines that cross, each from both sides: a grid of 220 lines each way, some 50,000 pieces."""

_AT_A_TIME = 256
"""Lines whose crossings are looked for before it is asked whether they are too many."""

_UNPARTED = "Cut lines that pieces have in common cross so often that the pieces were not told apart: what lies near the lines was not judged."

_SPECK = 0.01
"""mm². What is smaller is no film but what drawing out leaves."""


class CommonLines:
    """Open contours both of whose ends stop on another cut of their step, away from that one's own ends.

    The knife has gone by there: nothing hangs on by the gap between the two ends, and the film on either side is a piece.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._too_many = False

    @cached_property
    def flags(self) -> Flags:
        """(c,) which of the cut contours are common lines."""
        cuts = self._job.cuts
        found = np.zeros(cuts.outlines.contour_count, bool)
        there = cuts.outlines.segment_counts > 0
        open_ = np.flatnonzero(~cuts.closes(self._within) & there)
        open_ = open_[[cuts.steps[index] in self._setting_free for index in open_.tolist()]]
        if not len(open_):
            return found
        steps = np.unique(cuts.steps, return_inverse=True)[1]
        others = np.flatnonzero(there & np.isin(steps, steps[open_]))
        lines, own = cuts.lines(others), cuts.lines(open_)
        stops = np.ones(len(open_), bool)
        for end, step in ((0, 1.0), (-1, -1.0)):
            ends = shapely.get_point(own, end)
            into = np.minimum(_LEAVES_WITHIN, shapely.length(own) / 2)
            leaving = shapely.line_interpolate_point(own, step * into)
            row, other = points_near_lines(ends, lines, self._within)
            on = (others[other] != open_[row]) & (steps[others[other]] == steps[open_[row]])
            on &= shapely.distance(leaving[row], lines[other]) > self._within
            on &= self._on_the_way(ends[row], others[other], lines[other])
            stops &= np.bincount(row[on], minlength=len(open_)) > 0
        found[open_[stops]] = True
        return found

    def parted(self, regions: Any, owners: Integers) -> tuple[Any, Integers, Integers]:
        """The pieces that regions fall into along the common lines of their step, and those that lines close off beside them.

        Parameters
        ----------
        regions : (k,) of shapely polygons, mm; ``owners`` (k,) the cut object of each.

        Returns
        -------
        The pieces, the cut object of each, and the row of the region that each is the whole of, -1 for those that lines had
        a part in.
        """
        rows = np.arange(len(regions))
        lines = np.flatnonzero(self.flags)
        drawn = _drawn_out(self._job.cuts.lines(lines)) if len(lines) else np.empty(0, object)
        self._too_many = _cross_often(drawn)
        if not len(lines) or self._too_many:
            return regions, owners, rows
        near, line = shapely.STRtree(drawn).query(regions, predicate="dwithin", distance=_PAST)
        same = self._steps_of(owners)[near] == self._steps_of(self._owners[lines])[line]
        near, line = near[same], line[same]
        met = distinct(near)
        found = [
            _faces([regions[row].boundary, *drawn[line[near == row]]], regions[row], within=True)
            for row in met
        ]
        own = [np.full(len(faces), owners[row]) for faces, row in zip(found, met, strict=True)]
        for step in self.steps:
            inner = regions[met[self._steps_of(owners[met]) == step]]
            parting = np.flatnonzero(self._steps_of(self._owners[lines]) == step)
            around = shapely.union_all(shapely.polygons(shapely.get_exterior_ring(inner)))
            beside = _faces([*shapely.boundary(inner), *drawn[parting]], around, within=False)
            found.append(beside)
            nearest = parting[shapely.STRtree(drawn[parting]).nearest(beside)]
            own.append(self._owners[lines[nearest]])
        kept = np.setdiff1d(rows, met)
        parts = np.concatenate(found)
        return (
            np.concatenate([regions[kept], parts]),
            np.concatenate([owners[kept], *own]),
            np.concatenate([kept, np.full(len(parts), -1)]),
        )

    @property
    def notes(self) -> tuple[Note, ...]:
        """That pieces were not told apart, where lines cross too often for it."""
        if not self._too_many:
            return ()
        item = self._job.cuts.items[int(self._owners[np.flatnonzero(self.flags)[0]])]
        return (Note(NoteKind.NOT_MODELLED, "region of a cut", _UNPARTED, item.object.origin),)

    def part_each_other(self, first: CutContour, second: CutContour) -> bool:
        """Whether two contours that cross are open lines of one step of which one at least is a common line.

        Where the other ends is contour-open's to say: where that rule does not judge, both have to be common lines.
        """
        if first.step != second.step:
            return False
        common = [bool(self.flags[one.index]) for one in (first, second)]
        if "contour-open" not in self._job.in_force:
            return all(common)
        return any(common) and not any(one.closed or one.gap <= self._within for one in (first, second))

    @property
    def steps(self) -> tuple[str, ...]:
        """The steps that have any."""
        return tuple(
            dict.fromkeys(self._job.cuts.steps[line] for line in np.flatnonzero(self.flags).tolist())
        )

    @property
    def _owners(self) -> Integers:
        """(c,) the cut object of each contour."""
        return self._job.cuts.outlines.object_of_contour

    def _steps_of(self, objects: Integers) -> Any:
        """(n,) step of each of some cut objects."""
        return np.array([self._job.cuts.items[index].assignment.step for index in objects.tolist()], object)

    @property
    def _within(self) -> float:
        rule = self._job.in_force.get("contour-open")
        return _CLOSED_WITHIN if rule is None else float(rule.closed_within)

    @property
    def _setting_free(self) -> tuple[str, ...]:
        """Steps whose open lines hold pieces back."""
        rule = self._job.in_force.get("contour-open")
        return _SETTING_FREE if rule is None else tuple(rule.steps)

    def _on_the_way(self, ends: Any, others: Integers, lines: Any) -> Flags:
        """(k,) whether each end lies on its other contour where that goes on to both sides."""
        open_ = ~self._job.cuts.closes(self._within)[others]
        at_an_end = np.zeros(len(ends), bool)
        for end in (0, -1):
            at_an_end |= shapely.distance(ends, shapely.get_point(lines, end)) <= self._within
        return ~(open_ & at_an_end)


def _cross_often(lines: Any) -> bool:
    """Whether lines cross each other more often than there may be pieces."""
    tree, met = shapely.STRtree(lines), 0
    for first in range(0, len(lines), _AT_A_TIME):
        met += tree.query(lines[first : first + _AT_A_TIME], predicate="crosses").shape[1]
        if met > _MOST_CROSSINGS:
            return True
    return False


def _drawn_out(lines: Any) -> Any:
    """(n,) the lines, each longer by a little at both ends."""
    points, line = shapely.get_coordinates(lines, return_index=True)
    first = np.flatnonzero(np.diff(line, prepend=-1))
    last = np.append(first[1:], len(line)) - 1
    longer = points.copy()
    for end, inner in ((first, first + 1), (last, last - 1)):
        longer[end] += _PAST * _unit(points[end] - points[inner])
    return shapely.linestrings(longer, indices=line)


def _unit(steps: Floats) -> Floats:
    return np.asarray(steps / np.maximum(np.hypot(*steps.T), 1e-12)[:, None])


def _faces(lines: list[Any], region: Any, *, within: bool) -> Any:
    """(f,) what lines leave whole between them, on one side of a region's border."""
    faces = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    faces = faces[shapely.area(faces) > _SPECK]
    inside = shapely.intersects(region, shapely.point_on_surface(faces))
    return faces[inside == within]
