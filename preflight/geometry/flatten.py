"""Curves as chains of points within a proven distance. Knows nothing of what the chains are for."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry.cubics import bends
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of

__all__ = ["MOST_PIECES", "MOST_PIECES_IN_ALL", "SKIN", "Polylines", "Runs", "chain_sizes", "flatten"]

SKIN = 0.01
"""mm. What lies nearer to a border than this lies on it: twice what two flattened copies of one curve may differ by."""

MOST_PIECES = 10_000
"""Most pieces of one segment. A curve that would need more, one whose handles reach more than a hundred
million tolerances away, is cut into this many and leaves the tolerance."""

MOST_PIECES_IN_ALL = 4_000_000
"""Most pieces of all segments together, or 16 a segment where that is more: what memory bears. Beyond it the
segments cut into the most pieces get fewer, and leave the tolerance."""


_AT_ONCE = 1 << 15
"""Points made at once: what the arrays for them take still fits the processor's cache."""


class Runs(msgspec.Struct, frozen=True, eq=False):
    """The segments of chains in their order, each with its points: the end of each of its pieces.

    Attributes
    ----------
    segments : (k,) the segment of each run; any for a contour that has none.
    begins : (k,) whether a chain begins with it, and so holds its start as well.
    sizes : (k,) its points.
    pieces : (k,) into how many pieces the segment is cut.
    """

    segments: Integers
    begins: Flags
    sizes: Integers
    pieces: Integers

    def parameters(self, chosen: slice) -> Floats:
        """(m,) parameter of each point of some runs on its segment."""
        sizes = self.sizes[chosen]
        ends = np.cumsum(sizes)
        firsts = ends - sizes - ~self.begins[chosen]
        step = np.arange(ends[-1] if len(ends) else 0) - np.repeat(firsts, sizes)
        return step / np.repeat(self.pieces[chosen], sizes)


class Polylines(msgspec.Struct, frozen=True, eq=False):
    """One chain of points for each contour, in the order of the contours.

    Attributes
    ----------
    points : (m, 2) float64
        In the unit of the outlines. The first and last point of a contour without gap are the same.
    offsets : (c + 1,) int
        Contour ``i`` holds ``points[offsets[i]:offsets[i + 1]]``; its start only where it has no segment.
    inexact : (k,) int
        Segments held back by :data:`MOST_PIECES` or :data:`MOST_PIECES_IN_ALL`: their chain may be farther off than the tolerance.
    runs : Runs
        Which segments the points lie on.
    """

    points: Floats
    offsets: Integers
    inexact: Integers
    runs: Runs

    @property
    def segment(self) -> Integers:
        """(m,) the segment each point lies on; at a node the one that ends there, at the first point of a contour
        the one that starts there. -1 where the contour has no segment.
        """
        runs = self.runs
        bare = runs.begins & (runs.sizes == 1)
        return np.repeat(np.where(bare, -1, runs.segments), runs.sizes)

    @property
    def parameter(self) -> Floats:
        """(m,) where on that segment, 0–1."""
        return self.runs.parameters(slice(None))

    @property
    def inexact_contours(self) -> Integers:
        """(c',) contours that hold a segment held back."""
        if not len(self.inexact):
            return self.inexact
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
    runs = _runs(outlines, counts)
    ends = np.cumsum(runs.sizes)
    points = np.empty((ends[-1], 2))
    first = 0
    while first < len(ends):
        before = int(ends[first - 1]) if first else 0
        last = max(first + 1, int(np.searchsorted(ends, before + _AT_ONCE, "right")))
        chosen = slice(first, last)
        curves = outlines.segments[runs.segments[chosen]]
        block = points[before : ends[last - 1]]
        _draw(block, curves, runs.sizes[chosen], runs.parameters(chosen))
        # Exactly, whatever the polynomial rounds to.
        points[ends[chosen] - 1] = curves[:, 3]
        first = last
    offsets = offsets_of(counts)[outlines.contour_offsets] + np.arange(outlines.contour_count + 1)
    points[offsets[:-1]] = outlines.starts
    return Polylines(points, offsets, inexact, runs)


def chain_sizes(outlines: Outlines, tolerance: float) -> tuple[Integers, Integers]:
    """(c,) points of the chain of each contour, and (k,) segments held back, as of `flatten`, which need not be made for it."""
    counts, inexact = _piece_counts(outlines, tolerance)
    return np.diff(offsets_of(counts)[outlines.contour_offsets]) + 1, inexact


def _bare_points(outlines: Outlines) -> Polylines:
    """Contours without a single segment, each its start."""
    count = outlines.contour_count
    ones = np.ones(count, np.intp)
    runs = Runs(ones - 1, ones.astype(bool), ones, ones)
    return Polylines(outlines.starts.copy(), np.arange(count + 1), np.empty(0, np.intp), runs)


def _runs(outlines: Outlines, counts: Integers) -> Runs:
    """The segments in the order of the chains, cut into so many pieces (n,) each.

    The first of a chain has its start as well. A contour without segments has the start alone, on whatever segment.
    """
    segments, sizes = np.arange(len(counts)), counts.copy()
    filled = outlines.segment_counts > 0
    firsts = outlines.contour_offsets[:-1]
    begins = np.zeros(len(counts), bool)
    begins[firsts[filled]] = True
    sizes[begins] += 1
    if filled.all():
        return Runs(segments, begins, sizes, counts)
    lone = firsts[~filled]
    segments, begins = np.insert(segments, lone, 0), np.insert(begins, lone, True)
    return Runs(segments, begins, np.insert(sizes, lone, 1), counts[segments])


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


def _draw(points: Floats, segments: Floats, sizes: Integers, t: Floats) -> None:
    """Fill in the points (m, 2) of segments (k, 4, 2) at some parameters of their own (m,), as many each as ``sizes`` (k,) says."""
    # Arrays of one shape without gaps are gone through at once, others pair by pair.
    p0, p1, p2, p3 = np.ascontiguousarray(segments.transpose(1, 0, 2))
    c1, c2, c3 = 3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2), (p3 - p0) + 3.0 * (p1 - p2)
    t = np.repeat(t, 2).reshape(-1, 2)
    # Repeating coefficients in their order costs a quarter of gathering them point by point.
    np.multiply(np.repeat(c3, sizes, axis=0), t, out=points)
    for coefficient in (c2, c1):
        points += np.repeat(coefficient, sizes, axis=0)
        points *= t
    points += np.repeat(p0, sizes, axis=0)
