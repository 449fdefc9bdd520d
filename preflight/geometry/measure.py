"""Lengths and areas of curves. Knows nothing of speeds, knives or film."""

from __future__ import annotations

import numpy as np

from preflight.geometry.cubics import piece
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines

__all__ = ["contour_areas", "contour_lengths", "segment_lengths"]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)
_NODES, _WEIGHTS = (_NODES + 1.0) / 2.0, _WEIGHTS / 2.0

_RELATIVE_ERROR = 1e-9
"""Of the length of the control polygon: where halving a curve changes less, its length is settled."""

_SMALLEST = 1e-300
"""Error that no length can show: near the smallest doubles a share of a length would be zero."""

_MOST_HALVINGS = 20
"""A piece at a cusp is then a millionth of its curve: what is left of its error is below a billionth."""


def segment_lengths(outlines: Outlines) -> Floats:
    """(n,) arc length of each segment, good to 1e-8 of it, cusps included."""
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
    # Each about its own start, so that rounding is a share of the curve and halving comes to an end.
    curves = curves - curves[:, :1]
    steps = np.diff(curves, axis=1)
    allowed = _RELATIVE_ERROR * np.hypot(steps[..., 0], steps[..., 1]).sum(axis=1) + _SMALLEST
    owner = np.arange(len(curves))
    whole = _quadrature(curves)
    for _ in range(_MOST_HALVINGS):
        if not len(owner):
            break
        start, middle, end = np.zeros(len(owner)), np.full(len(owner), 0.5), np.ones(len(owner))
        first, second = piece(curves, start, middle), piece(curves, middle, end)
        first_length, second_length = _quadrature(first), _quadrature(second)
        open_still = np.abs(first_length + second_length - whole) > allowed[owner]
        settled = ~open_still
        np.add.at(lengths, owner[settled], (first_length + second_length)[settled])
        curves = np.concatenate([first[open_still], second[open_still]])
        whole = np.concatenate([first_length[open_still], second_length[open_still]])
        owner = np.concatenate([owner[open_still], owner[open_still]])
    np.add.at(lengths, owner, whole)
    return lengths


def _quadrature(curves: Floats) -> Floats:
    steps = 3.0 * np.diff(curves, axis=1)
    t, s = _NODES, 1.0 - _NODES
    basis = np.stack([s * s, 2.0 * s * t, t * t])
    speed_x, speed_y = steps[..., 0] @ basis, steps[..., 1] @ basis
    return np.asarray(np.hypot(speed_x, speed_y) @ _WEIGHTS)


def _sums(values: Floats, offsets: Integers) -> Floats:
    """Sums of runs; 0 for empty runs."""
    sums = np.zeros(len(offsets) - 1)
    filled: Flags = np.diff(offsets) > 0
    if filled.any():
        # Run by run: differences of one running total would carry the rounding of the whole sheet.
        sums[filled] = np.add.reduceat(values, offsets[:-1][filled])
    return sums
