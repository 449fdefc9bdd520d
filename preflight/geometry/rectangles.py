"""Places that should be the corners of a rectangle: which is which, and how far one of them is off. Knows nothing of marks."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import shapely

from preflight.geometry.outlines import Floats

__all__ = ["Corners", "Odd", "corners_of", "foot_on_sides", "odd_corner", "off_square"]

_NEAR = 0.2
"""Of the diagonal: how far from a corner of the rectangle round all places the one that stands for it may be."""

_SLANT = math.sin(math.radians(20.0))
"""Cosine of the angle that three places may make and still be three corners of a rectangle."""

_SURE = 6
"""Decimals of a mm to which two ways to see a rectangle count as equally good."""


class Corners(msgspec.Struct, frozen=True, eq=False):
    """Four corners in their order round the rectangle.

    ``at`` (4,) is the place of each, an index, None for one that is missing; ``places`` (4, 2) where they are, the missing one
    where it should be; ``others`` the rest.
    """

    at: tuple[int | None, ...]
    places: Floats
    others: tuple[int, ...]

    @property
    def missing(self) -> int | None:
        """The number of the corner where none is, or None."""
        return self.at.index(None) if None in self.at else None


class Odd(msgspec.Struct, frozen=True, eq=False):
    """The corner that fits least: its number, where it should be (2,), how far it is from there."""

    corner: int
    expected: Floats
    offset: float


def corners_of(places: Floats) -> Corners | None:
    """Which of some places (n, 2) are near the corners of a rectangle round them all; None where they are not so arranged."""
    count = len(places)
    if count == 3:
        return _of_three(places)
    if count < 4:
        return None
    around = shapely.minimum_rotated_rectangle(shapely.multipoints(places))
    if around.geom_type != "Polygon":
        return None
    corners = shapely.get_coordinates(around)[:4]
    away = np.hypot(*(corners[:, None] - places[None]).transpose(2, 0, 1))
    nearest = away.argmin(axis=1).tolist()
    if len(set(nearest)) < 4 or away.min(axis=1).max() > _NEAR * math.dist(corners[0], corners[2]):
        return None
    others = tuple(index for index in range(count) if index not in nearest)
    return Corners(tuple(nearest), places[nearest], others)


def _of_three(places: Floats) -> Corners | None:
    slants = []
    for middle in range(3):
        one, other = (places[(middle + step) % 3] - places[middle] for step in (1, 2))
        lengths = math.hypot(*one) * math.hypot(*other)
        slants.append(abs(float(one @ other)) / lengths if lengths > 0 else math.inf)
    middle = slants.index(min(slants))
    if slants[middle] > _SLANT:
        return None
    before, after = (middle + 1) % 3, (middle + 2) % 3
    fourth = places[before] + places[after] - places[middle]
    at = (before, middle, after)
    return Corners((*at, None), np.array([*places[list(at)], fourth]), ())


def odd_corner(corners: Floats) -> Odd:
    """Of the corners (4, 2) of a rectangle, in their order round it, the one that is farthest off.

    That is the one without which the others fit best: the fourth is where the best rectangle through the other three has its
    own. Of two that may be seen as the odd one with equal right, the farther one off is taken.
    """
    found = []
    for number in range(4):
        expected, misfit = _fourth(*(corners[(number + step) % 4] for step in (1, 2, 3)))
        offset = math.dist(expected, corners[number])
        found.append((round(misfit, _SURE), -round(offset, _SURE), number, expected, offset))
    _, _, number, expected, offset = min(found, key=lambda one: one[:3])
    return Odd(number, expected, offset)


def off_square(corners: Floats) -> tuple[int, Floats, float]:
    """Of three corners (3 or more, 2), the second between the others: which end must move, where to, and how far, to be square."""
    one, middle, other = corners[:3]
    first, second = one - middle, other - middle
    number, moved, kept = (
        (0, first, second) if math.hypot(*first) < math.hypot(*second) else (2, second, first)
    )
    share = float(moved @ kept) / float(kept @ kept)
    return number, middle + moved - share * kept, abs(share) * math.hypot(*kept)


def foot_on_sides(place: Floats, corners: Floats) -> tuple[Floats, float]:
    """The point nearest to a place (2,) on the sides between corners (4, 2), and how far it is."""
    ring = shapely.linearrings(corners)
    point = shapely.points(place)
    foot = shapely.line_interpolate_point(ring, shapely.line_locate_point(ring, point))
    return shapely.get_coordinates(foot)[0], float(shapely.distance(ring, point))


def _fourth(one: Floats, middle: Floats, other: Floats) -> tuple[Floats, float]:
    """Where the best rectangle through three corners (2,) has its fourth, and how far two of the three must give way for it.

    The two sides turn about their common corner until they stand square, the shorter the more, so that the squares of what the
    ends move by add up to the least.
    """
    first, second = one - middle, other - middle
    a, b = math.hypot(*first), math.hypot(*second)
    if a == 0.0 or b == 0.0:
        return one + other - middle, math.inf
    turn = math.atan2(first[0] * second[1] - first[1] * second[0], float(first @ second))
    wide = turn - math.copysign(math.pi / 2, turn)
    square_first = _turned(first, wide * b * b / (a * a + b * b))
    square_second = _turned(second, -wide * a * a / (a * a + b * b))
    misfit = max(math.dist(first, square_first), math.dist(second, square_second))
    return middle + square_first + square_second, misfit


def _turned(vector: Floats, angle: float) -> Floats:
    c, s = math.cos(angle), math.sin(angle)
    x, y = vector.tolist()
    return np.array([c * x - s * y, s * x + c * y])
