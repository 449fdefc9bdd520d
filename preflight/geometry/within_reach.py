"""Whether geometries lie within a distance of each other, by whichever way is quicker. Knows nothing of what they are."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.outlines import Flags, Floats
from preflight.geometry.threads import by_threads

__all__ = ["within_reach"]

_FEW = 4_000
"""Edges of the one times edges of the other up to which each is held against each; to sort them first costs more."""

_AT_ONCE = 500
"""Pairs that a thread measures at once."""


def within_reach(first: Any, second: Any, reach: float) -> Flags:
    """(n,) whether each pair of geometries (n,) is no farther apart than ``reach``; never where one is empty or missing.

    Prepare the first where it has many points and is asked about more than once.
    """
    count = len(first)
    near = np.empty(count, bool)
    few = shapely.get_num_coordinates(first) * shapely.get_num_coordinates(second) <= _FEW
    near[few] = _distances(first[few], second[few]) <= reach
    near[~few] = shapely.dwithin(first[~few], second[~few], reach)
    return near


def _distances(first: Any, second: Any) -> Floats:
    """(n,) distance of each pair, of many by several threads: GEOS holds no other one up."""
    batches = [slice(begin, begin + _AT_ONCE) for begin in range(0, len(first), _AT_ONCE)]
    if len(batches) > 1:
        # GEOS boxes a collection when it is first asked for its box, which two threads must not do at once.
        for side in (first, second):
            shapely.bounds(side)
    found = np.empty(len(first))
    with by_threads(len(batches)) as mapped:
        parts = mapped(lambda rows: shapely.distance(first[rows], second[rows]), batches)
        for batch, part in zip(batches, parts, strict=True):
            found[batch] = part
    return found
