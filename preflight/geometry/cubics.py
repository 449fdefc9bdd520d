"""Arithmetic of single cubic curves, many at once. Knows nothing of contours, artwork or tolerances of a job."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Floats
from preflight.geometry.quadrature import gauss_legendre

__all__ = [
    "all_on_one_side",
    "arc_lengths",
    "bends",
    "cross",
    "first_derivatives",
    "halves",
    "hull_boxes",
    "kept_apart",
    "piece",
    "points_at",
    "second_derivatives",
]

# Gauss-Legendre nodes on 0..1: 8 per half make the length of any cubic without a cusp good to 1e-6 of itself.
_NODES, _WEIGHTS = gauss_legendre(8)


def cross(a: Floats, b: Floats) -> Floats:
    """(...) cross products of vectors (..., 2)."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def points_at(curves: Floats, t: Floats) -> Floats:
    """Point of each curve at its parameter: curves (..., 4, 2) and t (...) broadcast to (..., 2)."""
    t = np.asarray(t)[..., None]
    s = 1.0 - t
    p0, p1, p2, p3 = (curves[..., k, :] for k in range(4))
    return np.asarray(s * s * (s * p0 + 3.0 * t * p1) + t * t * (3.0 * s * p2 + t * p3))


def first_derivatives(curves: Floats, t: Floats) -> Floats:
    """dP/dt at the parameters; shapes as in :func:`points_at`."""
    t = np.asarray(t)[..., None]
    s = 1.0 - t
    p0, p1, p2, p3 = (curves[..., k, :] for k in range(4))
    return np.asarray(3.0 * (s * s * (p1 - p0) + 2.0 * s * t * (p2 - p1) + t * t * (p3 - p2)))


def second_derivatives(curves: Floats, t: Floats) -> Floats:
    """d²P/dt² at the parameters; shapes as in :func:`points_at`."""
    t = np.asarray(t)[..., None]
    p0, p1, p2, p3 = (curves[..., k, :] for k in range(4))
    return np.asarray(6.0 * ((1.0 - t) * (p2 - 2.0 * p1 + p0) + t * (p3 - 2.0 * p2 + p1)))


def halves(curves: Floats) -> tuple[Floats, Floats]:
    """Both halves (k, 4, 2) of curves (k, 4, 2), cut at t = 1/2."""
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))
    a, b, c = (p0 + p1) / 2.0, (p1 + p2) / 2.0, (p2 + p3) / 2.0
    d, e = (a + b) / 2.0, (b + c) / 2.0
    middle = (d + e) / 2.0
    return np.stack([p0, a, d, middle], axis=1), np.stack([middle, e, c, p3], axis=1)


def piece(curves: Floats, start: Floats, stop: Floats) -> Floats:
    """The part of each curve (k, 4, 2) between two parameters (k,), as a cubic of its own."""
    width = np.asarray(stop - start)[..., None] / 3.0
    first, last = points_at(curves, start), points_at(curves, stop)
    return np.stack(
        [
            first,
            first + first_derivatives(curves, start) * width,
            last - first_derivatives(curves, stop) * width,
            last,
        ],
        axis=-2,
    )


def hull_boxes(curves: Floats) -> Floats:
    """(k, 4) x0, y0, x1, y1 around the control points: never smaller than the curve."""
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))
    low = np.minimum(np.minimum(p0, p1), np.minimum(p2, p3))
    high = np.maximum(np.maximum(p0, p1), np.maximum(p2, p3))
    return np.concatenate([low, high], axis=1)


def kept_apart(first: Floats, second: Floats, reach: float) -> Flags:
    """(k,) pairs of curves that a strip along the chord of the one or the other, ``reach`` wide, parts."""
    apart = np.zeros(len(first), bool)
    for along in (first, second):
        x, y = along[:, 3, 0] - along[:, 0, 0], along[:, 3, 1] - along[:, 0, 1]
        room = reach * np.sqrt(x * x + y * y)
        low, high = _span(first, -y, x)
        other_low, other_high = _span(second, -y, x)
        apart |= low > other_high + room
        apart |= other_low > high + room
    return apart


def _span(curves: Floats, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Least and greatest of the control points along a direction (k,) each."""
    # Point by point: taking the least of each row of four costs several times as much.
    p0, p1, p2, p3 = (curves[:, k, 0] * x + curves[:, k, 1] * y for k in range(4))
    low = np.minimum(np.minimum(p0, p1), np.minimum(p2, p3))
    return low, np.maximum(np.maximum(p0, p1), np.maximum(p2, p3))


def bends(curves: Floats) -> Floats:
    """(k,) upper bound of the distance between a curve and its chord (Wang's bound for one step)."""
    squares = np.maximum(_second_squares(curves, 0), _second_squares(curves, 1))
    return np.asarray(0.75 * np.sqrt(squares))


def _second_squares(curves: Floats, first: int) -> Floats:
    """(k,) square of the second difference of three control points from one on."""
    # Coordinate by coordinate: pairs cost twice as much.
    x, y = (
        curves[..., first, axis] - 2.0 * curves[..., first + 1, axis] + curves[..., first + 2, axis]
        for axis in range(2)
    )
    return np.asarray(x**2 + y**2)


def arc_lengths(curves: Floats, start: Floats, stop: Floats) -> Floats:
    """(k,) length of each curve between two parameters (k,)."""
    total = np.zeros(len(curves))
    for low, high in ((0.0, 0.5), (0.5, 1.0)):
        t = start[:, None] + (stop - start)[:, None] * (low + (high - low) * _NODES)
        speed = first_derivatives(curves[:, None], t)
        total += np.hypot(speed[..., 0], speed[..., 1]) @ _WEIGHTS * (high - low)
    return total * np.abs(stop - start)


def all_on_one_side(vectors: Floats) -> Flags:
    """Whether the vectors of each row (k, m, 2) fit into an open half plane, zero vectors left out.

    True means that one direction exists along which every vector of the row advances.
    """
    length = np.hypot(vectors[..., 0], vectors[..., 1])
    real = length > 0.0
    unit = vectors / np.where(real, length, 1.0)[..., None]
    middle = unit.sum(axis=1, keepdims=True)
    ahead = (unit * middle).sum(axis=2)
    aside = cross(middle, unit)
    # The sum of vectors that fit lies between them, so no angle from it reaches a half turn.
    angles = np.where(real, np.arctan2(aside, ahead), 0.0)
    spread = angles.max(axis=1) - angles.min(axis=1)
    return np.asarray((spread < np.pi - 1e-9) & np.any(real, axis=1))
