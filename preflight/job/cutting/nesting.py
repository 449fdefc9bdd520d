"""Which cuts lie inside which, and how far they run out of them. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Floats, Integers
from preflight.job.cutting.cuts import FLATNESS, CutContour, Cuts
from preflight.job.remembered import remembered

__all__ = ["Nesting", "Outside"]

SLACK = 4 * FLATNESS
"""mm. Curves are compared flattened; a contour that lies on the edge of a region does not leave it."""


class Outside(msgspec.Struct, frozen=True, eq=False):
    """A contour that leaves every region it should be in.

    ``longest`` mm is its longest stretch outside, ``points`` (k, 2) the middles of the stretches, longest
    first, ``bounds`` (4,) their box; ``wholly`` where no part of it is inside.
    """

    contour: CutContour
    longest: float
    points: Floats
    bounds: Floats
    wholly: bool


class _Places(msgspec.Struct, frozen=True, eq=False):
    """Contours of a step that bound something: a point inside each in a tree, and their areas in mm²."""

    contours: Integers
    tree: Any
    areas: Floats


class Nesting:
    """Views of closed cuts as regions and of other cuts in or out of them."""

    def __init__(self, cuts: Cuts) -> None:
        self._cuts = cuts

    def outside(self, steps: tuple[str, ...], around: str, *, hole_share: float) -> Iterator[Outside]:
        """Contours of some steps that are not wholly inside a piece of the step ``around``.

        A piece is what an object's sub-paths bound by its fill rule: a sub-path may be the hole of another. Pieces
        that are mere holes in a contour of ``steps`` do not count: those within one that takes up more than
        ``1 / hole_share`` of their area. Nothing is yielded where no piece is left.
        """
        own, outer = self._cuts.of_step(*steps), self._cuts.of_step(around)
        own = own[self._cuts.outlines.segment_counts[own] > 0]
        if not len(own) or not len(outer):
            return
        regions = self._regions(outer, own, hole_share)
        if not len(regions):
            return
        lines = self._cuts.lines(own)
        tree = shapely.STRtree(regions)
        inside = distinct(tree.query(lines, predicate="covered_by")[0])
        rows = np.setdiff1d(np.arange(len(own)), inside)
        line, region = tree.query(lines[rows], predicate="intersects")
        borders = np.searchsorted(line, np.arange(len(rows) + 1))
        for number, row in enumerate(rows.tolist()):
            near = regions[region[borders[number] : borders[number + 1]]]
            found = _leaving(self._cuts.contours[int(own[row])], lines[row], near)
            if found is not None:
                yield found

    def holding(self, contour: CutContour, step: str) -> list[CutContour]:
        """Closed contours of a step that lie inside a closed contour."""
        held = self._places(step)
        own, regions = self._step_regions(contour.step)
        region = regions[np.searchsorted(own, contour.index)]
        inside = held.tree.query(region, predicate="contains")
        inside = np.sort(inside[held.areas[inside] < shapely.area(region)])
        return [self._cuts.contours[index] for index in held.contours[inside].tolist()]

    @remembered
    def _step_regions(self, step: str) -> tuple[Integers, Any]:
        """The contours of a step, and what each by itself bounds."""
        contours = self._cuts.of_step(step)
        return contours, self._cuts.regions(contours)

    @remembered
    def _places(self, step: str) -> _Places:
        contours, regions = self._step_regions(step)
        filled = ~shapely.is_empty(regions)
        contours, regions = contours[filled], regions[filled]
        return _Places(contours, shapely.STRtree(shapely.point_on_surface(regions)), shapely.area(regions))

    def _regions(self, around: Integers, own: Integers, hole_share: float) -> Any:
        """Pieces of the objects that the contours ``around`` belong to, less mere holes in those of ``own``."""
        objects = distinct(self._cuts.outlines.object_of_contour[around])
        pieces = shapely.get_parts(self._cuts.regions_of_objects(objects))
        pieces = pieces[~shapely.is_empty(pieces)]
        if hole_share <= 0.0:
            return pieces
        bounds = self._cuts.regions(own)
        inner, outer = shapely.STRtree(bounds).query(pieces, predicate="within")
        small = shapely.area(pieces[inner]) < hole_share * shapely.area(bounds[outer])
        return np.delete(pieces, distinct(inner[small]))


def _leaving(contour: CutContour, line: Any, regions: Any) -> Outside | None:
    """How a contour's line leaves the regions it meets, if it does."""
    if not len(regions):
        middle = np.array(line.interpolate(0.5, normalized=True).coords)
        return Outside(contour, float(line.length), middle, np.array(line.bounds), True)
    allowed = shapely.union_all(regions)
    beyond = shapely.difference(line, shapely.buffer(allowed, SLACK))
    if beyond.is_empty:
        return None
    parts = shapely.get_parts(shapely.line_merge(shapely.difference(line, allowed)))
    left = shapely.union_all(parts[shapely.intersects(parts, beyond)])
    runs = shapely.get_parts(shapely.line_merge(left))
    middles = shapely.get_coordinates(shapely.line_interpolate_point(runs, 0.5, normalized=True))
    # Stretches of one length, but for noise, are told from left to right.
    order = np.lexsort((*np.round(middles, 6).T[::-1], -np.round(shapely.length(runs), 6)))
    runs, points = runs[order], middles[order]
    wholly = bool(np.isclose(shapely.length(left), shapely.length(line)))
    return Outside(contour, float(shapely.length(runs[0])), points, np.array(left.bounds), wholly)
