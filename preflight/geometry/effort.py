"""How much may be spent on edges that cross, counted before anything is built of the crossings. Knows no fill rule.

Regions are made by splitting edges wherever they meet. Twenty thousand edges can meet two hundred million times, so what a drawing
costs is counted first, and what nobody would wait for is not begun.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.geometry.outlines import Floats, Integers

__all__ = ["MANY", "Effort", "edges_of", "nearby"]

_LOOK = 1 / 200
"""Cost of a look at two edges whose boxes meet, in crossings: some 250 ns beside some 50 µs."""

_GLANCE = 1 / 20_000
"""The same where edges are only tested for whether they meet at all, which ends at the first that do."""

_AT_ONCE = 500_000
"""Pairs held at a time."""

_FEW = 2_000
"""Pairs that are looked at without a search."""

MANY = 10_000
"""Edges. Fewer than these are tested for whether they meet without further ado."""


class Effort:
    """What may be spent on crossings beyond those that grow with the size of a drawing.

    A crossing for every four edges is free, so that a drawing of any size gets its regions if it is drawn as people draw. What
    goes beyond that is taken from one purse, so that many tangled drawings cost no more than one.

    Parameters
    ----------
    crossings : how many may be paid for; the default takes some two seconds and 200 MB.
    """

    def __init__(self, crossings: float = 30_000.0) -> None:
        self._left = crossings

    def allows(self, edges: Floats) -> bool:
        """Whether all crossings among (n, 2, 2) edges can be paid for; if so they are."""
        count = len(edges)
        free = _free(count)
        if count * (count - 1) / 2 <= free:
            return True
        looked = spent = 0.0
        for _, first, second in nearby(edges, edges):
            later = second > first
            looked += _LOOK * len(first)
            spent += np.count_nonzero(_cross(edges[first[later]], edges[second[later]]))
            if looked + spent > free + self._left:
                # The looks were taken; the crossings will not be built.
                self._pay(looked, count)
                return False
        self._pay(looked + spent, count)
        return True

    def allows_joining(self, *regions: shapely.Geometry | None) -> bool:
        """Whether an intersection, union or difference of some geometries can be paid for; if so it is. Not of what is None."""
        if any(region is None for region in regions):
            return False
        if shapely.get_num_coordinates(regions).sum() <= 64:
            return True
        return self.allows(np.concatenate([edges_of(region) for region in regions]))

    def allows_test(self, ring: shapely.Geometry) -> bool:
        """Whether it can be paid for to see if a ring meets itself; if so it is."""
        count = int(shapely.get_num_coordinates(ring)) - 1
        if count <= MANY:
            return True
        edges = edges_of(ring)
        # As many as are met by some edges from all over the ring tell what all of them meet.
        some = np.arange(max(8, min(256, 4 * _AT_ONCE // count))) * 2654435761 % count
        met = shapely.STRtree(shapely.linestrings(edges)).query(shapely.linestrings(edges[some])).shape[1]
        cost = _GLANCE * met / len(some) * count / 2.0
        allowed = bool(cost <= _free(count) + self._left)
        self._pay(cost if allowed else 0.0, count)
        return allowed

    def affords_looks(self, looks: float, edges: int) -> bool:
        """Whether so many looks at a drawing of so many edges can still be paid for; nothing is taken yet."""
        return _LOOK * looks <= _free(edges) + self._left

    def pays_looks(self, looks: float, edges: int) -> None:
        """Take them off."""
        self._pay(_LOOK * looks, edges)

    def _pay(self, cost: float, edges: int) -> None:
        self._left = max(0.0, self._left - max(0.0, cost - _free(edges)))


def nearby(first: Floats, second: Floats) -> Iterator[tuple[int, Integers, Integers]]:
    """Pairs of edges (n, 2, 2) and (m, 2, 2) whose boxes meet, some at a time: how many of the first are done, and rows of either.

    Of a few edges every pair is given: that is quicker than to look which are near.
    """
    if len(first) * len(second) <= _FEW:
        yield len(first), *np.divmod(np.arange(len(first) * len(second)), max(len(second), 1))
        return
    lines = shapely.linestrings(first)
    tree = shapely.STRtree(lines if second is first else shapely.linestrings(second))
    at, step = 0, max(1, min(64, _AT_ONCE // max(len(second), 1)))
    while at < len(lines):
        own, other = tree.query(lines[at : at + step])
        done = min(at + step, len(lines))
        yield done, own + at, other
        step = int(min(max(_AT_ONCE * step / max(len(own), 1), 1), 4 * step))
        at = done


def edges_of(geometries: shapely.Geometry | Sequence[shapely.Geometry] | NDArray[np.object_]) -> Floats:
    """(n, 2, 2) the straight pieces of all lines and rings."""
    parts = shapely.get_parts(np.atleast_1d(np.asarray(geometries, dtype=object)))
    rings = shapely.get_rings(parts)
    lines = parts[shapely.get_dimensions(parts) == 1]
    points, owner = shapely.get_coordinates(np.concatenate([rings, lines]), return_index=True)
    edges: Floats = np.stack([points[:-1], points[1:]], axis=1)[owner[1:] == owner[:-1]]
    return edges


def _free(edges: int) -> float:
    return max(edges / 4.0, 200.0)


def _cross(first: Floats, second: Floats) -> NDArray[np.bool_]:
    """(k,) whether edges have a point in common that is no end of both."""
    met = _on_both_sides(first, second)
    rows = np.flatnonzero(met)
    first, second = first[rows], second[rows]
    apart = _on_both_sides(second, first)
    for one in (0, 1):
        for other in (0, 1):
            apart &= (first[:, one] != second[:, other]).any(axis=1)
    met[rows] = apart
    return met


def _on_both_sides(line: Floats, edge: Floats) -> NDArray[np.bool_]:
    """(k,) whether the two ends of each edge do not lie on one side of the line."""
    x, y = line[:, 0, 0], line[:, 0, 1]
    along, up = line[:, 1, 0] - x, line[:, 1, 1] - y
    start = along * (edge[:, 0, 1] - y) - up * (edge[:, 0, 0] - x)
    end = along * (edge[:, 1, 1] - y) - up * (edge[:, 1, 0] - x)
    return np.asarray((start >= 0.0) & (end <= 0.0) | (start <= 0.0) & (end >= 0.0))
