"""Where pairs of cubic curves meet, exact on the true curves. Knows single curves, not the contours they form."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["Meetings", "loops", "meetings", "parted_at_node"]

FLAT = 1e-4
"""mm: a piece that bends less than this is searched as its chord; the place is then refined on the true curve."""

NODE_SURROUNDINGS = 0.01
"""mm: places this close to the node that two curves share are the node itself."""

_BATCH = 50_000


class Meetings(msgspec.Struct, frozen=True, eq=False):
    """Places where the curves of a pair meet; one place may be listed more than once.

    Attributes
    ----------
    pair : (m,) int
        Row of the arrays given.
    first_at, second_at : (m,) parameters on the two curves
    points : (m, 2) midway between the two curves
    at_shared_node : (m,) bool
        The place is the node through which one curve goes over into the other.
    """

    pair: Integers
    first_at: Floats
    second_at: Floats
    points: Floats
    at_shared_node: Flags


def meetings(
    first: Floats, second: Floats, end_to_start: Flags, start_to_end: Flags, reach: float
) -> Meetings:
    """All places where two curves cross or come within ``reach`` of each other as nearly as they get.

    Curves that lie on each other meet everywhere: a number of places along the common stretch is given,
    both its ends among them.

    Parameters
    ----------
    first, second : (k, 4, 2)
    end_to_start, start_to_end : (k,) bool
        The end of ``first`` is the node where ``second`` starts; the start of ``first`` is where it ends.
    reach : float
        Distance up to which the curves count as meeting.
    """
    found = []
    for begin in range(0, len(first), _BATCH):
        part = slice(begin, begin + _BATCH)
        near = _flat_pieces(first[part], second[part], end_to_start[part], start_to_end[part], reach)
        pair, t, s = _starting_places(first[part], second[part], *near, reach)
        t, s, gap = _nearest(first[part][pair], second[part][pair], t, s)
        met = gap <= reach
        found.append((pair[met] + begin, t[met], s[met]))
    pair, t, s = (np.concatenate(column) for column in zip(*found, strict=True)) if found else _nothing()
    here, there = cubics.points_at(first[pair], t), cubics.points_at(second[pair], s)
    points = (here + there) / 2.0
    to_end = np.linalg.norm(points - first[pair, 3], axis=1) <= NODE_SURROUNDINGS
    to_start = np.linalg.norm(points - first[pair, 0], axis=1) <= NODE_SURROUNDINGS
    shared = end_to_start[pair] & to_end & (t > 0.5) & (s < 0.5)
    shared |= start_to_end[pair] & to_start & (t < 0.5) & (s > 0.5)
    return Meetings(pair, t, s, points, shared)


def parted_at_node(before: Floats, after: Floats) -> Flags:
    """Whether two curves (k, 4, 2), the second starting where the first ends, surely meet nowhere else.

    They do not if a line through the node has all control points of the one on one side and all of the
    other on the other side.
    """
    # Coordinate by coordinate: this runs over every node of a sheet.
    node_x, node_y = after[:, 0, 0], after[:, 0, 1]
    sides = [(node_x - before[:, k, 0], node_y - before[:, k, 1]) for k in range(3)]
    sides += [(after[:, k, 0] - node_x, after[:, k, 1] - node_y) for k in range(1, 4)]
    along_x, along_y = np.zeros(len(after)), np.zeros(len(after))
    for x, y in sides:
        size = np.sqrt(x * x + y * y)
        size[size == 0.0] = 1.0
        along_x += x / size
        along_y += y / size
    ahead = [x * along_x + y * along_y for x, y in sides]
    parted: Flags = np.asarray((ahead[0] > 0.0) & (ahead[5] > 0.0))
    for value in ahead[1:5]:
        parted &= value >= 0.0
    doubtful = np.flatnonzero(~parted)
    if len(doubtful):
        vectors = np.stack([np.stack([x[doubtful], y[doubtful]], axis=1) for x, y in sides], axis=1)
        ends = (vectors[:, 0] != 0.0).any(axis=1) & (vectors[:, 5] != 0.0).any(axis=1)
        parted[doubtful] = ends & cubics.all_on_one_side(vectors)
    return parted


def loops(curves: Floats, reach: float) -> tuple[Integers, Floats, Floats]:
    """Curves (k, 4, 2) that cross themselves: row, and the two parameters, smaller first.

    With P(t) = P(s), t ≠ s, the difference divided by t − s is linear in t + s and t·s: solved in closed
    form. A start or end that stops short of the curve by no more than ``reach`` counts as meeting it.
    """
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))
    a, b, c = p3 - 3.0 * p2 + 3.0 * p1 - p0, 3.0 * (p2 - 2.0 * p1 + p0), 3.0 * (p1 - p0)
    size = np.maximum(np.abs(curves - curves[:, :1]).max(axis=(1, 2)), 1e-300)
    across = cubics.cross(b, a)
    turning = np.abs(across) > 1e-12 * size * size  # else a straight or a quadratic curve: no loop
    rows = np.flatnonzero(turning)
    a, b, c, across = a[rows], b[rows], c[rows], across[rows]
    total = -cubics.cross(c, a) / across
    product = total * total + ((b * total[:, None] + c) * a).sum(axis=1) / (a * a).sum(axis=1)
    inside = total * total - 4.0 * product
    rows, total, inside = rows[inside > 0.0], total[inside > 0.0], inside[inside > 0.0]
    root = np.sqrt(inside)
    t, s = (total - root) / 2.0, (total + root) / 2.0
    slack_start = reach / np.maximum(3.0 * np.linalg.norm(p1[rows] - p0[rows], axis=1), 1e-12)
    slack_end = reach / np.maximum(3.0 * np.linalg.norm(p3[rows] - p2[rows], axis=1), 1e-12)
    on_curve = (t >= -np.minimum(slack_start, 0.01)) & (s <= 1.0 + np.minimum(slack_end, 0.01))
    on_curve &= (s > t) & (s > 0.0) & (t < 1.0)
    return rows[on_curve], np.clip(t[on_curve], 0.0, 1.0), np.clip(s[on_curve], 0.0, 1.0)


def _nothing() -> tuple[Integers, Floats, Floats]:
    return np.empty(0, np.intp), np.empty(0), np.empty(0)


def _flat_pieces(
    first: Floats, second: Floats, end_to_start: Flags, start_to_end: Flags, reach: float
) -> tuple[Integers, Floats, Floats]:
    """Pairs of nearly straight pieces that come near each other: row, span on the first, span on the second.

    The curve that bends more is halved until both are flat; pieces whose boxes part are dropped, and so are
    the two pieces at a shared node once a line parts them.
    """
    pair = np.arange(len(first))
    a, b = first, second
    span_a = np.broadcast_to([0.0, 1.0], (len(first), 2)).copy()
    span_b = span_a.copy()
    done: list[tuple[Integers, Floats, Floats]] = []
    while len(pair):
        box_a, box_b = cubics.hull_boxes(a), cubics.hull_boxes(b)
        keep: Flags = np.asarray(
            (box_a[:, :2] <= box_b[:, 2:] + reach).all(axis=1)
            & (box_b[:, :2] <= box_a[:, 2:] + reach).all(axis=1)
        )
        onward = keep & end_to_start[pair] & (span_a[:, 1] == 1.0) & (span_b[:, 0] == 0.0)
        back = keep & start_to_end[pair] & (span_a[:, 0] == 0.0) & (span_b[:, 1] == 1.0)
        # Two whole curves that share both their nodes are not parted by a line through one of them.
        keep[onward] &= ~parted_at_node(a[onward], b[onward]) | back[onward]
        keep[back] &= ~parted_at_node(b[back], a[back]) | onward[back]
        pair, a, b, span_a, span_b = pair[keep], a[keep], b[keep], span_a[keep], span_b[keep]
        bend_a, bend_b = cubics.bends(a), cubics.bends(b)
        flat = (bend_a <= FLAT) & (bend_b <= FLAT)
        done.append((pair[flat], span_a[flat], span_b[flat]))
        split_a, split_b = ~flat & (bend_a >= bend_b), ~flat & (bend_a < bend_b)
        a_low, a_high = cubics.halves(a[split_a])
        b_low, b_high = cubics.halves(b[split_b])
        spans_a, spans_b = _halved(span_a[split_a]), _halved(span_b[split_b])
        pair, a, b, span_a, span_b = (
            np.concatenate([pair[split_a], pair[split_a], pair[split_b], pair[split_b]]),
            np.concatenate([a_low, a_high, a[split_b], a[split_b]]),
            np.concatenate([b[split_a], b[split_a], b_low, b_high]),
            np.concatenate([*spans_a, span_a[split_b], span_a[split_b]]),
            np.concatenate([span_b[split_a], span_b[split_a], *spans_b]),
        )
    if not done:
        return np.empty(0, np.intp), np.empty((0, 2)), np.empty((0, 2))
    return (
        np.concatenate([row for row, _, _ in done]),
        np.concatenate([span for _, span, _ in done]),
        np.concatenate([span for _, _, span in done]),
    )


def _halved(span: Floats) -> tuple[Floats, Floats]:
    middle = span.mean(axis=1)
    return np.stack([span[:, 0], middle], axis=1), np.stack([middle, span[:, 1]], axis=1)


def _starting_places(
    first: Floats, second: Floats, pair: Integers, span_a: Floats, span_b: Floats, reach: float
) -> tuple[Integers, Floats, Floats]:
    """Row and parameters where the chords of flat pieces cross, or else where an end is nearest the other."""
    a0, a1 = (cubics.points_at(first[pair], span_a[:, k]) for k in (0, 1))
    b0, b1 = (cubics.points_at(second[pair], span_b[:, k]) for k in (0, 1))
    along_a, along_b, between = a1 - a0, b1 - b0, b0 - a0
    across = cubics.cross(along_a, along_b)
    usable = np.abs(across) > 1e-12 * np.linalg.norm(along_a, axis=1) * np.linalg.norm(along_b, axis=1)
    safe = np.where(usable, across, 1.0)
    x, y = cubics.cross(between, along_b) / safe, cubics.cross(between, along_a) / safe
    crossing = usable & (x >= 0.0) & (x <= 1.0) & (y >= 0.0) & (y <= 1.0)
    zero, one = np.zeros(len(pair)), np.ones(len(pair))
    guesses = [
        (np.where(crossing, x, 2.0), y),
        (zero, _foot(a0, b0, along_b)),
        (one, _foot(a1, b0, along_b)),
        (_foot(b0, a0, along_a), zero),
        (_foot(b1, a0, along_a), one),
    ]
    rows, ts, ss = [], [], []
    for k, (x, y) in enumerate(guesses):
        here, there = a0 + along_a * x[:, None], b0 + along_b * y[:, None]
        near = crossing if k == 0 else np.linalg.norm(here - there, axis=1) <= reach + 4.0 * FLAT
        rows.append(pair[near])
        ts.append((span_a[:, 0] + (span_a[:, 1] - span_a[:, 0]) * x)[near])
        ss.append((span_b[:, 0] + (span_b[:, 1] - span_b[:, 0]) * y)[near])
    return np.concatenate(rows), np.concatenate(ts), np.concatenate(ss)


def _foot(points: Floats, start: Floats, along: Floats) -> Floats:
    """(k,) parameter 0..1 on a line where it is nearest a point."""
    square = np.maximum((along * along).sum(axis=1), 1e-300)
    return np.asarray(np.clip(((points - start) * along).sum(axis=1) / square, 0.0, 1.0))


def _nearest(first: Floats, second: Floats, t: Floats, s: Floats) -> tuple[Floats, Floats, Floats]:
    """Newton's method to the nearest approach of two curves from a good start; parameters kept in 0..1.

    Returns the parameters and the distance there. A clean crossing settles in three or four steps; where
    the curves touch along a tangent the steps shrink by a constant factor only, hence the number of rounds.
    """
    t, s, gap = t.copy(), s.copy(), np.zeros(len(t))
    active = np.arange(len(t))
    for _ in range(40):
        if not len(active):
            break
        a, b, ta, sb = first[active], second[active], t[active], s[active]
        step_t, step_s, scale = _newton_step(a, b, ta, sb)
        t[active] = np.clip(ta + step_t, 0.0, 1.0)
        s[active] = np.clip(sb + step_s, 0.0, 1.0)
        moved = np.maximum(np.abs(t[active] - ta), np.abs(s[active] - sb)) * scale
        active = active[moved > 1e-9]
    if len(t):
        gap = np.linalg.norm(cubics.points_at(first, t) - cubics.points_at(second, s), axis=1)
    return t, s, gap


def _newton_step(a: Floats, b: Floats, t: Floats, s: Floats) -> tuple[Floats, Floats, Floats]:
    apart = cubics.points_at(a, t) - cubics.points_at(b, s)
    da, db = cubics.first_derivatives(a, t), cubics.first_derivatives(b, s)
    grad_t, grad_s = (apart * da).sum(axis=1), -(apart * db).sum(axis=1)
    square_a, square_b = (da * da).sum(axis=1), (db * db).sum(axis=1)
    mixed = -(da * db).sum(axis=1)
    h_tt = square_a + (apart * cubics.second_derivatives(a, t)).sum(axis=1)
    h_ss = square_b - (apart * cubics.second_derivatives(b, s)).sum(axis=1)
    # Where the second derivatives leave no minimum in sight, or the curves run side by side, lean on the
    # first derivatives with a little damping.
    poor = (h_tt <= 0.0) | (h_ss <= 0.0) | (h_tt * h_ss - mixed * mixed <= 1e-13 * square_a * square_b)
    damping = 1e-9 * (square_a + square_b) + 1e-30
    h_tt = np.where(poor, square_a + damping, h_tt)
    h_ss = np.where(poor, square_b + damping, h_ss)
    determinant = h_tt * h_ss - mixed * mixed
    step_t = (mixed * grad_s - h_ss * grad_t) / determinant
    step_s = (mixed * grad_t - h_tt * grad_s) / determinant
    held_t = ((t <= 0.0) & (step_t < 0.0)) | ((t >= 1.0) & (step_t > 0.0))
    held_s = ((s <= 0.0) & (step_s < 0.0)) | ((s >= 1.0) & (step_s > 0.0))
    step_s = np.where(held_t, -grad_s / h_ss, step_s)
    step_t = np.where(held_s, -grad_t / h_tt, step_t)
    step_t, step_s = np.where(held_t, 0.0, step_t), np.where(held_s, 0.0, step_s)
    return np.clip(step_t, -0.1, 0.1), np.clip(step_s, -0.1, 0.1), np.sqrt(np.maximum(square_a, square_b))
