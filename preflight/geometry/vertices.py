"""The vertices of path data, and the way a path runs through each. Knows no markers and no units.

What a vertex is and which way a path runs there: SVG 2, 13.7.3 and 9.6.1 (direction at a path segment's ends).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import msgspec
import numpy as np

from .arcs import arcs_to_cubics
from .outlines import Flags, Floats, Integers
from .pathscan import doubtful, scanned, values
from .pathsteps import Steps, steps_of
from .pathtext import valid_prefix

__all__ = ["Vertices", "vertices"]


class Vertices(msgspec.Struct, frozen=True, eq=False):
    """The vertices of one path, in order.

    Attributes
    ----------
    points : (n, 2) float64, user units
    angles : (n,) float64
        Degrees from the x axis towards the y axis: the way the path runs at the ends of an open sub-path, half
        way between arriving and leaving anywhere else. Zero where the path has no length.
    """

    points: Floats
    angles: Floats


def vertices(texts: Sequence[str]) -> list[Vertices]:
    """The vertices of each path, as far as its data holds.

    Every moveto the file writes and the end of every segment is a vertex, those of zero length included; ``z``
    ends on a vertex of its own.
    """
    whole = ["" if text.strip() == "none" else text for text in texts]
    scan = scanned(whole)
    suspects = doubtful(scan)
    if suspects:
        scan = scanned([valid_prefix(text)[0] if at in suspects else text for at, text in enumerate(whole)])
    if not len(scan.letters):
        return [Vertices(np.empty((0, 2)), np.empty(0)) for _ in texts]
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        steps = steps_of(scan, values(scan))
        angles = _angles(steps, *_tangents(steps))
    # What starts a contour after ``z`` by itself stands on the vertex that ``z`` made.
    written = np.flatnonzero((steps.name != ord("M")) | (steps.first >= 0))
    bounds = np.searchsorted(steps.path[written], np.arange(len(texts) + 1)).tolist()
    rows = [written[start:end] for start, end in pairwise(bounds)]
    return [Vertices(steps.end[own], angles[own]) for own in rows]


def _tangents(steps: Steps) -> tuple[Floats, Floats]:
    """(k, 2) which way each step leaves its start and arrives at its end; zero where it has no length."""
    curved = np.isin(steps.name, [ord(letter) for letter in "CSQT"])
    places = np.repeat(steps.start[:, None], 4, axis=1)
    places[:, 1:] = steps.end[:, None]
    places[curved, 1:3] = steps.controls[curved].reshape(-1, 2, 2)
    leaving = _first_way(places)
    arriving = -_first_way(places[:, ::-1])
    rows = np.flatnonzero(steps.name == ord("A"))
    if len(rows):
        arguments = np.concatenate([steps.arc[rows], steps.end[rows]], axis=1)
        segments, counts = arcs_to_cubics(steps.start[rows], arguments)
        last = np.cumsum(counts) - 1
        drawn = counts > 0
        leaving[rows[drawn]] = _first_way(segments[(last - counts + 1)[drawn]])
        arriving[rows[drawn]] = -_first_way(segments[last[drawn]][:, ::-1])
    return leaving, arriving


def _first_way(places: Floats) -> Floats:
    """(k, 2) from the first of four points towards the next one that differs from it."""
    ways = places[:, 1:] - places[:, :1]
    first = (ways != 0).any(axis=2).argmax(axis=1)
    chosen: Floats = ways[np.arange(len(ways)), first]
    return chosen


def _angles(steps: Steps, leaving: Floats, arriving: Floats) -> Floats:
    """(k,) degrees at the end of each step."""
    count = len(steps.name)
    rows = np.arange(count)
    moves = steps.name == ord("M")
    begin = np.flatnonzero(moves)
    end = np.append(begin[1:], count) - 1
    first, last = begin[steps.contour], end[steps.contour]
    out, into = _ways(leaving, arriving, moves, first, last)
    following = np.minimum(rows + 1, count - 1)
    opening = np.minimum(first + 1, count - 1)
    closed = steps.name[last] == ord("Z")
    joint = _half_way(into[last], out[opening])
    angles = _half_way(into, out[following])
    angles = np.where(moves, out[following], angles)
    angles = np.where(rows == last, into, angles)
    angles = np.where(closed & (moves | (rows == last)), joint, angles)
    return np.where(first == last, 0.0, angles)


def _ways(
    leaving: Floats, arriving: Floats, moves: Flags, first: Integers, last: Integers
) -> tuple[Floats, Floats]:
    """(k,) degrees in which each segment leaves and arrives; those without length take after their neighbours.

    Such a segment leaves the way the nearest one before it with a length arrives, and arrives the way the
    nearest one after it leaves; where there is none on that side, the other decides.
    """
    rows = np.arange(len(moves))
    long = (leaving != 0).any(axis=1) & ~moves
    out = np.degrees(np.arctan2(leaving[:, 1], leaving[:, 0]))
    into = np.degrees(np.arctan2(arriving[:, 1], arriving[:, 0]))
    before = np.maximum.accumulate(np.where(long, rows, -1))
    after = np.minimum.accumulate(np.where(long, rows, len(rows))[::-1])[::-1]
    has_before, has_after = before >= first, after <= last
    behind = into[np.maximum(before, 0)]
    ahead = out[np.minimum(after, len(rows) - 1)]
    short_out = np.where(has_before, behind, np.where(has_after, ahead, 0.0))
    short_into = np.where(has_after, ahead, np.where(has_before, behind, 0.0))
    return np.where(long, out, short_out), np.where(long, into, short_into)


def _half_way(first: Floats, second: Floats) -> Floats:
    """The angle that halves the smaller turn from one direction to the other.

    Of a path that turns right back both halves are alike; like browsers, this takes the one to the left.
    """
    turn = (second - first + 180.0) % 360.0 - 180.0
    return first + np.where(np.abs(turn) < 180.0 - 1e-9, turn, -180.0) / 2
