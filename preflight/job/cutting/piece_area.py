"""How much of the film ends in pieces. Knows neither the roll nor any limit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.measure import contour_areas
from preflight.geometry.outlines import Floats, Integers

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["outer_area"]

_HOLES = frozenset({"Drilling", "Punching"})
"""Steps whose closed contours take film away instead of setting a piece free."""

_FLATNESS = 0.002
"""mm. The regions of pieces leave their curves by no more."""


def outer_area(job: Job) -> float:
    """mm² of the outermost pieces together: one that lies in another, or where two overlap, counts once."""
    pieces = job.pieces
    free = [row for row in range(len(pieces.regions)) if pieces.step(row) not in _HOLES]
    if not free:
        return 0.0
    regions = pieces.regions[free]
    outermost, meeting = _outermost(regions)
    apart = np.setdiff1d(outermost, meeting)
    areas = _exact_areas(job, np.array(free)[apart].tolist(), shapely.area(regions[apart]))
    return float(areas.sum() + shapely.area(shapely.union_all(regions[meeting])))


def _outermost(regions: Any) -> tuple[Integers, Integers]:
    """Rows of regions that lie in no other, of those that are equal the first; and those of them that meet another."""
    one, other = shapely.STRtree(regions).query(regions)
    near = one != other  # a region meets itself, and most meet nothing else: those need no looking at
    one, other = one[near], other[near]
    holds = shapely.covers(regions[one], regions[other])
    held = shapely.covers(regions[other], regions[one])
    inner = distinct(other[holds & (~held | (one < other))])
    outermost = np.setdiff1d(np.arange(len(regions)), inner)
    left = np.isin(one, outermost) & np.isin(other, outermost)
    one, other = one[left], other[left]
    return outermost, distinct(one[shapely.intersects(regions[one], regions[other])])


def _exact_areas(job: Job, rows: list[int], areas: Floats) -> Floats:
    """Areas of curves for those of their polygons, where one contour that does not meet itself is all of a piece."""
    outlines = job.cuts.outlines
    owners = job.pieces.owners[rows]
    single = np.flatnonzero(np.diff(outlines.object_offsets)[owners] == 1)
    contours = outlines.object_offsets[owners[single]]
    exact = np.abs(contour_areas(outlines.of_contours(contours)))
    # What a contour that crosses itself encloses is not what Green's theorem counts.
    like = np.abs(exact - areas[single]) <= _FLATNESS * job.cuts.lengths[contours]
    areas = areas.copy()
    areas[single[like]] = exact[like]
    return areas
