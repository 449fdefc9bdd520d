"""Caps and joins, and strokes put together from pieces where they lie over themselves. Knows no dash and no curve."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np
import shapely

from preflight.geometry.outlines import Floats
from preflight.geometry.stroke_stations import Stations

__all__ = ["Pen", "dot", "pieced"]


class Pen(msgspec.Struct, frozen=True):
    """How one contour is stroked: half the width, and the angle in radians between two points of a round cap at most."""

    half: float
    cap: str
    join: str
    miter_limit: float
    step: float
    closed: bool

    def joint(
        self, place: Floats, normal: Floats, turn: float, reach: Floats, join: str | None = None
    ) -> Floats:
        """(k, 2) points of a corner's outer side between those square to both its legs.

        Parameters
        ----------
        place : (2,) the corner.
        normal : (2,) unit vector to that side, square to the leg that arrives.
        turn : radians from leg to leg.
        reach : (2,) where the tip of a miter lies, in half widths from the corner.
        """
        join = join or self.join
        if join == "round":
            return self._arc(place, normal, turn)
        longest = math.hypot(reach[0], reach[1])
        # SVG 2, 13.5.4, and ISO 32000-1, 8.4.3.5: the length of a miter beside the width is 1 / cos(turn / 2).
        if join == "bevel" or longest > self.miter_limit * (1.0 + 1e-12) or longest > 1e5:
            return np.empty((0, 2))
        return np.asarray(place + self.half * reach)[None]

    def end(self, place: Floats, normal: Floats, ahead: Floats) -> Floats:
        """(k, 2) points of the cap at an end, from the side of ``normal`` to the other; ``ahead`` leads away from the line."""
        if self.cap == "butt":
            return np.empty((0, 2))
        if self.cap == "square":
            return np.array(
                [place + self.half * (normal + ahead), place + self.half * (ahead - normal)], np.float64
            )
        clockwise = normal[0] * ahead[1] - normal[1] * ahead[0]
        return self._arc(place, normal, math.copysign(math.pi, clockwise))

    def _arc(self, place: Floats, normal: Floats, turn: float) -> Floats:
        """Points strictly between the two ends of an arc."""
        pieces = max(2, math.ceil(abs(turn) / self.step))
        angles = turn * np.arange(1, pieces) / pieces
        cosine, sine = np.cos(angles)[:, None], np.sin(angles)[:, None]
        square = np.array([-normal[1], normal[0]])
        return np.asarray(place + self.half * (cosine * normal + sine * square))


def dot(place: Floats, pen: Pen) -> shapely.Polygon | None:
    """What a contour of no length leaves: a disc or a square, as its caps are; nothing where they are butt."""
    if pen.cap == "butt":
        return None
    normal, ahead = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    ends = [pen.end(place, sense * normal, sense * ahead) for sense in (1.0, -1.0)]
    sides = [(place + sense * pen.half * normal)[None] for sense in (1.0, -1.0)]
    return shapely.Polygon(np.concatenate([sides[0], ends[0], sides[1], ends[1]]))


def pieced(stations: Stations, first: int, last: int, pen: Pen) -> list[Any]:
    """Polygons that together cover the stroke of one contour, the stations ``first`` up to ``last`` of it.

    The line is cut at its corners, and then halved until the sides of each part are simple; joins and caps are parts of their own.
    """
    points, directions = stations.points[first:last], stations.directions[first:last]
    normals = np.column_stack([-directions[:, 1], directions[:, 0]])
    parts: list[Any] = []
    run: list[int] = []
    # A loop over stations of a contour that meets itself: where a run ends hangs on where the last one did.
    for at in range(len(points)):
        run.append(at)
        following = int(stations.following[first + at]) - first
        if following < 0 or stations.corner[first + at]:
            parts += _run(points[run], normals[run], pen.half)
            run = []
        elif following <= at:
            parts += _run(points[[*run, following]], normals[[*run, following]], pen.half)
            run = []
        if following >= 0 and stations.corner[first + at]:
            join = "round" if stations.cusp[first + at] else pen.join
            parts += _joined(points[at], normals[at], normals[following], pen, join)
    if not pen.closed:
        parts += _cap(points[0], -normals[0], -directions[0], pen)
        parts += _cap(points[-1], normals[-1], directions[-1], pen)
    return parts


def _run(points: Floats, normals: Floats, half: float) -> Iterator[Any]:
    """A run without corners, halved until no part lies over itself."""
    if len(points) < 2:
        return
    left, right = points + half * normals, points - half * normals
    way = np.diff(points, axis=0)
    forward = (np.diff(left, axis=0) * way).sum(axis=1) > 0.0
    forward &= (np.diff(right, axis=0) * way).sum(axis=1) > 0.0
    waiting = [(0, len(points) - 1)]
    while waiting:
        low, high = waiting.pop()
        ring = np.concatenate(
            [
                left[low : high + 1],
                points[high : high + 1],
                right[low : high + 1][::-1],
                points[low : low + 1],
            ]
        )
        whole = shapely.Polygon(ring)
        if forward[low:high].all() and whole.is_valid:
            yield whole
        elif high - low > 1:
            middle = (low + high) // 2
            waiting += [(low, middle), (middle, high)]
        else:
            # The two sides of one step cross: it sweeps two triangles.
            yield from (
                one for one in shapely.get_parts(shapely.make_valid(whole)) if one.geom_type == "Polygon"
            )


def _joined(place: Floats, normal: Floats, onward: Floats, pen: Pen, join: str) -> list[Any]:
    turn = math.atan2(normal[0] * onward[1] - normal[1] * onward[0], float(normal @ onward))
    side = -1.0 if turn > 0.0 else 1.0
    middle = normal + onward
    reach = 2.0 * middle / max(float(middle @ middle), 1e-12)
    added = pen.joint(place, side * normal, turn, side * reach, join)
    corners = [
        place[None],
        (place + side * pen.half * normal)[None],
        added,
        (place + side * pen.half * onward)[None],
    ]
    return _valid(np.concatenate(corners))


def _cap(place: Floats, normal: Floats, ahead: Floats, pen: Pen) -> list[Any]:
    if pen.cap == "butt":
        return []
    added = pen.end(place, normal, ahead)
    sides = [(place + sense * pen.half * normal)[None] for sense in (1.0, -1.0)]
    return _valid(np.concatenate([place[None], sides[0], added, sides[1]]))


def _valid(ring: Floats) -> list[Any]:
    polygon = shapely.Polygon(ring)
    return [polygon] if polygon.is_valid and polygon.area > 0.0 else []
