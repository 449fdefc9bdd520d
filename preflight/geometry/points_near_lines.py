"""Which points lie near which lines. Knows nothing of what either is."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Integers

__all__ = ["points_near_lines"]

_EDGES = 16
"""Of a piece of a line that is looked up by its box: the box of a whole line that bends may hold every point there is."""


def points_near_lines(points: Any, lines: Any, within: float) -> tuple[Integers, Integers]:
    """Points (p,), each beside every line (n,) that it is no farther from than a distance: (m,) of either, by their places, in order.

    Parameters
    ----------
    points, lines : shapely points and linestrings; a line of less than two points is near nothing.
    """
    corners, line = shapely.get_coordinates(lines, return_index=True)
    start = np.flatnonzero(line[1:] == line[:-1])
    if not len(start):
        return np.empty(0, np.intp), np.empty(0, np.intp)
    nth = start - np.searchsorted(line, line[start])
    begins = nth % _EDGES == 0
    piece = np.cumsum(begins) - 1
    ends = np.append(begins[1:], True)
    corner = np.concatenate([start, start[ends] + 1])
    of_piece = np.concatenate([piece, piece[ends]])
    order = np.lexsort((corner, of_piece))
    pieces = shapely.linestrings(corners[corner[order]], indices=of_piece[order])
    near, met = shapely.STRtree(pieces).query(points, predicate="dwithin", distance=within)
    pairs = distinct(near * len(lines) + line[start[begins]][met])
    point, other = np.divmod(pairs, len(lines))
    return point, other
