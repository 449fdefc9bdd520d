"""Curves as chains of points within a proven distance. Knows nothing of what the chains are for."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry.cubics import bends
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of

__all__ = ["MOST_PIECES", "MOST_PIECES_IN_ALL", "SKIN", "Polylines", "chain_sizes", "flatten"]

SKIN = 0.01
"""mm. What lies nearer to a border than this lies on it: twice what two flattened copies of one curve may differ by."""

MOST_PIECES = 10_000
"""Most pieces of one segment. A curve that would need more, one whose handles reach more than a hundred
million tolerances away, is cut into this many and leaves the tolerance."""

MOST_PIECES_IN_ALL = 4_000_000
"""Most pieces of all segments together, or 16 a segment where that is more: what memory bears. Beyond it the
segments cut into the most pieces get fewer, and leave the tolerance."""


class Polylines(msgspec.Struct, frozen=True, eq=False):
    """One chain of points for each contour, in the order of the contours.

    Attributes
    ----------
    points : (m, 2) float64
        In the unit of the outlines. The first and last point of a contour without gap are the same.
    offsets : (c + 1,) int
        Contour ``i`` holds ``points[offsets[i]:offsets[i + 1]]``; its start only where it has no segment.
    segment : (m,) int
        The segment each point lies on; at a node the one that ends there, at the first point of a contour
        the one that starts there. -1 where the contour has no segment.
    parameter : (m,) float64
        Where on that segment, 0–1.
    inexact : (k,) int
        Segments held back by :data:`MOST_PIECES` or :data:`MOST_PIECES_IN_ALL`: their chain may be farther off than the tolerance.
    """

    points: Floats
    offsets: Integers
    segment: Integers
    parameter: Floats
    inexact: Integers

    @property
    def inexact_contours(self) -> Integers:
        """(c',) contours that hold a segment held back."""
        filled = np.flatnonzero(self.segment[self.offsets[:-1]] >= 0)
        firsts = self.segment[self.offsets[:-1][filled]]
        return distinct(filled[np.searchsorted(firsts, self.inexact, side="right") - 1])


def flatten(outlines: Outlines, tolerance: float) -> Polylines:
    """Chains that no curve leaves by more than the tolerance.

    Parameters
    ----------
    outlines : Outlines
        Finite coordinates.
    tolerance : float, in the unit of the outlines, above 0

    Returns
    -------
    Polylines
        Each segment cut evenly in its parameter into as many pieces as Wang's formula asks for; straight
        segments are one piece.

    Raises
    ------
    ValueError
        The tolerance is not above 0.
    """
    if not tolerance > 0.0:
        raise ValueError(f"tolerance must be above 0, not {tolerance}")
    counts, inexact = _piece_counts(outlines, tolerance)
    if not len(counts):
        return _bare_points(outlines)
    segments, points_of, begins = _runs(outlines, counts)
    ends = np.cumsum(points_of)
    step = np.arange(ends[-1]) - np.repeat(ends - points_of - ~begins, points_of)
    parameter = step / np.repeat(counts[segments], points_of)
    points = _points(outlines.segments[segments], points_of, parameter)
    # Exactly, whatever the polynomial rounds to.
    points[ends - 1] = outlines.segments[segments, 3]
    offsets = offsets_of(counts)[outlines.contour_offsets] + np.arange(outlines.contour_count + 1)
    points[offsets[:-1]] = outlines.starts
    segments = np.where(begins & (points_of == 1), -1, segments)
    return Polylines(points, offsets, np.repeat(segments, points_of), parameter, inexact)


def chain_sizes(outlines: Outlines, tolerance: float) -> tuple[Integers, Integers]:
    """(c,) points of the chain of each contour, and (k,) segments held back, as of `flatten`, which need not be made for it."""
    counts, inexact = _piece_counts(outlines, tolerance)
    return np.diff(offsets_of(counts)[outlines.contour_offsets]) + 1, inexact


def _bare_points(outlines: Outlines) -> Polylines:
    """Contours without a single segment, each its start."""
    count = outlines.contour_count
    alone = np.full(count, -1, np.intp)
    return Polylines(
        outlines.starts.copy(), np.arange(count + 1), alone, np.zeros(count), np.empty(0, np.intp)
    )


def _runs(outlines: Outlines, counts: Integers) -> tuple[Integers, Integers, Flags]:
    """The segments in the order of the chains, how many points of its chain each has, and whether the chain begins with it.

    The first of a chain has its start as well. A contour without segments has the start alone, on whatever segment.
    """
    segments, points_of = np.arange(len(counts)), counts.copy()
    filled = outlines.segment_counts > 0
    firsts = outlines.contour_offsets[:-1]
    begins = np.zeros(len(counts), bool)
    begins[firsts[filled]] = True
    points_of[begins] += 1
    if filled.all():
        return segments, points_of, begins
    lone = firsts[~filled]
    return np.insert(segments, lone, 0), np.insert(points_of, lone, 1), np.insert(begins, lone, True)


def _piece_counts(outlines: Outlines, tolerance: float) -> tuple[Integers, Integers]:
    with np.errstate(over="ignore", invalid="ignore"):
        wanted = np.ceil(np.sqrt(bends(outlines.segments) / tolerance))
    wanted[outlines.straight] = 1.0
    # NaN and infinity come from coordinates too large to square; they are capped like any other.
    counts = np.where(wanted <= MOST_PIECES, np.maximum(wanted, 1.0), MOST_PIECES).astype(np.intp)
    counts = np.minimum(counts, _common_cap(counts, max(MOST_PIECES_IN_ALL, 16 * len(counts))))
    return counts, np.flatnonzero(~(wanted <= counts))


def _common_cap(counts: Integers, limit: int) -> int:
    """The largest cap on each count that keeps their sum within the limit."""
    if counts.sum() <= limit:
        return MOST_PIECES
    low, high = 1, MOST_PIECES
    while high - low > 1:
        middle = (low + high) // 2
        if np.minimum(counts, middle).sum() <= limit:
            low = middle
        else:
            high = middle
    return low


def _points(segments: Floats, points_of: Integers, t: Floats) -> Floats:
    """(m, 2) each segment (k, 4, 2) at some parameters of its own (m,), as many as ``points_of`` (k,) says."""
    p0, p1, p2, p3 = (segments[:, k] for k in range(4))
    c1, c2, c3 = 3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2), (p3 - p0) + 3.0 * (p1 - p2)
    t = t[:, None]
    # Repeating coefficients in their order costs a quarter of gathering them point by point.
    points = np.repeat(c3, points_of, axis=0)
    for coefficient in (c2, c1, p0):
        points *= t
        points += np.repeat(coefficient, points_of, axis=0)
    return points
