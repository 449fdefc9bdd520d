"""Which segments of different contours come near each other, never all pairs at once. Knows no limits of a job."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from preflight.geometry import cubics
from preflight.geometry.near_limits import NearLimits
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.strands import TOUCH, Strands

__all__ = ["costs", "near_limits", "near_segments", "pair_keys"]

_AT_A_TIME = 1024
"""Contours whose neighbours are looked for at a time, at most."""

_AT_ONCE = 250_000
"""Pairs of contours that are looked at before it is asked which have been stopped."""

_PURSE = 20_000.0
"""Pairs of lines that meet, beyond the free ones: some 100 µs each."""

_FREE = 2.0
"""Pairs a segment may have that cost nothing: in good drawings hardly any meets another contour."""

_LOOK = 0.01
"""What a pair costs that is only looked at, in pairs that meet."""

_CURVES = 4.0
"""What a pair of which one is curved costs, in pairs of lines."""

_ENDS = 0.1
"""What a pair of lines costs of which one ends on the other, in pairs of lines: drawings are full of them, as where pieces
share an edge."""

_MANY = 16
"""Times as many pairs as contours: from here on their distances from their middles are worth knowing."""


def near_segments(
    strands: Strands,
    reach: float,
    contours: Flags | None = None,
    groups: Integers | None = None,
    pairs: Integers | None = None,
    exclude: Integers | None = None,
    limits: NearLimits | None = None,
) -> tuple[Integers, Integers]:
    """Pairs of segments of different contours, the first contour before the second, whose boxes come within ``reach``.

    Parameters
    ----------
    contours : (c,) bool, optional
        Only these are looked at.
    groups : (c,) int, optional
        Only contours with equal labels are compared.
    pairs, exclude : (k, 2) int, optional
        Only these pairs of contours are compared; these are not.
    limits : optional
        Counts the pairs and stops contours that come to too many.
    """
    boxes = strands.tree.contour_boxes()
    usable = ~np.isnan(boxes[:, 0]) & (True if contours is None else contours)
    limits = near_limits(strands) if limits is None else limits
    barred = None if exclude is None or not len(exclude) else pair_keys(exclude, len(boxes))
    chunks = (
        _given(pairs, usable)
        if pairs is not None
        else _neighbours(boxes, np.flatnonzero(usable), reach, limits.stopped)
    )
    for one, other in chunks:
        if limits.stopped.any():
            on = ~(limits.stopped[one] | limits.stopped[other])
            one, other = one[on], other[on]
        if groups is not None:
            same = groups[one] == groups[other]
            one, other = one[same], other[same]
        if barred is not None:
            free = ~np.isin(one * len(boxes) + other, barred)
            one, other = one[free], other[free]
        if len(one) > _MANY * min(_AT_A_TIME, len(boxes)):
            apart = strands.surely_apart(one, other, reach)
            one, other = one[~apart], other[~apart]
        for first, second in strands.tree.near_between_contours(one, other, reach, limits.stopped):
            near = ~cubics.kept_apart(strands.segments[first], strands.segments[second], reach)
            limits.add(first, second, near, costs(strands, first[near], second[near]))
    return limits.pairs


def near_limits(strands: Strands) -> NearLimits:
    """What may be spent on pairs of segments of which it is worked out where they meet: some two seconds beyond the ordinary."""
    return NearLimits(strands.contour, len(strands.offsets) - 1, _PURSE, _FREE, _LOOK)


def costs(strands: Strands, first: Integers, second: Integers) -> Floats:
    """(k,) what it costs to find where segments meet, in pairs of lines."""
    curved = strands.curved[first] | strands.curved[second]
    found = np.where(curved, _CURVES, 1.0)
    lines = np.flatnonzero(~curved)
    one, other = strands.segments[first[lines]], strands.segments[second[lines]]
    found[lines[_ends_on(one, other) | _ends_on(other, one)]] = _ENDS
    return np.asarray(found)


def _ends_on(lines: Floats, others: Floats) -> Flags:
    """(k,) pairs of lines (k, 4, 2), known to come near each other, of which the first ends on the other or on what carries it."""
    start = others[:, 0]
    along = others[:, 3] - start
    reach = TOUCH * np.hypot(along[:, 0], along[:, 1])
    aside = np.abs(cubics.cross(along[:, None], lines[:, [0, 3]] - start[:, None]))
    return np.asarray((aside <= reach[:, None]).any(axis=1))


def pair_keys(pairs: Integers, count: int) -> Integers:
    """(k,) one number for each pair (k, 2) of ``count`` contours, whichever way round it is given."""
    ordered = np.sort(np.asarray(pairs, np.intp).reshape(-1, 2), axis=1)
    return np.asarray(ordered[:, 0] * count + ordered[:, 1])


def _given(pairs: Integers, usable: Flags) -> list[tuple[Integers, Integers]]:
    count = len(usable)
    keys = np.sort(pair_keys(pairs, count))
    keys = keys[np.append(True, keys[1:] != keys[:-1])[: len(keys)]]
    one, other = keys // count, keys % count
    kept = (one != other) & usable[one] & usable[other]
    return [(one[kept], other[kept])]


def _neighbours(
    boxes: Floats, usable: Integers, reach: float, stopped: Flags
) -> Iterator[tuple[Integers, Integers]]:
    """Pairs of boxes that come within ``reach`` of each other in x and in y, first < second, part by part.

    What ``stopped`` (c,) says between two parts is no longer looked from.
    """
    half = reach / 2.0
    # A line from corner to corner has the box that is asked for, and is made faster than the box.
    corners = boxes[usable].reshape(-1, 2, 2) + np.array([[-half], [half]])
    around = shapely.linestrings(corners)
    tree = shapely.STRtree(around)
    begin, step = 0, 64
    while begin < len(usable):
        some = np.arange(begin, min(begin + step, len(usable)))
        begin += step
        some = some[~stopped[usable[some]]]
        first, second = tree.query(around[some])
        first = some[first]
        later = second > first
        yield usable[first[later]], usable[second[later]]
        step = int(min(max(_AT_ONCE * step / max(len(first), 1), 1), 4 * step, _AT_A_TIME))
