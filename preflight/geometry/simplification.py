"""Regions with fewer points, for what need not be told exactly. Knows nothing of what they are for."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["simplified"]

_LEAST_POINTS = 4
"""Points of the smallest ring there is, the first one counted again at the end."""


def simplified(regions: Any, within: float) -> Any:
    """Regions whose borders leave the true ones by no more than a distance, nor the true ones them.

    Parameters
    ----------
    regions : (k,) of shapely polygons and collections of them
    within : in the unit of the regions

    Returns
    -------
    (k,) as given, valid, with as many rings, each without points that it can spare; those that would come to overlap themselves,
    that hold anything but polygons, or are missing, as they are.
    """
    regions = np.asarray(regions, dtype=object)
    parts, owner = shapely.get_parts(regions, return_index=True)
    of_areas = np.ones(len(regions), bool)
    of_areas[owner[shapely.get_type_id(parts) != shapely.GeometryType.POLYGON]] = False
    kept = of_areas[owner] & ~shapely.is_empty(parts)
    parts, owner = parts[kept], owner[kept]
    found = regions.copy()
    if not len(parts):
        return found
    coarse, spoilt = _coarse(parts, within)
    many = np.bincount(owner, minlength=len(regions)) > 1
    alone = ~many[owner] & ~spoilt
    found[owner[alone]] = coarse[alone]
    together = many[owner]
    if together.any():
        rows = distinct(owner[together])
        places = np.searchsorted(rows, owner[together])
        joined = shapely.multipolygons(np.where(spoilt, parts, coarse)[together], indices=places)
        # Parts side by side can come to overlap.
        whole = shapely.is_valid(joined)
        found[rows[whole]] = joined[whole]
    return found


def _coarse(areas: NDArray[np.object_], within: float) -> tuple[NDArray[np.object_], Flags]:
    """(p,) polygons of fewer points, and which of them are not valid."""
    rings, area = shapely.get_rings(areas, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    # As lines, whose ends stay: GEOS takes the first point out of a ring as well, after all others, and comes off by as much again;
    # and of a polygon that has come to cross itself it keeps what it likes.
    lines = shapely.linestrings(points, indices=ring)
    thin = shapely.simplify(lines, within, preserve_topology=False)
    flat = shapely.get_num_coordinates(thin) < _LEAST_POINTS
    thin[flat] = lines[flat]
    made = _polygons(shapely.get_coordinates(thin), shapely.get_num_coordinates(thin), np.bincount(area))
    return made, ~shapely.is_valid(made)


def _polygons(points: Floats, per_ring: Integers, per_area: Integers) -> NDArray[np.object_]:
    """(p,) polygons from the points of all their rings, outer ones first."""
    offsets = (np.append(0, np.cumsum(per_ring)), np.append(0, np.cumsum(per_area)))
    made: NDArray[np.object_] = shapely.from_ragged_array(shapely.GeometryType.POLYGON, points, offsets)
    return made
