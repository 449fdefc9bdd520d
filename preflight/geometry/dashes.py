"""Cuts contours into their dashes, by exact arc length. Knows no width and no cap."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preflight.geometry.cubics import arc_lengths, first_derivatives, piece
from preflight.geometry.measure import segment_lengths
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of

__all__ = ["MOST_DASHES", "MOST_DASHES_IN_ALL", "dashed"]

MOST_DASHES = 200_000
"""Of one contour; a real one has hundreds."""

MOST_DASHES_IN_ALL = 1_000_000
"""Of all contours together; those left over when it is reached are not cut."""

_STEPS = 30
"""Newton's method with halving; each step at least halves what is left."""


def dashed(
    outlines: Outlines, patterns: Sequence[Sequence[float]], shifts: Floats, tolerance: float
) -> tuple[Outlines, Integers, Flags]:
    """The contours of all objects, those with a dash pattern cut into its dashes.

    Parameters
    ----------
    patterns : lengths of dashes and gaps in turn for each object, repeated if their number is odd; empty, or all zero, for none.
    shifts : (o,) how far into the pattern each contour begins.
    tolerance : gaps shorter than a millionth of this are none.

    Returns
    -------
    (Outlines, (k,) int, (o,) bool)
        Each contour an object of its own, the object it came from, and objects left whole because their dashes would be too many.
    """
    too_many = np.zeros(outlines.object_count, bool)
    of_contour = outlines.object_of_contour
    alone = outlines.of_contours(np.arange(outlines.contour_count))
    active = np.array([_is_pattern(pattern) for pattern in patterns], bool)
    if not active.any():
        return alone, of_contour, too_many
    lengths = segment_lengths(alone)
    sums = np.concatenate([[0.0], np.cumsum(lengths)])
    whole = sums[alone.contour_offsets[1:]] - sums[alone.contour_offsets[:-1]]
    cuts = _Cuts(tolerance * 1e-6)
    kept = []
    for contour, owner in enumerate(of_contour.tolist()):
        if not active[owner] or not whole[contour] > 0.0:
            kept.append(contour)
            continue
        pattern = [float(one) for one in patterns[owner]] * (1 + len(patterns[owner]) % 2)
        dashes = len(pattern) * whole[contour] / sum(pattern) / 2.0
        if dashes > MOST_DASHES or len(cuts.contours) + dashes > MOST_DASHES_IN_ALL:
            too_many[owner] = True
            continue
        cuts.add(contour, float(whole[contour]), pattern, float(shifts[owner]), bool(alone.closed[contour]))
    dashes = _cut(alone, sums, cuts)
    owners = np.concatenate([of_contour[kept], of_contour[cuts.contours]]).astype(np.intp)
    return Outlines.joined([alone.of_contours(np.array(kept, np.intp)), dashes]), owners, too_many


def _is_pattern(pattern: Sequence[float]) -> bool:
    return len(pattern) > 0 and min(pattern) >= 0.0 and 0.0 < sum(pattern) < float("inf")


