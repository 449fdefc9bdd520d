"""What a finding measured, as the picture draws it: the distance between two places, an area. Knows no HTML, no rule."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.reports.words import amount, found_words, printable
from preflight.rule import Finding

__all__ = ["Area", "Distance", "area_of", "distance_of"]

Point = tuple[float, float]
Points = NDArray[np.float64]

_SAME = 0.0005
"""mm. How far the distance between two places may be from the value measured: both come rounded to a tenth of a micrometre."""

_COARSE = 0.005
"""mm. How far an area's outline may be drawn from where it is: a third of a pixel at the nearest a finding is shown by itself."""


_NEARLY = 0.02
"""Part of a distance asked for by which an area's width may miss it: the rules draw areas coarsely."""


class Distance(msgspec.Struct, frozen=True):
    """A distance and the two places it was measured between, mm.

    ``asked`` is the limit in words; ``reach`` the place where the distance would end if it were as long as it should be,
    None where it is long enough, or too long. ``words`` say where it was measured.
    """

    ends: tuple[Point, Point]
    value: str
    asked: str | None
    reach: Point | None
    words: str


class Area(msgspec.Struct, frozen=True):
    """An area worth seeing: what it is, and its rings (even-odd), each x, y, x, y … in mm."""

    shows: str
    rings: tuple[tuple[float, ...], ...]


def distance_of(finding: Finding) -> Distance | None:
    """The distance a finding measured, or None where it measured something else or does not say between which places."""
    measured, points = finding.measured, finding.points_mm
    if measured is None or measured.unit != "mm" or len(points) != 2:
        return None
    here, there = points
    apart = math.dist(here, there)
    # Not finite is not near enough either.
    if not abs(apart - measured.value) <= _SAME:
        return None
    short = measured.limit is not None and measured.value < measured.limit
    return Distance(
        ends=(here, there),
        value=found_words(measured),
        asked=_asked(measured.value, measured.limit),
        reach=_reach(finding, here, there, measured.limit or 0.0) if short else None,
        words=f"at {_told(here)}" if here == there else f"from {_told(here)} to {_told(there)}",
    )


def _told(point: Point) -> str:
    return f"x {point[0]:.2f} mm, y {point[1]:.2f} mm"


def _asked(value: float, limit: float | None) -> str | None:
    if limit is None or value == limit:
        return None
    if limit == 0:
        return "none allowed"
    return f"at {'least' if value < limit else 'most'} {amount(limit, 'mm')}"


def _reach(finding: Finding, here: Point, there: Point, limit: float) -> Point | None:
    apart = math.dist(here, there)
    if apart > _SAME:
        along = limit / apart
        return here[0] + (there[0] - here[0]) * along, here[1] + (there[1] - here[1]) * along
    return _across(_rings(finding), here, limit)


def _across(rings: Sequence[Points], here: Point, limit: float) -> Point | None:
    """The place on an area's outline that is as far from here as the limit, straight across the area; None if there is none.

    A distance of nothing has no direction: that of the area which is missing stands in.
    """
    if not rings:
        return None
    place = np.asarray(here)
    starts = np.concatenate([ring[:-1] for ring in rings])
    sides = np.concatenate([np.diff(ring, axis=0) for ring in rings])
    squares = np.maximum((sides**2).sum(axis=1), np.finfo(float).tiny)
    along = np.clip(((place - starts) * sides).sum(axis=1) / squares, 0.0, 1.0)
    feet = starts + sides * along[:, None]
    off = np.abs(np.hypot(*(feet - place).T) - limit)
    middles = (feet + place) / 2
    within = shapely.contains_xy(_region(rings), middles[:, 0], middles[:, 1])
    off[~within] = np.inf
    best = int(off.argmin())
    return (float(feet[best, 0]), float(feet[best, 1])) if off[best] <= _NEARLY * limit else None


def area_of(finding: Finding) -> Area | None:
    """The area a finding shows, its outline thinned to what can be seen; None where it has none."""
    rings = _rings(finding)
    if not rings:
        return None
    thinned = shapely.simplify(shapely.linearrings(np.concatenate(rings), indices=_owners(rings)), _COARSE)
    return Area(
        shows=printable(finding.area_shows or "area concerned"),
        rings=tuple(tuple(np.round(shapely.get_coordinates(ring), 3).ravel().tolist()) for ring in thinned),
    )


def _rings(finding: Finding) -> list[Points]:
    """The rings that are rings: (k, 2) mm, closed, finite, of three corners at least."""
    given = [np.asarray(ring, float).reshape(-1, 2) for ring in finding.area_mm]
    closed = [
        ring if (ring[0] == ring[-1]).all() else np.concatenate([ring, ring[:1]])
        for ring in given
        if len(ring)
    ]
    return [ring for ring in closed if len(ring) > 3 and np.isfinite(ring).all()]


def _owners(rings: Sequence[Points]) -> NDArray[np.intp]:
    return np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])


def _region(rings: Sequence[Points]) -> shapely.Geometry:
    """What the rings bound, even-odd."""
    polygons = shapely.polygons(shapely.linearrings(np.concatenate(rings), indices=_owners(rings)))
    region: shapely.Geometry = shapely.Polygon()
    for polygon in shapely.make_valid(polygons):
        region = shapely.symmetric_difference(region, polygon)
    return region
