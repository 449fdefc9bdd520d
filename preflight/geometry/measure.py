"""Lengths and areas of curves. Knows nothing of speeds, knives or film."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.quadrature import gauss_legendre

__all__ = ["contour_areas", "contour_lengths", "segment_lengths"]

_RELATIVE_ERROR = 1e-7
"""Of the length of the control polygon: proven bound on the error of each piece that is integrated at once."""

_NODE_COUNTS = (4, 8)
"""Nodes of the Gauss-Legendre rules tried in turn: a twentieth of a circle takes the first, an eighth the second."""

_MOST_HALVINGS = 20
"""A piece at a cusp is then a millionth of its curve: what is left of its error is below a billionth."""

_BATCH = 1 << 15
"""Curves measured at a time: what stays in a processor's cache."""


def segment_lengths(outlines: Outlines) -> Floats:
    """(n,) arc length of each segment, good to 1e-6 of it, cusps included."""
    segments = outlines.segments
    lengths = np.hypot(*(segments[:, 3] - segments[:, 0]).T)
    # A flagged line is its chord; any other curve is integrated.
    curved = np.flatnonzero(~outlines.straight)
    lengths[curved] = _lengths(segments[curved])
    return np.asarray(lengths)


def contour_lengths(outlines: Outlines) -> Floats:
    """(c,) arc length of each contour, closing lines included; 0 where it holds no segment."""
    return _sums(segment_lengths(outlines), outlines.contour_offsets)


def contour_areas(outlines: Outlines) -> Floats:
    """(c,) signed area each contour encloses, an open one joined by a straight line.

    Positive where the contour runs from x to y: clockwise as seen with y down. A contour that winds twice
    counts twice; parts of opposite turning cancel.
    """
    # About its own start a contour far from the origin loses no digits.
    origin = np.repeat(outlines.starts, outlines.segment_counts, axis=0)
    p0, p1, p2, p3 = (outlines.segments[:, k] - origin for k in range(4))
    # Green's theorem, half the integral of x dy - y dx, worked out for cubics.
    doubled = (
        6.0 * _cross(p0, p1) + 3.0 * _cross(p0, p2) + _cross(p0, p3)
        + 3.0 * _cross(p1, p2) + 3.0 * _cross(p1, p3) + 6.0 * _cross(p2, p3)
    ) / 10.0  # fmt: skip
    # The line that joins an open contour runs through the origin chosen: it adds nothing.
    return _sums(doubled / 2.0, outlines.contour_offsets)


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _lengths(curves: Floats) -> Floats:
    """(k,) lengths of cubics (k, 4, 2): quadrature on ever finer halves of those that need it."""
    lengths = np.zeros(len(curves))
    for begin in range(0, len(curves), _BATCH):
        part = slice(begin, begin + _BATCH)
        lengths[part] = _adaptive(curves[part])
    return lengths


def _adaptive(curves: Floats) -> Floats:
    velocity = 3.0 * np.diff(curves, axis=1)
    # Each of size 1, so that no square overflows or vanishes.
    size = np.abs(velocity).max(axis=(1, 2), initial=0.0)
    velocity /= np.where(size > 0.0, size, 1.0)[:, None, None]
    x, y = np.ascontiguousarray(velocity[..., 0].T), np.ascontiguousarray(velocity[..., 1].T)
    allowed = _RELATIVE_ERROR / 3.0 * np.sqrt(x * x + y * y).sum(axis=0)
    lengths = np.zeros(len(curves))
    owner = np.arange(len(curves))
    for halving in range(_MOST_HALVINGS + 1):
        if not len(owner):
            break
        nodes = _nodes_needed(x, y, allowed[owner])
        if halving == _MOST_HALVINGS:
            nodes[nodes == 0] = _NODE_COUNTS[-1]
        for count in _NODE_COUNTS:
            rows = np.flatnonzero(nodes == count)
            lengths += np.bincount(owner[rows], _quadrature(x[:, rows], y[:, rows], count), len(lengths))
        rows = np.flatnonzero(nodes == 0)
        x, y, owner = _halved(x[:, rows]), _halved(y[:, rows]), np.tile(owner[rows], 2)
    return np.asarray(lengths * size)


