"""Regions with fewer points, for what need not be told exactly. Knows nothing of what they are for."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.outlines import Integers

__all__ = ["simplified"]


def simplified(regions: Any, within: float) -> Any:
    """Regions whose borders leave the true ones by no more than a distance.

    Parameters
    ----------
    regions : (k,) of shapely polygons and collections of them
    within : in the unit of the regions

    Returns
    -------
    (k,) as given, valid, with as many rings; those that would lose a ring or themselves as they are.
    """
    coarse = shapely.simplify(regions, within, preserve_topology=False)
    spoilt = ~shapely.is_valid(coarse) | shapely.is_empty(coarse)
    spoilt |= _ring_count(coarse) != _ring_count(regions)
    return np.where(spoilt, regions, coarse)


def _ring_count(areas: Any) -> Integers:
    _, owner = shapely.get_rings(areas, return_index=True)
    return np.bincount(owner, minlength=len(areas))
