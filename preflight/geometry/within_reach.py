"""Whether geometries lie within a distance of each other, by whichever way is quicker. Knows nothing of what they are."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.outlines import Flags

__all__ = ["within_reach"]

_FEW = 4_000
"""Edges of the one times edges of the other up to which each is held against each; to sort them first costs more."""


def within_reach(first: Any, second: Any, reach: float) -> Flags:
    """(n,) whether each pair of geometries (n,) is no farther apart than ``reach``; never where one is empty or missing.

    Prepare the first where it has many points and is asked about more than once.
    """
    count = len(first)
    near = np.empty(count, bool)
    few = shapely.get_num_coordinates(first) * shapely.get_num_coordinates(second) <= _FEW
    near[few] = shapely.distance(first[few], second[few]) <= reach
    near[~few] = shapely.dwithin(first[~few], second[~few], reach)
    return near
