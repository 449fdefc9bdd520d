"""Distances told from control points: never another than the one that is measured, or none."""

from __future__ import annotations

import numpy as np
import pytest
from contour_shapes import circle, moved, rectangle, reversed_contour, rolled, together
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.drawn_alike import distances_drawn_alike
from preflight.geometry.extents import value_ranges
from preflight.geometry.flatten import flatten
from preflight.geometry.hausdorff import SETTLED, hausdorff_distances
from preflight.geometry.outlines import Outlines

FIRST, SECOND = np.zeros(1, np.intp), np.ones(1, np.intp)


def told(one: Outlines, other: Outlines, within: float = 0.05) -> float:
    return float(distances_drawn_alike(together(one, other), FIRST, SECOND, within, SETTLED)[0])


@pytest.mark.parametrize("shift", [(0.0, 0.0), (0.03, 0.0), (-0.02, 0.03), (0.0, -0.049)])
def test_a_moved_copy_is_as_far_as_it_was_moved(shift):
    for drawn in (circle(3, 4, 5), rectangle(0, 0, 7, 3)):
        copy = moved(drawn, 0.0, shift)
        for other in (copy, reversed_contour(copy)):
            np.testing.assert_allclose(told(drawn, other), np.hypot(*shift), atol=1e-9)


def test_a_larger_circle_is_farther_by_the_difference_of_the_radii():
    # A drawn quarter of a circle is up to 0.027 % off it.
    np.testing.assert_allclose(told(circle(0, 0, 40), circle(0, 0, 40.012)), 0.012, atol=1e-5)


def test_beyond_the_limit_it_is_infinite():
    assert told(circle(0, 0, 5), circle(0.051, 0, 5)) == np.inf
    assert told(circle(0, 0, 5), circle(0.049, 0, 5)) < np.inf


def test_what_is_drawn_otherwise_must_be_measured():
    drawn = circle(0, 0, 5)
    assert np.isnan(told(drawn, rolled(drawn, 1)))
    assert np.isnan(told(drawn, circle(0, 0, 5, 7)))
    assert np.isnan(told(drawn, circle(9, 0, 5)))


def test_nothing_is_told_of_no_pairs_and_much_in_parts(monkeypatch):
    monkeypatch.setattr("preflight.geometry.drawn_alike._AT_ONCE", 9)
    drawn = together(*(circle(0.01 * number, 0, 5) for number in range(12)), circle(0, 0, 5, 6))
    first, second = np.zeros(12, np.intp), np.arange(1, 13)
    found = distances_drawn_alike(drawn, first, second, 0.2, SETTLED)
    np.testing.assert_allclose(found[:11], 0.01 * np.arange(1, 12), atol=1e-9)
    assert np.isnan(found[11])
    assert not len(distances_drawn_alike(drawn, first[:0], second[:0], 0.2, SETTLED))


@given(st.integers(0, 10**6), st.floats(0.0, 0.06))
@settings(max_examples=60, deadline=None)
def test_what_is_told_is_what_is_measured(seed, noise):
    random = np.random.default_rng(seed)
    drawn = circle(0, 0, 5, int(random.integers(3, 9)))
    bent = moved(drawn, 0.0, random.uniform(-noise, noise, 2))
    bent.segments[:, 1:3] += random.uniform(-noise, noise, (len(bent.segments), 2, 2)) * random.integers(0, 2)
    both = together(drawn, bent)
    at_once = distances_drawn_alike(both, FIRST, SECOND, 0.05, SETTLED)
    if np.isnan(at_once[0]):
        return
    wanted = hausdorff_distances(flatten(both, 4e-4), FIRST, SECOND, 0.05)
    if np.isfinite(wanted[0]) and np.isfinite(at_once[0]):
        np.testing.assert_allclose(at_once, wanted, atol=0.0012)
    else:
        # Either side of the limit.
        assert min(at_once[0], wanted[0]) > 0.0488 or np.isinf(at_once[0] + wanted[0])


def test_ranges_of_numbers_hold_their_ends_and_what_lies_between():
    low, high = value_ranges(np.array([[0.0, 1.0, 2.0, 3.0], [0.0, 4.0, 4.0, 0.0], [0.0, -4.0, 4.0, 0.0]]))
    # Closed forms: 12 t (1 − t) is 3 at most; 12 t (1 − t) (2 t − 1) is 2 / √3 at most.
    np.testing.assert_allclose(low, [0.0, 0.0, -2 / 3**0.5], atol=1e-12)
    np.testing.assert_allclose(high, [3.0, 3.0, 2 / 3**0.5], atol=1e-12)
