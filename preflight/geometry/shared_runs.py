"""Stretches that two contours share, or one runs twice: the knife passes twice. Knows no steps or job limits."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from preflight.geometry import cubics
from preflight.geometry.capsules import inside_capsules
from preflight.geometry.distinct import distinct
from preflight.geometry.followed import followed
from preflight.geometry.measured_edges import GAP, Edges, measured_edges
from preflight.geometry.near_limits import NearLimits
from preflight.geometry.near_pairs import near_limits, near_segments, pair_keys
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.side_by_side import may_run_along
from preflight.geometry.strands import Strands, exact_repeats

__all__ = ["SharedRuns", "shared_runs"]

_FLAT = 1e-4
"""mm: how far a piece that is followed may bend."""
_SAME_STRETCH = 4.0
"""Times ``within``: places of one contour this close along it and heading alike are one stretch, not two."""
_TURNED_BACK = -0.5
_ASLANT = np.pi / 4.0
"""45°: a run is where two stretches go the same way or the opposite one, not where one cuts across."""
_ALIKE = np.cos(_ASLANT)
_EXACT = 1e-3
"""mm: how exactly lengths are known. A run of the least length is one, though a file in pixels or inches rounds it to a hair less."""

_PURSE = 300_000.0
"""Pairs of segments of one contour that come near each other, beyond the free ones: some seconds of work."""

_LOOK = 0.1
"""What a pair of them costs that is only looked at."""

_FREE = 16.0
"""The same that are free for each segment: a traced edge has its nodes closer together than the distance asked for."""


class SharedRuns(msgspec.Struct, frozen=True, eq=False):
    """Stretches of contours that lie on another contour, or on another stretch of the same one.

    Attributes
    ----------
    first, second : (k,) int
        Contours, first < second; equal for a contour that lies on itself.
    length : (k,) mm
        Length of the stretch along the first contour, ends within 0.01 mm; a stretch run twice counts once.
    points : (k, 2, 2)
        Where the stretch starts and ends, on the first contour.
    bounds : (k, 4)
        x0, y0, x1, y1 of the stretch.
    unsure : (m,) int
        Contours too large to be judged so exactly: see `preflight.geometry.flatten.MOST_PIECES`.
    stopped : (c,) bool
        Contours that come near themselves or others so often that their runs were not looked for, or not all of them.
    unfollowed : (m,) int
        Contours whose runs were not looked for, since their curves would fall into too many pieces.
    """

    first: Integers
    second: Integers
    length: Floats
    points: Floats
    bounds: Floats
    unsure: Integers
    stopped: Flags
    unfollowed: Integers


def shared_runs(
    drawn: Outlines | Strands,
    within: float,
    least_length: float,
    exclude: Integers | None = None,
    leave_out: Integers | None = None,
) -> SharedRuns:
    """Stretches at least ``least_length`` long on which two contours stay within a distance of each other.

    A contour also counts as running on itself where it comes back: retraced, or doubled. Places less than
    four times ``within`` apart along the contour belong to one stretch unless the contour has turned by more
    than 120° between them. Stretches that head more than 45° apart do not run together. An exact repeat of an earlier contour is left out by itself.

    Parameters
    ----------
    within, least_length : float, mm
    exclude : (k, 2) int, optional
        Pairs of contours that are not compared.
    leave_out : (m,) int, optional
        Contours not compared at all, such as ``Duplicates.second``.
    """
    strands = Strands.of(drawn)
    looked_at = np.ones(len(strands.offsets) - 1, bool)
    looked_at[exact_repeats(strands.outlines, strands.tree.contour_boxes())] = False
    if leave_out is not None:
        looked_at[leave_out] = False
    if not looked_at.any() or not len(strands.segments):
        return _none(np.zeros(len(looked_at), bool), np.empty(0, np.intp))
    paired, curled, tangled = _doubtful_alone(strands, looked_at, within, least_length)
    limits = near_limits(strands)
    first, second = near_segments(strands, within, looked_at & ~tangled, exclude=exclude, limits=limits)
    clear = ~(limits.stopped[strands.contour[first]] | limits.stopped[strands.contour[second]])
    first, second = first[clear], second[clear]
    along = may_run_along(strands.segments[first], strands.segments[second], within, _ASLANT)
    first, second = first[along], second[along]
    used, selves, unfollowed = followed(
        strands, np.concatenate([first, second]), paired, curled, within, _FLAT, _ASLANT
    )
    if not len(used):
        return _none(tangled | limits.stopped, unfollowed)
    edges = measured_edges(strands, used, _FLAT)
    a, b = _near_edges(edges, within)
    same = edges.contour[a] == edges.contour[b]
    differ = edges.contour[a] < edges.contour[b]
    if exclude is not None:
        count = len(looked_at)
        differ &= ~np.isin(edges.contour[a] * count + edges.contour[b], pair_keys(exclude, count))
    rings = strands.rings
    back = same & (a != b) & np.isin(edges.contour[a], selves)
    back[back] = ~_one_stretch(edges, a[back], b[back], rings, within)
    crosswise = _runs(edges, a[differ], b[differ], edges.goes_on, within, rings)
    # Counted from its start, a contour run twice all the way ends there: the second lap does not go on in the first.
    passes = edges.goes_on
    passes[edges.path <= GAP, 0] = False
    passes[edges.path + edges.length >= edges.totals[edges.contour] - GAP, 1] = False
    back_rows = _once(edges, a[back], b[back], within)
    alone = _runs(edges, *back_rows, passes, within, rings)
    return _kept(edges, [crosswise, alone], least_length, tangled | limits.stopped, unfollowed)


def _doubtful_alone(
    strands: Strands, contours: Flags, within: float, least_length: float
) -> tuple[Integers, Integers, Flags]:
    """Segments of some contours (c,) that might lie on another stretch of their own, and on another of themselves; contours
    with too many pairs of them.
    """
    # Where the distance is small beside the length asked for, no run is made of what lies close by anyway:
    # a contour seen whole from its middle, or neighbours that leave their node in opposite directions.
    spares = 8.0 * within <= least_length
    doubtful = contours & (strands.clear_of_themselves <= within) if spares else contours
    limits = NearLimits(strands.contour, len(contours), _PURSE, _FREE, _LOOK)
    for first, second in strands.tree.near_within_contours(doubtful, within, limits.stopped):
        near = ~cubics.kept_apart(strands.segments[first], strands.segments[second], within)
        limits.add(first, second, near, 1.0 - _LOOK)
    first, second = limits.pairs
    clear = ~limits.stopped[strands.contour[first]]
    first, second = first[clear], second[clear]
    doubtful = doubtful & ~limits.stopped
    if spares:
        onward, back = strands.following[first] == second, strands.following[second] == first
        keep = np.ones(len(first), bool)
        for rows, before, after in ((onward & ~back, first, second), (back & ~onward, second, first)):
            index = np.flatnonzero(rows)
            keep[index] = ~_leaves_behind(strands.segments[before[index]], strands.segments[after[index]])
        first, second = first[keep], second[keep]
    rows = np.flatnonzero(doubtful[strands.contour])
    curves = strands.segments[rows]
    steps = np.diff(curves, axis=1)
    chord = curves[:, 3] - curves[:, 0]
    ahead = steps[..., 0] * chord[:, None, 0] + steps[..., 1] * chord[:, None, 1]
    size = np.hypot(steps[..., 0], steps[..., 1]) * np.hypot(chord[:, 0], chord[:, 1])[:, None]
    curled = rows[(ahead < 0.5 * size).any(axis=1)]
    return distinct(np.concatenate([first, second])), curled, limits.stopped


def _leaves_behind(before: Floats, after: Floats) -> Flags:
    """Whether all of a curve lies within 60° of one direction from the node, the next of the opposite one."""
    node = after[:, :1]
    sides = np.concatenate([node - before[:, :3], after[:, 1:] - node], axis=1)
    size = np.sqrt((sides * sides).sum(axis=2))
    along = (sides / np.where(size > 0.0, size, 1.0)[..., None]).sum(axis=1)
    along /= np.maximum(np.sqrt((along * along).sum(axis=1)), 1e-300)[:, None]
    return np.asarray(((sides * along[:, None]).sum(axis=2) >= 0.5 * size).all(axis=1))


def _near_edges(edges: Edges, within: float) -> tuple[Integers, Integers]:
    if not len(edges.contour):
        return np.empty(0, np.intp), np.empty(0, np.intp)
    lines = shapely.linestrings(edges.ends)
    a, b = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=within)
    heading = edges.heading
    side_by_side = np.abs((heading[a] * heading[b]).sum(axis=1)) >= _ALIKE
    return a[side_by_side], b[side_by_side]


def _one_stretch(edges: Edges, a: Integers, b: Integers, rings: Flags, within: float) -> Flags:
    """Pairs of edges of one contour that follow each other closely and head alike."""
    totals = edges.totals
    low, high = np.where(edges.path[a] <= edges.path[b], a, b), np.where(edges.path[a] <= edges.path[b], b, a)
    between = edges.path[high] - (edges.path[low] + edges.length[low])
    contour = edges.contour[a]
    around = edges.path[low] + totals[contour] - (edges.path[high] + edges.length[high])
    between = np.where(rings[contour], np.minimum(between, around), between)
    straight_on = (edges.heading[a] * edges.heading[b]).sum(axis=1) > _TURNED_BACK
    return np.asarray((between <= _SAME_STRETCH * within) & straight_on)


def _once(edges: Edges, a: Integers, b: Integers, within: float) -> tuple[Integers, Integers]:
    """Of a stretch run twice keep the first passage, counted from a place that is not run twice."""
    totals = edges.totals
    origin = np.zeros(len(totals))
    low, high, real = inside_capsules(edges.ends[a], edges.ends[b], edges.goes_on[b], within)
    contour = edges.contour[a][real]
    start = edges.path[a][real] + low[real] * edges.length[a][real]
    stop = edges.path[a][real] + high[real] * edges.length[a][real]
    order = np.lexsort((start, contour))
    contour, start, stop = contour[order], start[order], stop[order]
    names = distinct(contour)
    borders = np.searchsorted(contour, np.append(names, len(totals))).tolist()
    for name, begin, end in zip(names.tolist(), borders, borders[1:], strict=False):  # on themselves: few
        own = slice(begin, end)
        reached = np.maximum.accumulate(stop[own])
        free = np.flatnonzero(start[own][1:] > reached[:-1] + GAP)
        if start[own][0] <= GAP and reached[-1] >= totals[name] - GAP and len(free):
            origin[name] = start[own][1:][free[0]] - GAP / 2.0
    turn_a = np.mod(
        edges.path[a] - origin[edges.contour[a]] + 1e-9, np.maximum(totals[edges.contour[a]], 1e-300)
    )
    turn_b = np.mod(
        edges.path[b] - origin[edges.contour[b]] + 1e-9, np.maximum(totals[edges.contour[b]], 1e-300)
    )
    return a[turn_a < turn_b], b[turn_a < turn_b]


_Runs = tuple[Integers, Integers, Floats, Floats]


def _runs(edges: Edges, a: Integers, b: Integers, goes_on: Flags, within: float, rings: Flags) -> _Runs:
    """First and second contour, start and stop along the first, of every stretch of edges ``a`` near edges ``b``."""
    low, high, real = inside_capsules(edges.ends[a], edges.ends[b], goes_on[b], within)
    a, b, low, high = a[real], b[real], low[real], high[real]
    first, second = edges.contour[a], edges.contour[b]
    start, stop = edges.path[a] + low * edges.length[a], edges.path[a] + high * edges.length[a]
    order = np.lexsort((start, second, first))
    first, second, start, stop = first[order], second[order], start[order], stop[order]
    if not len(first):
        return first, second, start, stop
    group = np.cumsum(np.append(False, (first[1:] != first[:-1]) | (second[1:] != second[:-1])))
    # Groups are set far apart on one axis, so that one running maximum serves them all.
    shift = group * (2.0 * edges.totals.max() + 10.0)
    reached = np.maximum.accumulate(stop + shift)
    fresh = np.append(True, start[1:] + shift[1:] > reached[:-1] + GAP)
    begins = np.flatnonzero(fresh)
    ends = np.append(begins[1:], len(first)) - 1
    first, second, start, stop = first[begins], second[begins], start[begins], (reached - shift)[ends]
    return _over_the_start(first, second, start, stop, edges.totals, rings)


def _over_the_start(
    first: Integers, second: Integers, start: Floats, stop: Floats, totals: Floats, rings: Flags
) -> _Runs:
    """Join the run at the end of a closed contour with the one at its start; ``stop`` then exceeds the length."""
    begins = np.append(True, (first[1:] != first[:-1]) | (second[1:] != second[:-1]))
    head = np.flatnonzero(begins)
    tail = np.append(head[1:], len(first)) - 1
    total = totals[first[head]]
    joins = (head != tail) & rings[first[head]] & (start[head] <= GAP) & (stop[tail] >= total - GAP)
    stop = stop.copy()
    stop[tail[joins]] = total[joins] + stop[head[joins]]
    keep = np.ones(len(first), bool)
    keep[head[joins]] = False
    return first[keep], second[keep], start[keep], stop[keep]


def _kept(
    edges: Edges,
    parts: list[_Runs],
    least_length: float,
    stopped: Flags,
    unfollowed: Integers,
) -> SharedRuns:
    first, second, start, stop = (np.concatenate(column) for column in zip(*parts, strict=True))
    long = stop - start >= least_length - _EXACT
    first, second, start, stop = first[long], second[long], start[long], stop[long]
    order = np.lexsort((start, second, first))
    first, second, start, stop = first[order], second[order], start[order], stop[order]
    points, bounds = edges.along(first, start, stop)
    return SharedRuns(first, second, stop - start, points, bounds, edges.unsure, stopped, unfollowed)


def _none(stopped: Flags, unfollowed: Integers) -> SharedRuns:
    no = np.empty(0, np.intp)
    return SharedRuns(no, no, np.empty(0), np.empty((0, 2, 2)), np.empty((0, 4)), no, stopped, unfollowed)
