"""How far contours drawn by the same segments lie from each other, told from their control points. Knows no limits."""

from __future__ import annotations

import numpy as np

from preflight.geometry.cubics import halves
from preflight.geometry.extents import value_ranges
from preflight.geometry.outlines import Floats, Integers, Outlines, offsets_of

__all__ = ["SAME_POINTS", "distances_drawn_alike"]

SAME_POINTS = 1e-4
"""mm: control points so near each other are the same."""

_HALVINGS = 3
"""A curve of differences is nowhere farther out than the control points of its eighths, which lie close to it."""

_AT_ONCE = 40_000
"""Segments looked at together: what bounds the memory."""


def distances_drawn_alike(
    outlines: Outlines, first: Integers, second: Integers, within: float, settled: float
) -> Floats:
    """(k,) Hausdorff distance of contours, infinite beyond ``within``; NaN where control points do not tell it.

    The distance is at most the greatest of a place of one contour from the place of the same number and parameter of the
    other, and at least what the one reaches farther than the other in any direction. Copies that were moved or
    scaled a little have both alike, and need not be looked at point by point.

    Parameters
    ----------
    first, second : (k,) int
    within : float, mm
    settled : float, mm
        How exactly the distance is to be known.
    """
    counts = outlines.segment_counts
    distance = np.full(len(first), np.nan)
    rows = np.flatnonzero((counts[first] == counts[second]) & (counts[first] > 0))
    loads = np.cumsum(counts[first[rows]])
    borders = np.searchsorted(loads, np.arange(_AT_ONCE, loads[-1] if len(loads) else 0, _AT_ONCE))
    for part in np.split(rows, borders):
        if len(part):
            distance[part] = _of_part(outlines, first[part], second[part], within, settled)
    return distance


def _of_part(outlines: Outlines, first: Integers, second: Integers, within: float, settled: float) -> Floats:
    """(k,) the distances of some pairs that have as many segments each, or NaN."""
    length = outlines.segment_counts[first]
    begins = offsets_of(length)[:-1]
    step = np.arange(length.sum()) - np.repeat(begins, length)
    offsets = outlines.contour_offsets
    one = outlines.segments[np.repeat(offsets[first], length) + step]
    forward = outlines.segments[np.repeat(offsets[second], length) + step]
    backward = outlines.segments[np.repeat(offsets[second + 1] - 1, length) - step][:, ::-1]
    distance = np.full(len(first), np.nan)
    for other in (forward, backward):
        apart = np.sqrt(((one - other) ** 2).sum(axis=2)).max(axis=1)
        worst = np.maximum.reduceat(apart, begins)
        same = worst <= SAME_POINTS
        distance[same] = np.fmin(distance[same], worst[same])
        # Control points reach no more than a few times as far as a curve that has not been told yet.
        near = np.flatnonzero(np.isnan(distance) & (worst <= 2.0 * within))
        if not len(near):
            continue
        of_near = np.isin(np.repeat(np.arange(len(first)), length), near)
        least, most = _bounds(one[of_near], other[of_near], length[near])
        told = most - least <= settled
        distance[near[told]] = least[told]
    distance[distance > within] = np.inf
    return distance


def _bounds(one: Floats, other: Floats, length: Integers) -> tuple[Floats, Floats]:
    """(k,) least and greatest Hausdorff distance of runs of segments (m, 4, 2), with ``length`` (k,) segments each."""
    begins, row = offsets_of(length)[:-1], np.repeat(np.arange(len(length)), length)
    pieces = one - other
    for _ in range(_HALVINGS):
        pieces = np.concatenate(halves(pieces))
    # Piece number i is a part of segment i modulo their number.
    gaps = pieces.reshape(-1, len(one), 4, 2).transpose(1, 0, 2, 3).reshape(len(one), -1, 2)
    reach = np.sqrt((gaps**2).sum(axis=2))
    farthest = reach.argmax(axis=1)
    at, gap = reach.max(axis=1), gaps[np.arange(len(one)), farthest]
    most = np.maximum.reduceat(at, begins)
    way = np.zeros((len(length), 2))
    highest = at == most[row]
    way[row[highest]] = gap[highest] / np.maximum(at[highest], 1e-300)[:, None]
    (low, high), (other_low, other_high) = (
        value_ranges((curves * way[row][:, None]).sum(axis=2)) for curves in (one, other)
    )
    least = np.maximum(
        np.abs(np.maximum.reduceat(high, begins) - np.maximum.reduceat(other_high, begins)),
        np.abs(np.minimum.reduceat(low, begins) - np.minimum.reduceat(other_low, begins)),
    )
    return least, most
