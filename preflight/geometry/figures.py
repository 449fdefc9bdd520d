"""Circles, rectangles, crosses, angles and lines told from their outlines. Knows nothing of marks or paint."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TypeAlias

import msgspec
import numpy as np

from preflight.geometry.cubics import points_at
from preflight.geometry.outlines import Floats, Outlines

__all__ = ["Angle", "Circle", "Cross", "Figure", "Line", "Point", "Rectangle", "figures_of"]

Point: TypeAlias = tuple[float, float]

_ROUND = 0.01
"""Of the radius, and of a side: what drawing programs round away and no eye sees."""

_SQUARE = math.sin(math.radians(1.0))
"""Cosine of the angle between two sides that still counts as a right one."""

_NO_LENGTH = 1e-6
_JOINED = 1e-3
"""In the unit of the outlines (mm): shorter steps, and ends nearer than this, are none."""


class Circle(msgspec.Struct, frozen=True):
    """A whole circle."""

    centre: Point
    radius: float


class Rectangle(msgspec.Struct, frozen=True):
    """Four sides at right angles; ``along`` is the direction of the longer ones, of length 1."""

    centre: Point
    along: Point
    length: float
    width: float


class Cross(msgspec.Struct, frozen=True):
    """Two bars across each other drawn as one outline of twelve corners; ``along`` the direction of a bar.

    ``length`` is that of the longer bar.
    """

    centre: Point
    along: Point
    length: float


class Angle(msgspec.Struct, frozen=True):
    """Two bars that meet at a right angle, drawn as one outline of six corners; ``vertex`` is the outer corner.

    ``length`` is that of the longer bar.
    """

    vertex: Point
    along: Point
    length: float


class Line(msgspec.Struct, frozen=True):
    """A straight line."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Distance between its ends."""
        return math.dist(self.start, self.end)

    @property
    def along(self) -> Point:
        """Its direction, of length 1."""
        length = self.length
        return (self.end[0] - self.start[0]) / length, (self.end[1] - self.start[1]) / length


Figure: TypeAlias = Circle | Rectangle | Cross | Angle | Line


def figures_of(outlines: Outlines, item: int) -> list[Figure] | None:
    """What the contours of one object draw; None where one of them draws anything else, or there is none.

    An open chain of straight sides gives a line for each of them. Contours without length are passed over.
    """
    figures: list[Figure] = []
    first, last = outlines.object_offsets[item : item + 2].tolist()
    for contour in range(first, last):
        start, stop = outlines.contour_offsets[contour : contour + 2].tolist()
        segments = outlines.segments[start:stop]
        reach = np.abs(segments - segments[:, :1]).max(axis=(1, 2)) if stop > start else np.empty(0)
        segments = segments[reach > _NO_LENGTH]
        if not len(segments):
            continue
        meets = math.dist(segments[0, 0], segments[-1, 3]) <= _JOINED
        closed = bool(outlines.closed[contour]) or (meets and len(segments) > 2)
        drawn = _straight_sided(segments, closed) if _is_straight(segments) else _rounded(segments, closed)
        if drawn is None:
            return None
        figures += drawn
    return figures or None


def _is_straight(segments: Floats) -> bool:
    """Whether every segment keeps to its chord, be it flagged as a line or not."""
    chords = segments[:, 3] - segments[:, 0]
    lengths = np.hypot(*chords.T)
    handles = segments[:, 1:3] - segments[:, :1]
    aside = np.abs(chords[:, None, 0] * handles[..., 1] - chords[:, None, 1] * handles[..., 0]).max(axis=1)
    return bool((aside <= 1e-3 * lengths * lengths).all())


