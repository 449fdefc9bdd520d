"""Tight corners and needed nodes: closed forms, and both sides of each limit."""

from __future__ import annotations

import numpy as np
import pytest
from contour_shapes import circle, contour, moved, polygon, rectangle, reversed_contour, together

from preflight.geometry.cubics import halves
from preflight.geometry.curvature import tight_corners
from preflight.geometry.nodes import needed_nodes, short_steps
from preflight.geometry.outlines import Outlines


def corners(drawn, radius=0.5, angle=20.0):
    return tight_corners(drawn, radius, angle)


def wedge(degrees):
    return polygon([(10, 0), (0, 0), (10 * np.cos(np.radians(degrees)), 10 * np.sin(np.radians(degrees)))])


@pytest.mark.parametrize("pieces", [3, 4, 6, 8])
def test_circle_of_exactly_the_limit_passes_and_a_tighter_one_does_not(pieces):
    assert len(corners(circle(3, 4, 0.5, pieces)).value) == 0
    found = corners(circle(3, 4, 0.485, pieces))
    assert found.is_curved.all()
    assert len(found.value) == 1
    # A drawn quarter is up to 0.8 % tighter than its circle (1.008004832, from its control points), a third 2.4 %
    # (computed from its control points).
    assert found.value[0] == pytest.approx(0.485, rel=0.025)


def test_ellipse_ends_are_b_squared_over_a():
    found = corners(circle(0, 0, 5, other=1.0))
    assert found.is_curved.tolist() == [True, True]
    np.testing.assert_allclose(np.abs(found.point[:, 0]), 5.0, atol=0.2)
    # Closed form b²/a = 0.2; a drawn quarter's end curvature is 0.97855 of it: 2/3 (1 − κ)/κ².
    np.testing.assert_allclose(found.value, 0.2, rtol=0.03)


@pytest.mark.parametrize(("degrees", "count"), [(19.9, 1), (20.1, 0), (90, 0), (1, 1)])
@pytest.mark.parametrize("turned", [0.0, 1.1])
def test_sharp_corner_on_both_sides_of_the_limit(degrees, count, turned):
    for drawn in (wedge(degrees), reversed_contour(wedge(degrees))):
        found = corners(moved(drawn, turned, (5, 6)))
        at_tip = np.linalg.norm(found.point - [5, 6], axis=1) < 1e-6
        assert np.count_nonzero(at_tip) == count
        np.testing.assert_allclose(found.value[at_tip], [degrees] * count, atol=1e-6)
        assert not found.is_curved.any()


def test_retraced_spike_is_a_corner_of_no_angle():
    found = corners(polygon([(0, 0), (4, 0), (4, 4), (8, 4), (4, 4), (0, 4)]))
    assert [8.0, 4.0] in found.point.tolist()
    assert found.value.min() == pytest.approx(0.0, abs=1e-6)


def test_cusp_inside_a_cubic():
    # (0,0) (10,10) (0,10) (10,0): P'(1/2) = 0 exactly.
    found = corners(contour([[[0, 0], [10, 10], [0, 10], [10, 0]]], closed=False))
    sharp = ~found.is_curved
    np.testing.assert_allclose(found.point[sharp], [[5, 7.5]], atol=1e-4)
    np.testing.assert_allclose(found.value[sharp], [0.0], atol=1e-9)


@pytest.mark.parametrize(
    "passing",
    [
        rectangle(0, 0, 4, 4),
        contour(
            [[[0, 0], [0, 0], [10, 10], [20, 10]]], closed=False
        ),  # handle in its node turns through little
        polygon([(0, 0), (0, 0), (4, 0), (4, 4), (4, 4)]),
        polygon([(0, 0), (5, 0)], closed=False),
        contour([[[1, 1]] * 4]),
        Outlines.empty(1),
    ],
)
def test_passes(passing):
    assert len(corners(passing).value) == 0


def test_tight_curve_over_several_segments_is_one_corner():
    half = circle(0, 0, 0.3, 16).segments[:8]
    found = corners(contour(half, closed=False))
    assert len(found.value) == 1
    assert found.value[0] == pytest.approx(0.3, rel=0.01)


def test_slight_tight_turn_is_no_corner():
    arc = circle(0, 0, 0.3, 36).segments  # 10° each
    assert len(corners(contour(arc[:1], closed=False)).value) == 0
    assert len(corners(contour(arc[:2], closed=False)).value) == 1


def test_nodes_needed():
    cut = contour(np.stack(halves(circle(0, 0, 5).segments), axis=1).reshape(-1, 4, 2))
    cut_again = contour(np.stack(halves(cut.segments), axis=1).reshape(-1, 4, 2))
    five = together(
        circle(0, 0, 5),
        cut_again,
        rectangle(0, 0, 4, 4),
        polygon([(0, 0), (1, 0), (2, 0), (3, 0), (4, 0), (4, 4)]),
        polygon([(0, 0), (1, 0), (2, 0)], closed=False),
        Outlines.empty(1),
    )
    assert needed_nodes(five, 0.01).tolist() == [4, 4, 4, 3, 2]


def test_circle_of_many_lines_needs_few():
    t = np.arange(400) * 2 * np.pi / 400
    lines = polygon(np.stack([5 * np.cos(t), 5 * np.sin(t)], axis=1))
    assert needed_nodes(lines, 0.01)[0] <= 40
    assert needed_nodes(lines, 1e-7)[0] == 400


def test_short_steps():
    found = short_steps(together(rectangle(0, 0, 4, 0.2), rectangle(0, 0, 4, 0.3)), 0.25)
    assert found.counts.tolist() == [2, 0]
    np.testing.assert_allclose(found.length, 0.2)
    np.testing.assert_allclose(found.point, [[4, 0.1], [0, 0.1]])