class _Cuts:
    """Dashes as stretches of contours: from, to, by arc length; ``to`` beyond the whole length runs on through the start."""

    def __init__(self, least: float) -> None:
        self._least = least
        self.contours: list[int] = []
        self.starts: list[float] = []
        self.stops: list[float] = []
        self.closed: list[bool] = []

    def add(self, contour: int, whole: float, pattern: list[float], shift: float, closed: bool) -> None:
        """The dashes of one contour; the pattern begins anew with each (ISO 32000-1, 8.4.3.6)."""
        period = sum(pattern)
        ends = np.cumsum(pattern)
        begin = -(shift % period)
        turns = np.arange(int((whole - begin) // period) + 1)[:, None] * period + begin
        starts = (turns + np.concatenate([[0.0], ends[:-1]])[::2]).ravel()
        stops = (turns + ends[::2]).ravel()
        shown = (
            (stops >= 0.0)
            & (starts <= whole)
            & ((stops > 0.0) | (starts == stops))
            & ((starts < whole) | (starts == stops))
        )
        starts, stops = np.maximum(starts[shown], 0.0), np.minimum(stops[shown], whole)
        unbroken = len(starts) > 0 and bool(np.all(starts[1:] <= stops[:-1] + self._least))
        if unbroken and starts[0] <= self._least and stops[-1] >= whole - self._least:
            self._put(contour, [0.0], [whole], closed)
            return
        # Dashes with no gap between them are one.
        fresh = np.append(True, starts[1:] > stops[:-1] + self._least)[: len(starts)]
        firsts = np.flatnonzero(fresh)
        starts = starts[firsts]
        stops = np.maximum.reduceat(stops, firsts) if len(firsts) else stops
        joined = closed and len(starts) > 1 and starts[0] <= 0.0 and stops[-1] >= whole - self._least
        if joined:
            starts, stops = starts[1:], np.append(stops[1:-1], whole + stops[0])
        self._put(contour, starts.tolist(), stops.tolist(), False)

    def _put(self, contour: int, starts: list[float], stops: list[float], closed: bool) -> None:
        self.contours += [contour] * len(starts)
        self.starts += starts
        self.stops += stops
        self.closed += [closed] * len(starts)


def _cut(outlines: Outlines, sums: Floats, cuts: _Cuts) -> Outlines:
    """The stretches as contours, each an object of its own."""
    contours = np.array(cuts.contours, np.intp)
    if not len(contours):
        return Outlines.empty()
    low, high = outlines.contour_offsets[contours], outlines.contour_offsets[contours + 1]
    base, whole = sums[low], sums[high] - sums[low]
    starts, stops = np.array(cuts.starts), np.array(cuts.stops)
    through = stops > whole * (1.0 + 1e-12)
    first, t_first = _places(outlines, sums, low, high, base + np.minimum(starts, whole))
    last, t_last = _places(
        outlines, sums, low, high, base + np.where(through, stops - whole, np.minimum(stops, whole))
    )
    count = np.where(through, (high - first) + (last - low + 1), last - first + 1)
    owner = np.repeat(np.arange(len(contours)), count)
    step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    segment = first[owner] + step
    over = segment >= high[owner]
    segment[over] += (low - high)[owner][over]
    begin = np.where(step == 0, t_first[owner], 0.0)
    end = np.where(step == count[owner] - 1, t_last[owner], 1.0)
    curves = piece(outlines.segments[segment], begin, end)
    entire = (begin == 0.0) & (end == 1.0)
    curves[entire] = outlines.segments[segment[entire]]
    offsets = offsets_of(count)
    ends, heads = curves[offsets[1:] - 1, 3], curves[offsets[:-1], 0]
    return Outlines(
        segments=curves,
        straight=outlines.straight[segment],
        contour_offsets=offsets,
        object_offsets=np.arange(len(contours) + 1, dtype=np.intp),
        starts=heads,
        closed=np.array(cuts.closed, bool),
        gaps=np.hypot(*(ends - heads).T),
    )


def _places(
    outlines: Outlines, sums: Floats, low: Integers, high: Integers, at: Floats
) -> tuple[Integers, Floats]:
    """(k,) segment and parameter of places along all contours laid end to end."""
    segment = np.clip(np.searchsorted(sums, at, side="right") - 1, low, high - 1)
    length = sums[segment + 1] - sums[segment]
    target = np.clip(at - sums[segment], 0.0, length)
    share = target / np.where(length > 0.0, length, 1.0)
    t = share.copy()
    rows = np.flatnonzero(~outlines.straight[segment] & (share > 0.0) & (share < 1.0))
    t[rows] = _inverted(outlines.segments[segment[rows]], target[rows], length[rows])
    return segment, t


def _inverted(curves: Floats, target: Floats, length: Floats) -> Floats:
    """(k,) the parameter at which a curve has run so far."""
    below, above = np.zeros(len(curves)), np.ones(len(curves))
    done = np.zeros(len(curves))  # length up to `below`
    t = target / length
    for _ in range(_STEPS):
        run = done + arc_lengths(curves, below, t)
        short = run < target
        done = np.where(short, run, done)
        below, above = np.where(short, t, below), np.where(short, above, t)
        speed = first_derivatives(curves, t)
        step = (target - run) / np.maximum(np.hypot(speed[:, 0], speed[:, 1]), 1e-300)
        if np.all(np.abs(target - run) <= 1e-9 * length):
            break
        t = t + step
        outside = (t <= below) | (t >= above)
        t = np.where(outside, (below + above) / 2.0, t)
    return t
