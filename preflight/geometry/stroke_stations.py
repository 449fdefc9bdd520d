"""Points along curves with the directions they run in, close enough together for offset curves. Knows no cap and no dash."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry.cubics import bends, cross, first_derivatives, points_at
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines

__all__ = ["Stations", "stations_of"]

_NO_EXTENT = 1e-9
"""In the unit of the outlines. A segment whose control points all lie so close together has no direction."""

_MOST_PIECES = 2_000
"""Even pieces of one segment before turns are looked at; one that needs more bends over metres."""

_HALVINGS = 16
"""After so many a turn that is still sharp is a cusp, and rounded as one."""


class Stations(msgspec.Struct, frozen=True, eq=False):
    """Samples of contours, ordered along each.

    Attributes
    ----------
    contour : (m,) ascending.
    points, directions : (m, 2), directions of length 1.
    following : (m,) the next station of the contour; its first after the last of a closed one, -1 after that of an open one.
    corner : (m,) the following station stands at the same place and turns another way.
    cusp : (m,) such a corner lies within a curve, where none was drawn.
    bare : (k,) contours that have no direction: drawn, and of no length.
    """

    contour: Integers
    points: Floats
    directions: Floats
    following: Integers
    corner: Flags
    cusp: Flags
    bare: Integers


def stations_of(outlines: Outlines, turns: Floats, tolerance: float) -> Stations:
    """Samples so close that chords leave the curves by no more than a tolerance.

    Parameters
    ----------
    outlines : of finite coordinates.
    turns : (c,) the most that the direction may turn from one station to the next, radians; what turns more at once is a corner.
    tolerance : in the unit of the outlines.
    """
    segments = outlines.segments
    owner = outlines.contour_of_segment
    extent = np.ptp(segments, axis=1).max(axis=1, initial=0.0)
    kept = np.flatnonzero(extent > _NO_EXTENT)
    drawn = (outlines.segment_counts > 0) | outlines.closed
    drawn[owner[kept]] = False
    curves, straight, owner = segments[kept], outlines.straight[kept], owner[kept]
    of_segment, t = _samples(curves, straight, turns[owner], tolerance)
    points = points_at(curves[of_segment], t)
    first, last = t == 0.0, t == 1.0
    points[first], points[last] = curves[of_segment[first], 0], curves[of_segment[last], 3]
    directions = _directions(curves[of_segment], t)
    contour = owner[of_segment]
    following = _following(contour, outlines.closed)
    return _merged(contour, points, directions, following, of_segment, turns, np.flatnonzero(drawn))


def _samples(curves: Floats, straight: Flags, turns: Floats, tolerance: float) -> tuple[Integers, Floats]:
    """Segment and parameter of each sample, both ends of each segment included."""
    with np.errstate(over="ignore", invalid="ignore"):
        wanted = np.ceil(np.sqrt(bends(curves) / tolerance))
    wanted = np.where(wanted <= _MOST_PIECES, np.maximum(wanted, 1.0), _MOST_PIECES)
    counts = np.where(straight, 1, wanted.astype(np.intp))
    of_segment = np.repeat(np.arange(len(counts)), counts + 1)
    step = np.arange(len(of_segment)) - np.repeat(np.cumsum(counts + 1) - counts - 1, counts + 1)
    t = step / counts[of_segment]
    for _ in range(_HALVINGS):
        heading = _directions(curves[of_segment], t)
        along = of_segment[1:] == of_segment[:-1]
        sharp = np.flatnonzero(
            along
            & (np.abs(_angles(heading[:-1], heading[1:])) > turns[of_segment[:-1]])
            & ~straight[of_segment[:-1]]
        )
        if not len(sharp):
            break
        middles = (t[sharp] + t[sharp + 1]) / 2.0
        t = np.insert(t, sharp + 1, middles)
        of_segment = np.insert(of_segment, sharp + 1, of_segment[sharp])
    return of_segment, t


def _directions(curves: Floats, t: Floats) -> Floats:
    """(k, 2) unit tangents; where a curve stands still, the way it goes on, or came if it ends there."""
    found = first_derivatives(curves, t)
    size = np.abs(curves[:, 1:] - curves[:, :-1]).max(axis=(1, 2), initial=0.0)
    length = np.hypot(found[:, 0], found[:, 1])
    still = np.flatnonzero(length <= 1e-7 * size)
    if len(still):
        stuck, at = curves[still], t[still]
        nearby = np.where(at < 1.0, np.minimum(at + 1e-4, 1.0), 1.0 - 1e-4)
        ahead = (points_at(stuck, nearby) - points_at(stuck, at)) * np.where(at < 1.0, 1.0, -1.0)[:, None]
        found[still] = ahead
        length[still] = np.hypot(ahead[:, 0], ahead[:, 1])
    return np.asarray(found / np.where(length > 0.0, length, 1.0)[:, None])


def _angles(one: Floats, other: Floats) -> Floats:
    """(k,) turn from one direction to the other, -π to π."""
    return np.asarray(np.arctan2(cross(one, other), (one * other).sum(axis=1)))


def _following(contour: Integers, closed: Flags) -> Integers:
    following: Integers = np.arange(1, len(contour) + 1)
    if len(contour):
        last = np.flatnonzero(np.append(contour[1:] != contour[:-1], True))
        firsts = np.concatenate([[0], last[:-1] + 1])
        following[last] = np.where(closed[contour[last]], firsts, -1)
    return following


def _merged(
    contour: Integers,
    points: Floats,
    directions: Floats,
    following: Integers,
    of_segment: Integers,
    turns: Floats,
    bare: Integers,
) -> Stations:
    """Two stations at one node become one where the way hardly turns there."""
    count = len(contour)
    has_next = following >= 0
    after = np.where(has_next, following, np.arange(count))
    turn = np.abs(_angles(directions, directions[after]))
    node = has_next & ((of_segment != of_segment[after]) | (after <= np.arange(count)))
    sharp = turn > turns[contour]
    smooth = node & ~sharp
    # A node's second station gives way to its first, which takes the direction between both.
    gone = np.zeros(count, bool)
    gone[after[smooth]] = True
    both = directions[smooth] + directions[after[smooth]]
    directions = directions.copy()
    directions[smooth] = both / np.hypot(both[:, 0], both[:, 1])[:, None]
    following = following.copy()
    skipped = following[after[smooth]]
    following[smooth] = skipped
    corner = has_next & sharp
    cusp = corner & ~node
    for flags in (corner, cusp):
        flags[smooth] = flags[after[smooth]]
    kept = np.flatnonzero(~gone)
    numbers = np.full(count + 1, -1, np.intp)
    numbers[kept] = np.arange(len(kept))
    return Stations(
        contour[kept],
        points[kept],
        directions[kept],
        numbers[following[kept]],
        corner[kept],
        cusp[kept],
        bare,
    )
