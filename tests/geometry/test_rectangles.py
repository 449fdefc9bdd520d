"""How far a corner is off the rectangle of the others: closed forms, at any turn."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.geometry.outlines import Floats
from preflight.geometry.rectangles import corners_of, foot_on_sides, odd_corner, off_square


def rectangle(width: float, height: float, degrees: float) -> Floats:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    return corners @ np.array([[c, s], [-s, c]]) + (20, 30)


SIZES = st.tuples(st.floats(50, 2000), st.floats(50, 2000), st.floats(-180, 180))


@given(SIZES, st.integers(0, 3), st.floats(0.1, 5), st.floats(0, 360))
def test_one_corner_moved_is_told_with_how_far_it_was_moved(
    size: tuple[float, float, float], corner: int, moved: float, way: float
) -> None:
    true = rectangle(*size)
    found = true.copy()
    found[corner] += moved * np.array([math.cos(math.radians(way)), math.sin(math.radians(way))])
    odd = odd_corner(found)
    assert odd.offset == pytest.approx(moved, abs=0.02)
    if odd.corner == corner:
        assert odd.expected == pytest.approx(true[corner], abs=0.02)
    else:
        # Moved along a side, the corner at that side's other end fits as badly.
        assert abs(corner - odd.corner) in (1, 3)


@given(SIZES)
def test_a_rectangle_has_nothing_odd(size: tuple[float, float, float]) -> None:
    assert odd_corner(rectangle(*size)).offset < 1e-6


def test_a_sheared_rectangle_is_off_by_what_its_sides_must_turn() -> None:
    """Sides a and b at ε from square: each end turns about the corner by its part of ε, and the fourth is off by ε·a·b/√(a²+b²)."""
    a, b, slant = 100.0, 60.0, 0.01
    corners = np.array(
        [
            (0, 0),
            (a, 0),
            (a + b * math.sin(slant), b * math.cos(slant)),
            (b * math.sin(slant), b * math.cos(slant)),
        ]
    )
    assert odd_corner(corners).offset == pytest.approx(slant * a * b / math.hypot(a, b), rel=5e-3)


@given(SIZES, st.permutations(range(4)))
def test_corners_are_put_in_their_order(size: tuple[float, float, float], order: list[int]) -> None:
    corners = corners_of(rectangle(*size)[order])
    assert corners is not None
    assert corners.others == ()
    assert corners.missing is None
    at = [order[index] for index in corners.at if index is not None]
    assert {(after - before) % 4 for before, after in pairwise(at)} in ({1}, {3})


@given(SIZES, st.integers(0, 3))
def test_the_missing_corner_is_where_it_was(size: tuple[float, float, float], gone: int) -> None:
    true = rectangle(*size)
    corners = corners_of(np.delete(true, gone, axis=0))
    assert corners is not None
    assert corners.missing == 3
    assert corners.places[3] == pytest.approx(true[gone], abs=1e-6)


def test_what_is_no_rectangle_has_no_corners() -> None:
    assert corners_of(np.array([(0, 0), (10, 0)], float)) is None
    assert corners_of(np.array([(0, 0), (10, 0), (20, 0)], float)) is None
    assert corners_of(np.array([(0, 0), (10, 0), (20, 0), (30, 0)], float)) is None
    assert corners_of(np.array([(0, 0), (10, 0), (10, 0), (0, 0)], float)) is None
    assert corners_of(np.array([(100, 0), (200, 50), (100, 100), (0, 50)], float)) is None
    assert corners_of(np.zeros((4, 2))) is None


def test_three_that_are_not_square_name_the_nearer_end() -> None:
    number, expected, off = off_square(np.array([(0, 50), (0, 0), (100, 2)], float))
    assert number == 0
    # The end of the shorter side, 50 mm long, moves by 50·cos of the angle between the sides.
    assert off == pytest.approx(50 * math.sin(math.atan2(2, 100)), rel=1e-6)
    assert (expected @ np.array([100, 2])) == pytest.approx(0, abs=1e-9)


def test_places_on_a_side_are_off_by_their_distance_from_it() -> None:
    corners = rectangle(100, 50, 0)
    foot, away = foot_on_sides(np.array([60.0, 31.5]), corners)
    assert foot == pytest.approx((60, 30))
    assert away == pytest.approx(1.5)
