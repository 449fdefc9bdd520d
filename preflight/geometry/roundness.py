"""Contours that surely do not come near themselves: from one point each is seen whole. Knows no limits of a job."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["clear_of_themselves", "distances_from"]

_SLOPE = np.tan(np.radians(20.0))
"""The contour keeps at least this angle to the line of sight."""

_RADII = 20.0
"""Times the reach that the contour stays away from the point."""


def clear_of_themselves(segments: Floats, offsets: Integers, middles: Floats, rings: Flags) -> Floats:
    """(c,) mm: places of the contour nearer to each other than this are less than four times as far apart along it.

    A contour that goes once round a point, at no less than 20° to the line of sight and never nearer to
    the point than r, has a distance from it that changes by at most cot 20° of itself for each radian. Two
    places d < r / 20 apart are then seen less than 0.051 radians apart, and the way between them is at most
    d · exp(0.051 cot 20°) / sin 20° = 3.4 d. Zero where that is not so, or not proven.

    Parameters
    ----------
    segments : (n, 4, 2), offsets : (c + 1,)
    middles : (c, 2)
        A point inside each contour, such as the middle of its box.
    rings : (c,)
        The contour closes; no other is looked at.
    """
    counts = np.diff(offsets)
    clear = np.zeros(len(counts))
    filled = np.flatnonzero(counts > 0)
    if not len(filled):
        return clear
    middle_x, middle_y = (np.repeat(middles[:, k], counts) for k in (0, 1))
    x = [segments[:, k, 0] - middle_x for k in range(4)]
    y = [segments[:, k, 1] - middle_y for k in range(4)]
    left, right = _to_either_side(x, y)
    # Across the chord's bisector seen from the point, no part of the curve is nearer than its control points.
    along_x, along_y = x[0] + x[3], y[0] + y[3]
    size = np.maximum(np.sqrt(along_x * along_x + along_y * along_y), 1e-300)
    nearest = np.min([x[k] * along_x + y[k] * along_y for k in range(4)], axis=0) / size
    turn = np.arctan2(x[0] * y[3] - y[0] * x[3], x[0] * x[3] + y[0] * y[3])
    starts = offsets[:-1][filled]
    radius = np.minimum.reduceat(nearest, starts)
    once = np.abs(np.add.reduceat(turn, starts)) < 3.0 * np.pi
    one_way = np.logical_and.reduceat(left, starts) | np.logical_and.reduceat(right, starts)
    good = once & one_way & rings[filled] & (radius > 0.0)
    clear[filled[good]] = radius[good] / _RADII
    return clear


def _to_either_side(x: list[Floats], y: list[Floats]) -> tuple[Flags, Flags]:
    """(n,) whether each curve surely runs to the left, to the right, steeply enough to the line of sight.

    Judged by the Bernstein coefficients of P × P' and P · P', polynomials of the fifth degree.
    """
    left, right = np.ones(len(x[0]), bool), np.ones(len(x[0]), bool)
    step_x, step_y = [x[k + 1] - x[k] for k in range(3)], [y[k + 1] - y[k] for k in range(3)]
    binomials_3, binomials_2 = (1.0, 3.0, 3.0, 1.0), (1.0, 2.0, 1.0)
    for order in range(6):
        cross, dot = np.zeros(len(x[0])), np.zeros(len(x[0]))
        for k in range(max(0, order - 2), min(3, order) + 1):
            weight = binomials_3[k] * binomials_2[order - k]
            cross += weight * (x[k] * step_y[order - k] - y[k] * step_x[order - k])
            dot += weight * (x[k] * step_x[order - k] + y[k] * step_y[order - k])
        dot = np.abs(dot) * _SLOPE
        left &= cross > dot
        right &= -cross > dot
    return left, right


def distances_from(segments: Floats, offsets: Integers, middles: Floats) -> tuple[Floats, Floats]:
    """(c,), (c,): no point of a contour is nearer to its middle (c, 2), or farther from it, than these.

    By the Bernstein coefficients of P · P, which for a true circle are its radius squared and nothing else.
    """
    counts = np.diff(offsets)
    x, y = (segments[..., k] - np.repeat(middles[:, k], counts)[:, None] for k in (0, 1))
    binomials = (1.0, 3.0, 3.0, 1.0)
    least, most = np.full(len(segments), np.inf), np.zeros(len(segments))
    for order, whole in enumerate((1.0, 6.0, 15.0, 20.0, 15.0, 6.0, 1.0)):
        value = np.zeros(len(segments))
        for k in range(max(0, order - 3), min(3, order) + 1):
            weight = binomials[k] * binomials[order - k] / whole
            value += weight * (x[:, k] * x[:, order - k] + y[:, k] * y[:, order - k])
        np.minimum(least, value, out=least)
        np.maximum(most, value, out=most)
    inner, outer = np.zeros(len(counts)), np.full(len(counts), np.inf)
    filled = np.flatnonzero(counts > 0)
    if len(filled):
        starts = offsets[:-1][filled]
        inner[filled] = np.sqrt(np.maximum(np.minimum.reduceat(least, starts), 0.0))
        outer[filled] = np.sqrt(np.maximum.reduceat(most, starts))
    return inner, outer
