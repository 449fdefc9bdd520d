"""Where contours cross or touch themselves and each other. Knows contours, not artwork, steps or limits of a job."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.meeting_sides import PlacesFound, judged
from preflight.geometry.meetings import loops, meetings, parted_at_node
from preflight.geometry.near_pairs import costs, near_limits, near_segments
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.strands import TOUCH, Strands, exact_repeats

__all__ = ["Crossings", "between", "self_crossings"]


class Crossings(msgspec.Struct, frozen=True, eq=False):
    """Places where contours cross or touch, in the order of the contours and along the first of them.

    Attributes
    ----------
    first, second : (k,) int
        The contours; equal where a contour meets itself.
    points : (k, 2)
        The place, exact to 0.001 mm on the true curves.
    touching : (k,) bool
        The contours meet there without passing to each other's other side.
    first_at, second_at : (k, 2)
        Segment index (into ``Outlines.segments``) and parameter of the place on either contour.
    stopped : (c,) bool
        Contours that meet so often that not all of their places were looked for.
    """

    first: Integers
    second: Integers
    points: Floats
    touching: Flags
    first_at: Floats
    second_at: Floats
    stopped: Flags


def self_crossings(drawn: Outlines | Strands) -> Crossings:
    """Every place where a contour crosses or touches itself.

    The node between two segments that follow each other is no such place, nor are the ends of an open
    contour that meet. A node passed twice, a node lying on another segment (within 0.001 mm) and the end of
    a stretch drawn twice are. Of a stretch the contour runs along itself only the ends are given; a contour
    that lies on itself all the way round has none.
    """
    strands = Strands.of(drawn)
    if not len(strands.segments):
        return _none(strands)
    # Places of a contour this close along it are never told apart.
    doubtful = strands.clear_of_themselves < TOUCH
    limits = near_limits(strands)
    for first, second in strands.tree.near_within_contours(doubtful, TOUCH, limits.stopped):
        near = _may_meet(strands, first, second)
        limits.add(first, second, near, costs(strands, first[near], second[near]))
    first, second = limits.pairs
    onward, back = strands.following[first] == second, strands.following[second] == first
    met = meetings(strands.segments[first], strands.segments[second], onward, back, TOUCH)
    curled = _may_curl(strands, doubtful)
    rows, t, s = loops(strands.segments[curled], TOUCH)
    rows = curled[rows]
    points = (cubics.points_at(strands.segments[rows], t) + cubics.points_at(strands.segments[rows], s)) / 2.0
    # The two ends of a contour of one segment are its closing point.
    own_ends = (strands.following[rows] == rows) & (t <= 1e-9) & (s >= 1.0 - 1e-9)
    found = PlacesFound(
        first=np.concatenate([first[met.pair], rows[~own_ends]]),
        second=np.concatenate([second[met.pair], rows[~own_ends]]),
        first_at=np.concatenate([met.first_at, t[~own_ends]]),
        second_at=np.concatenate([met.second_at, s[~own_ends]]),
        points=np.concatenate([met.points, points[~own_ends]]),
        at_shared_node=np.concatenate([met.at_shared_node, np.zeros(np.count_nonzero(~own_ends), bool)]),
    )
    return _crossings(strands, found, limits.stopped)


def between(
    drawn: Outlines | Strands,
    groups: Integers | None = None,
    pairs: Integers | None = None,
    leave_out: Integers | None = None,
) -> Crossings:
    """Every place where two different contours cross or touch.

    A contour that repeats an earlier one segment by segment is not looked at again; other duplicates are
    kept out with ``leave_out``. Of a stretch two contours share only the ends are given, as touching; where the second
    contour leaves it on the other side, its beginning along the first contour, as one crossing.

    Parameters
    ----------
    groups : (c,) int, optional
        Only contours with equal labels are compared.
    pairs : (k, 2) int, optional
        Only these pairs of contours are compared.
    leave_out : (m,) int, optional
        Contours not compared at all, such as ``Duplicates.second``.
    """
    strands = Strands.of(drawn)
    looked_at = np.ones(len(strands.offsets) - 1, bool)
    looked_at[exact_repeats(strands.outlines, strands.tree.contour_boxes())] = False
    if leave_out is not None:
        looked_at[leave_out] = False
    if np.count_nonzero(looked_at) < 2:
        return _none(strands)
    limits = near_limits(strands)
    first, second = near_segments(strands, TOUCH, looked_at, groups, pairs, limits=limits)
    apart = np.zeros(len(first), bool)
    met = meetings(strands.segments[first], strands.segments[second], apart, apart, TOUCH)
    return _crossings(
        strands,
        PlacesFound(
            first[met.pair], second[met.pair], met.first_at, met.second_at, met.points, met.at_shared_node
        ),
        limits.stopped,
    )


def _none(strands: Strands) -> Crossings:
    """What contours have in common of which there are too few, or none with a segment."""
    no, place = np.empty(0, np.intp), np.empty((0, 2))
    stopped = np.zeros(len(strands.offsets) - 1, bool)
    return Crossings(no, no, place, np.zeros(0, bool), place, place, stopped)


def _may_meet(strands: Strands, first: Integers, second: Integers) -> Flags:
    """(k,) pairs of segments of a contour that may meet elsewhere than in the node between them."""
    onward, back = strands.following[first] == second, strands.following[second] == first
    may = np.ones(len(first), bool)
    for rows, before, after in ((onward & ~back, first, second), (back & ~onward, second, first)):
        index = np.flatnonzero(rows)
        may[index] = ~parted_at_node(strands.segments[before[index]], strands.segments[after[index]])
    far = np.flatnonzero(~onward & ~back)
    may[far] = ~cubics.kept_apart(strands.segments[first[far]], strands.segments[second[far]], TOUCH)
    return may


def _crossings(strands: Strands, found: PlacesFound, stopped: Flags) -> Crossings:
    places, touching = judged(strands, found)
    first, second = strands.contour[places.first], strands.contour[places.second]
    order = np.lexsort((places.first_at, places.first, second, first))
    return Crossings(
        first=first[order],
        second=second[order],
        points=places.points[order],
        touching=touching[order],
        first_at=np.stack([strands.original[places.first], places.first_at], axis=1)[order],
        second_at=np.stack([strands.original[places.second], places.second_at], axis=1)[order],
        stopped=stopped,
    )


def _may_curl(strands: Strands, contours: Flags) -> Integers:
    """Segments of contours whose control polygon turns back against the chord; no other can cross itself."""
    rows = np.flatnonzero(contours[strands.contour])
    segments = strands.segments[rows]
    steps = np.diff(segments, axis=1)
    chord = segments[:, 3] - segments[:, 0]
    ahead = steps[..., 0] * chord[:, None, 0] + steps[..., 1] * chord[:, None, 1]
    onward = (ahead >= 0.0).all(axis=1) & ((chord * chord).sum(axis=1) > 0.0)
    return np.asarray(rows[~onward])