def _nodes_needed(x: Floats, y: Floats, allowed: Floats) -> Integers:
    """(k,) the fewest nodes proven to keep the error on 0..1 within what is allowed; 0 where no rule is.

    ``x``, ``y`` (3, k) are the Bézier coefficients of the velocity w = x + i y, as a polynomial in u = 2 t - 1
    c0 + c1 u + c2 u². The speed is the root of w(u) times the conjugate of w at the conjugate of u: analytic in
    an ellipse about the foci -1 and 1 whose semi-axis S keeps abs(c1) S + abs(c2) S² below abs(c0), and no
    greater than 2 abs(c0) there. Its Chebyshev coefficients of order m are then at most 4 abs(c0) / width^m, width
    being the sum of the semi-axes. A rule of n nodes is exact below order 2 n and for all odd orders, and errs
    by at most 2 + 2 / (m² - 1) for any other.
    """
    c0 = _sizes(x[0] + 2.0 * x[1] + x[2], y[0] + 2.0 * y[1] + y[2]) / 4.0
    c1 = _sizes(x[2] - x[0], y[2] - y[0]) / 2.0
    c2 = _sizes(x[0] - 2.0 * x[1] + x[2], y[0] - 2.0 * y[1] + y[2]) / 4.0
    divisor = c1 + np.sqrt(c1 * c1 + 4.0 * c0 * c2)
    # Wider than a hundred proves no more; a curve without bend has no bound on its ellipse at all.
    semi_axis = np.clip(2.0 * c0 / np.maximum(divisor, 0.02 * c0 + 1e-300), 1.0, 100.0)
    width = semi_axis + np.sqrt(semi_axis * semi_axis - 1.0)
    nodes = np.zeros(len(c0), np.intp)
    shrinking = np.maximum(1.0 - 1.0 / (width * width), 1e-300)
    for count in reversed(_NODE_COUNTS):
        error = 64.0 / 15.0 * c0 / (shrinking * width ** (2 * count))
        nodes[(semi_axis > 1.0) & (error <= allowed)] = count
    # What stands still has no length; any rule says so.
    nodes[c0 + c1 + c2 == 0.0] = _NODE_COUNTS[0]
    return nodes


def _sizes(x: Floats, y: Floats) -> Floats:
    return np.asarray(np.sqrt(x * x + y * y))


def _halved(coefficients: Floats) -> Floats:
    """(3, 2 k) coefficients of both halves of each, each over its own 0..1."""
    start, middle, end = coefficients
    left, right = (start + middle) / 2.0, (middle + end) / 2.0
    centre = (left + right) / 2.0
    # Half as fast, for running half as far in the same time.
    return np.stack([np.append(start, centre), np.append(left, right), np.append(centre, end)]) / 2.0


def _quadrature(x: Floats, y: Floats, nodes: int) -> Floats:
    length = np.zeros(x.shape[1])
    for t, weight in zip(*gauss_legendre(nodes), strict=True):
        s = 1.0 - t
        speed_x = s * s * x[0] + 2.0 * s * t * x[1] + t * t * x[2]
        speed_y = s * s * y[0] + 2.0 * s * t * y[1] + t * t * y[2]
        length += weight * np.sqrt(speed_x * speed_x + speed_y * speed_y)
    return length


def _sums(values: Floats, offsets: Integers) -> Floats:
    """Sums of runs; 0 for empty runs."""
    sums = np.zeros(len(offsets) - 1)
    filled: Flags = np.diff(offsets) > 0
    if filled.any():
        # Run by run: differences of one running total would carry the rounding of the whole sheet.
        sums[filled] = np.add.reduceat(values, offsets[:-1][filled])
    return sums