def _rounded(segments: Floats, closed: bool) -> list[Figure] | None:
    """One circle, or None: points of the curve all as far from one place, which it goes round once."""
    if not closed:
        return None
    points = points_at(segments[:, None], np.array([0.0, 0.25, 0.5, 0.75])).reshape(-1, 2)
    # x² + y² = 2 x a + 2 y b + c is linear in the centre (a, b); about a point near by no digits are lost.
    origin = points.mean(axis=0)
    about = points - origin
    rows = np.column_stack([2.0 * about, np.ones(len(about))])
    try:
        a, b, c = np.linalg.solve(rows.T @ rows, rows.T @ (about * about).sum(axis=1)).tolist()
    except np.linalg.LinAlgError:
        return None  # all points on one line
    radius = math.sqrt(max(c + a * a + b * b, 0.0))
    away = np.hypot(about[:, 0] - a, about[:, 1] - b)
    if radius <= _NO_LENGTH or np.abs(away - radius).max() > _ROUND * radius:
        return None
    angles = np.arctan2(about[:, 1] - b, about[:, 0] - a)
    turns = (np.diff(angles, append=angles[:1]) + math.pi) % math.tau - math.pi
    if abs(abs(turns.sum()) - math.tau) > 0.1 or np.abs(turns).max() > math.pi / 2:
        return None
    x, y = origin.tolist()
    return [Circle((x + a, y + b), radius)]


def _straight_sided(segments: Floats, closed: bool) -> list[Figure] | None:
    corners = _corners(segments, closed)
    if not closed:
        return [Line(_point(one), _point(other)) for one, other in pairwise(corners)]
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(*sides.T)
    ahead = np.roll(sides, -1, axis=0)
    products = (sides * ahead).sum(axis=1) / (lengths * np.roll(lengths, -1))
    if len(corners) < 4 or np.abs(products).max() > _SQUARE:
        return None
    turns = np.sign(sides[:, 0] * ahead[:, 1] - sides[:, 1] * ahead[:, 0])
    # The turn at the end of side i is that of corner i + 1.
    turns = np.roll(turns * np.sign(turns.sum()), 1)
    match len(corners), int((turns < 0).sum()):
        case 4, 0:
            return [_rectangle(corners, sides, lengths)]
        case 6, 1:
            inner = int(np.flatnonzero(turns < 0)[0])
            outer = (inner + 3) % 6
            along = sides[outer] / lengths[outer]
            return [Angle(_point(corners[outer]), _point(along), _reach(corners, along))]
        case 12, 4 if np.ptp(np.flatnonzero(turns < 0) % 3) == 0:
            middle = corners.mean(axis=0)
            # Turned by half about its middle, a cross lies on itself.
            if np.abs(corners + np.roll(corners, 6, axis=0) - 2 * middle).max() > 2 * _ROUND * lengths.max():
                return None
            along = sides[0] / lengths[0]
            return [Cross(_point(middle), _point(along), _reach(corners, along))]
    return None


def _reach(corners: Floats, along: Floats) -> float:
    """The longer of the extents of some points along a direction and square to it."""
    (u, v) = along
    return float(np.ptp(corners @ np.array([[u, -v], [v, u]]), axis=0).max())


def _rectangle(corners: Floats, sides: Floats, lengths: Floats) -> Rectangle:
    longer = int(np.argmax(lengths[:2]))
    along = sides[longer] / lengths[longer]
    return Rectangle(
        _point(corners.mean(axis=0)), _point(along), float(lengths[longer]), float(lengths[1 - longer])
    )


def _corners(segments: Floats, closed: bool) -> Floats:
    """(k, 2) the ends of the straight runs: points in the middle of one are left out."""
    points = np.concatenate([segments[:1, 0], segments[:, 3]])
    if closed and math.dist(points[0], points[-1]) <= _JOINED:
        points = points[:-1]
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    aside = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    onward = (before * after).sum(axis=1) > 0
    bends = ~onward | (aside > 1e-3 * np.hypot(*before.T) * np.hypot(*after.T))
    if not closed:
        bends[[0, -1]] = True
    return np.asarray(points[bends])


def _point(xy: Floats) -> Point:
    x, y = np.asarray(xy).tolist()
    return x, y
