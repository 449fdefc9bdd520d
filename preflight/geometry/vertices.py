"""The vertices of path data, and the way a path runs through each. Knows no markers and no units.

What a vertex is and which way a path runs there: SVG 2, 13.7.3 and 9.6.1 (direction at a path segment's ends).
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np

from .arcs import arcs_to_cubics
from .outlines import Floats
from .pathscan import scanned, values
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
    scan = scanned([valid_prefix("" if text.strip() == "none" else text)[0] for text in texts])
    if not len(scan.letters):
        return [_none() for _ in texts]
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        steps = steps_of(scan, values(scan))
        leaving, arriving = _tangents(steps)
    found: list[Vertices] = []
    bounds = np.searchsorted(steps.path, np.arange(len(texts) + 1))
    for start, end in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True):
        rows = slice(start, end)
        found.append(_of_path(steps, rows, leaving[rows], arriving[rows]))
    return found


def _none() -> Vertices:
    return Vertices(np.empty((0, 2)), np.empty(0))


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


def _of_path(steps: Steps, rows: slice, leaving: Floats, arriving: Floats) -> Vertices:
    """Vertices of one path. Directions hang on neighbours near and far, so this goes step by step."""
    written = (steps.name[rows] != ord("M")) | (steps.first[rows] >= 0)
    contours = steps.contour[rows]
    angles = np.zeros(len(written))
    for contour in range(int(contours[0]), int(contours[-1]) + 1) if len(contours) else ():
        begin, end = np.searchsorted(contours, [contour, contour + 1]).tolist()
        angles[begin:end] = _angles(
            leaving[begin + 1 : end], arriving[begin + 1 : end], steps.name[rows][end - 1]
        )
    return Vertices(steps.end[rows][written], angles[written])


def _angles(leaving: Floats, arriving: Floats, last: int) -> list[float]:
    """Degrees at the vertices of one sub-path, its start first; the arrays hold its segments."""
    has_length = (leaving != 0).any(axis=1).tolist()
    if not any(has_length):
        return [0.0] * (len(has_length) + 1)
    out = np.degrees(np.arctan2(leaving[:, 1], leaving[:, 0])).tolist()
    into = np.degrees(np.arctan2(arriving[:, 1], arriving[:, 0])).tolist()
    before: list[float | None] = []
    way: float | None = None
    for index, long in enumerate(has_length):
        before.append(way)
        way = into[index] if long else way
    after: list[float | None] = []
    way = None
    for index in range(len(has_length) - 1, -1, -1):
        after.append(way)
        way = out[index] if has_length[index] else way
    after.reverse()
    for index, long in enumerate(has_length):
        if not long:
            back, on = before[index], after[index]
            # One of the two exists, since some segment of the sub-path has a length.
            out[index] = back if back is not None else on
            into[index] = on if on is not None else back
    inner = [_half_way(into[index], out[index + 1]) for index in range(len(out) - 1)]
    if last == ord("Z"):
        joint = _half_way(into[-1], out[0])
        return [joint, *inner, joint]
    return [out[0], *inner, into[-1]]


def _half_way(first: float, second: float) -> float:
    """The angle that halves the smaller turn from one direction to the other.

    Of a path that turns right back both halves are alike; like browsers, this takes the one to the left.
    """
    turn = (second - first + 180.0) % 360.0 - 180.0
    return first + (turn if abs(turn) < 180.0 - 1e-9 else -180.0) / 2
