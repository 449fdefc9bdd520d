"""Which of the places found are one place, and whether contours pass to the other side there. Knows no limits."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from preflight.geometry import cubics
from preflight.geometry.clusters import linked
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.strands import TOUCH, Strands

__all__ = ["PlacesFound", "judged"]

_ONE_PLACE = 2.0 * TOUCH
_ROUNDED = 1e-6
"""mm: places that agree so far are one, found from more than one side."""

_LOOK_AROUND = 0.05  # mm: sides are told apart where the contours leave a circle of this radius
_SAME_DIRECTION = 1e-4  # radians
_SLIVER = 0.2  # mm: closer along the contour than this, a mere approach is the inside of a sharp corner


class PlacesFound(msgspec.Struct, frozen=True, eq=False):
    """Meetings of segments of :class:`Strands`: (k,) segments, parameters, points (k, 2)."""

    first: Integers
    second: Integers
    first_at: Floats
    second_at: Floats
    points: Floats
    at_shared_node: Flags

    def chosen(self, rows: Integers | Flags) -> PlacesFound:
        """Some of the places."""
        return PlacesFound(
            self.first[rows],
            self.second[rows],
            self.first_at[rows],
            self.second_at[rows],
            self.points[rows],
            self.at_shared_node[rows],
        )


def judged(strands: Strands, found: PlacesFound) -> tuple[PlacesFound, Flags]:
    """The distinct places, and (k,) whether the contours only touch there.

    Places along a stretch that two contours share (or one runs twice) are reduced to its two ends; to its beginning along the
    first of two contours that pass to each other's other side over it, which is one crossing.
    """
    if not len(found.first):
        return found, np.zeros(0, bool)
    found = found.chosen(_real(strands, found))
    found = found.chosen(_distinct(strands, found))
    link_from, link_to = _shared_stretches(strands, found)
    inner = np.isin(np.arange(len(found.first)), link_from) & np.isin(np.arange(len(found.first)), link_to)
    stretch = linked(len(found.first), link_from, link_to)
    sides = _sides(strands, found)
    sides[found.at_shared_node | inner] = 0
    left, right = np.zeros(len(stretch), bool), np.zeros(len(stretch), bool)
    np.logical_or.at(left, stretch, (sides > 0).any(axis=1))
    np.logical_or.at(right, stretch, (sides < 0).any(axis=1))
    crossing = (left & right)[stretch]
    ended = np.isin(np.arange(len(found.first)), link_to) & crossing
    ended &= strands.contour[found.first] != strands.contour[found.second]
    keep = np.flatnonzero(~inner & ~ended & ~found.at_shared_node)
    return found.chosen(keep), ~crossing[keep]


def _positions(strands: Strands, segment: Integers, t: Floats) -> Floats:
    return segment - strands.offsets[strands.contour[segment]] + t


def _real(strands: Strands, found: PlacesFound) -> Flags:
    """Leave out mere approaches between neighbouring stretches of one contour."""
    curves = strands.segments
    gap = np.linalg.norm(
        cubics.points_at(curves[found.first], found.first_at)
        - cubics.points_at(curves[found.second], found.second_at),
        axis=1,
    )
    lengths = np.linalg.norm(np.diff(curves, axis=1), axis=2).sum(axis=1)
    before = np.concatenate([np.zeros(1), np.cumsum(lengths)])
    along = (before[found.second] + lengths[found.second] * found.second_at) - (
        before[found.first] + lengths[found.first] * found.first_at
    )
    contour = strands.contour[found.first]
    begin, end = strands.offsets[contour], strands.offsets[contour + 1]
    joined = strands.following[end - 1] >= 0
    around = np.where(joined, before[end] - before[begin] - along, np.inf)
    path = np.minimum(np.abs(along), np.abs(around))
    same = contour == strands.contour[found.second]
    sliver = same & ((path <= 5.0 * TOUCH) | ((path <= _SLIVER) & (gap > 1e-6)))
    return np.asarray(~sliver | found.at_shared_node)


def _distinct(strands: Strands, found: PlacesFound) -> Integers:
    """One row for each group of rows at the same place of the same two contours."""
    if len(found.first) < 2:
        return np.arange(len(found.first))
    one, other = strands.contour[found.first], strands.contour[found.second]
    order = np.lexsort((other, one))
    fresh = (one[order][1:] != one[order][:-1]) | (other[order][1:] != other[order][:-1])
    group = np.empty(len(order), np.intp)
    group[order] = np.cumsum(np.append(False, fresh))
    # Two lines that end in one point find it four times: each place once is enough, that away from the shared node.
    cells = np.round(found.points / _ROUNDED)
    order = np.lexsort((found.at_shared_node, cells[:, 1], cells[:, 0], group))
    again = (group[order][1:] == group[order][:-1]) & (cells[order][1:] == cells[order][:-1]).all(axis=1)
    rows = order[np.append(True, ~again)]
    # Each pair of contours has a field of its own: where a thousand lines run through one point, a million pairs meet.
    field = np.ptp(found.points, axis=0).max() + 1.0
    across = int(np.sqrt(group.max() + 1.0)) + 1
    places = found.points[rows] + field * np.stack([group[rows] % across, group[rows] // across], axis=1)
    points = shapely.points(places)
    a, b = shapely.STRtree(points).query(points, predicate="dwithin", distance=_ONE_PLACE)
    labels = linked(len(rows), a[a < b], b[a < b])
    # A place away from the shared node speaks for its group before one at the node does.
    order = np.lexsort((rows, found.at_shared_node[rows], labels))
    return np.sort(rows[order[np.unique(labels[order], return_index=True)[1]]])


def _shared_stretches(strands: Strands, found: PlacesFound) -> tuple[Integers, Integers]:
    """Pairs of places, one after the other along the first contour, between which the contours coincide."""
    one, other = strands.contour[found.first], strands.contour[found.second]
    u = _positions(strands, found.first, found.first_at)
    v = _positions(strands, found.second, found.second_at)
    order = np.lexsort((v, u, other, one))
    size_one, size_other = np.diff(strands.offsets)[one], np.diff(strands.offsets)[other]
    ring_one = strands.following[strands.offsets[one + 1] - 1] >= 0
    ring_other = strands.following[strands.offsets[other + 1] - 1] >= 0
    begins = np.ones(len(order), bool)
    begins[1:] = (one[order][1:] != one[order][:-1]) | (other[order][1:] != other[order][:-1])
    starts = np.flatnonzero(begins)
    ends = np.append(starts[1:], len(order))
    group = np.cumsum(begins) - 1
    linked: list[tuple[Integers, Integers]] = []
    for ahead in (1, 2, 3):
        here = np.arange(len(order))
        there = here + ahead
        count = (ends - starts)[group] if len(order) else here
        wraps = there >= ends[group] if len(order) else np.zeros(0, bool)
        there = np.where(wraps, there - count, there)
        usable = (count > ahead) & (~wraps | ring_one[order])
        a, b = order[here[usable]], order[there[usable]]
        du = u[b] - u[a] + np.where(wraps[usable], size_one[a], 0)
        dv = v[b] - v[a]
        dv = np.where(ring_other[a], dv - size_other[a] * np.round(dv / np.maximum(size_other[a], 1)), dv)
        near = (du > 1e-9) & (du <= 1.0 + 1e-6) & (np.abs(dv) > 1e-9) & (np.abs(dv) <= 1.0 + 1e-6)
        a, b, du, dv = a[near], b[near], du[near], dv[near]
        # At two places between them: the middle alone may be a crossing that lies evenly between two others.
        same = _coincide(strands, one[a], u[a] + 0.5 * du, other[a], v[a] + 0.5 * dv)
        same[same] = _coincide(
            strands, one[a[same]], u[a[same]] + 0.3 * du[same], other[a[same]], v[a[same]] + 0.3 * dv[same]
        )
        linked.append((a[same], b[same]))
    return np.concatenate([a for a, _ in linked]), np.concatenate([b for _, b in linked])


def _coincide(strands: Strands, one: Integers, u: Floats, other: Integers, v: Floats) -> Flags:
    """Whether the first contour at position ``u`` lies on the second near position ``v``."""
    sizes = np.diff(strands.offsets)
    u, v = np.mod(u, sizes[one]), np.mod(v, sizes[other])
    segment_u, segment_v = np.floor(u).astype(np.intp), np.floor(v).astype(np.intp)
    here = cubics.points_at(strands.segments[strands.offsets[one] + segment_u], u - segment_u)
    curve = strands.segments[strands.offsets[other] + segment_v]
    tried = np.linspace(0.0, 1.0, 17)
    away = np.linalg.norm(cubics.points_at(curve[:, None], tried) - here[:, None], axis=2)
    t = tried[away.argmin(axis=1)] if len(here) else np.zeros(0)
    for _ in range(8):
        speed = cubics.first_derivatives(curve, t)
        apart = here - cubics.points_at(curve, t)
        t = np.clip(
            t + (apart * speed).sum(axis=1) / np.maximum((speed * speed).sum(axis=1), 1e-30), 0.0, 1.0
        )
    return np.asarray(np.linalg.norm(cubics.points_at(curve, t) - here, axis=1) <= _ONE_PLACE)


def _sides(strands: Strands, found: PlacesFound) -> Integers:
    """(k, 2) side of the first contour on which the second comes and goes: 1, -1, or 0 along it or ended."""
    if not len(found.first):
        return np.zeros((0, 2), np.intp)
    radius = _LOOK_AROUND
    came = strands.exits(found.first, found.first_at, False, radius)
    goes = strands.exits(found.first, found.first_at, True, radius)
    ahead = _angle(goes)
    behind = np.mod(_angle(came) - ahead, 2.0 * np.pi)
    sides = np.zeros((len(found.first), 2), np.intp)
    for column, forward in enumerate((False, True)):
        branch = _angle(strands.exits(found.second, found.second_at, forward, radius))
        turn = np.mod(branch - ahead, 2.0 * np.pi)
        along = (turn < _SAME_DIRECTION) | (turn > 2.0 * np.pi - _SAME_DIRECTION)
        along |= np.abs(turn - behind) < _SAME_DIRECTION
        known = ~np.isnan(turn) & ~np.isnan(behind) & ~along
        sides[known, column] = np.where(turn[known] < behind[known], 1, -1)
    return sides


def _angle(vectors: Floats) -> Floats:
    return np.asarray(np.arctan2(vectors[:, 1], vectors[:, 0]))
