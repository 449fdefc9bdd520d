"""Crossings against GEOS, svgpathtools and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from contour_shapes import circle, contour, moved, polygon, rectangle, reversed_contour, rolled, together
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from preflight.geometry.crossings import between, self_crossings
from preflight.geometry.outlines import Outlines
from preflight.geometry.shared_runs import shared_runs

GRID = st.tuples(st.integers(0, 12), st.integers(0, 12))


def test_bow_tie_where_geos_says():
    # GEOS 3.14.1: "Self-intersection[1 1]".
    found = self_crossings(polygon([(0, 0), (2, 2), (2, 0), (0, 2)]))
    np.testing.assert_allclose(found.points, [[1, 1]], atol=1e-9)
    assert not found.touching[0]


@pytest.mark.parametrize(
    ("points", "place", "touching"),
    [
        ([(0, 0), (1, 1), (2, 2), (2, 0), (1, 1), (0, 2)], (1, 1), False),  # figure of eight through a node
        ([(0, 0), (1, 1), (2, 0), (2, 2), (1, 1), (0, 2)], (1, 1), True),  # waist that touches at a node
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], (2, 0), True),  # node on another segment
        ([(0, 0), (4, 0), (4, 4), (8, 4), (4, 4), (0, 4)], (4, 4), True),  # spike
    ],
)
def test_meeting_at_a_node_is_found(points, place, touching):
    for drawn in (polygon(points), reversed_contour(polygon(points)), rolled(polygon(points), 2)):
        found = self_crossings(drawn)
        np.testing.assert_allclose(found.points, [place], atol=1e-6)
        assert found.touching.tolist() == [touching]


@pytest.mark.parametrize(("gap", "count"), [(0.0005, 1), (0.003, 0)])
def test_node_touches_within_a_thousandth(gap, count):
    assert len(self_crossings(polygon([(0, 0), (4, 0), (4, 4), (2, gap), (0, 4)])).points) == count


@pytest.mark.parametrize(
    "clean",
    [
        circle(0, 0, 5),
        circle(0, 0, 5, 2),
        circle(0, 0, 0.01),
        circle(0, 0, 5, other=0.05),
        rectangle(0, 0, 3, 2),
        polygon([(0, 0), (10, 0.05), (0, 0.1)]),
        polygon([(0, 0), (0, 0), (3, 0), (3, 3), (3, 3), (0, 0)]),
        polygon([(0, 0), (4, 0), (4, 4), (0, 0)], closed=False),
        polygon([(0, 0), (1, 1)]),
        contour([[[0, 0], [8, 8], [-8, 8], [0, 0]]]),  # teardrop: one segment whose ends meet
        contour([[[1, 1]] * 4]),
        Outlines.empty(),
    ],
)
def test_nothing_to_find(clean):
    assert len(self_crossings(clean).points) == 0


@given(st.lists(GRID, min_size=3, max_size=12))
@settings(max_examples=80, deadline=None)
def test_simple_where_geos_says_simple(points):
    points = [p for k, p in enumerate(points) if p != points[k - 1]]
    assume(len(points) >= 3)
    ring = shapely.LinearRing(points)
    found = len(self_crossings(polygon(points)).points)
    sides = [shapely.LineString(pair) for pair in zip(points, points[1:] + points[:1], strict=True)]
    if shapely.union_all(sides).length * 2 > ring.length + 1e-6:
        assert (found == 0) == ring.is_simple
    else:
        # Retraced all the way round it may have no place of its own; it then runs along itself, all of it.
        assert not ring.is_simple
        runs = shared_runs(polygon(points), 0.001, 0.5)
        assert found or runs.length.sum() >= ring.length / 2 - 0.01


@pytest.mark.parametrize(
    "points", [[(0, 0), (5, 0)], [(0, 0), (5, 0), (5, 3), (5, 0)], [(0, 0), (2, 1), (4, 2)]]
)
def test_retraced_all_the_way_runs_along_itself(points):
    assert not shapely.LinearRing([*points, points[0]]).is_simple
    runs = shared_runs(polygon(points), 0.001, 0.5)
    assert runs.length.sum() == pytest.approx(shapely.LinearRing([*points, points[0]]).length / 2, abs=0.01)


@pytest.mark.parametrize("angle", [0.3, 1.9, 4.0])
def test_places_move_with_the_contour(angle):
    turns = 0.8 * np.pi * np.arange(5)
    star = polygon(np.stack([5 * np.cos(turns), 5 * np.sin(turns)], axis=1))
    found, turned = self_crossings(star), self_crossings(moved(star, angle, (300, -200)))
    c, s = np.cos(angle), np.sin(angle)
    assert len(found.points) == 5
    np.testing.assert_allclose(
        found.points @ np.array([[c, s], [-s, c]]) + [300, -200], turned.points, atol=1e-6
    )


COORDINATE = st.integers(0, 40)
CUBIC = st.tuples(*[st.tuples(COORDINATE, COORDINATE)] * 4)


@given(CUBIC, CUBIC)
@settings(max_examples=15, deadline=None)
def test_crossings_of_two_curves_agree_with_a_fine_polyline(one, other):
    a, b = contour([one], closed=False), contour([other], closed=False)
    assume(one != other and len(set(one)) == 4 and len(set(other)) == 4)
    t = np.linspace(0, 1, 2001)[:, None]
    weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3])
    lines = [shapely.LineString(weights @ np.array(p, float)) for p in (one, other)]
    common = shapely.intersection(*lines)
    assume(not common.is_empty or lines[0].distance(lines[1]) > 0.02)
    places = shapely.get_coordinates(common)
    found = between(together(a, b)).points
    for place in places:
        assert len(found)
        assert np.linalg.norm(found - place, axis=1).min() < 0.2 or "LineString" in common.geom_type
    for place in found:
        assert max(line.distance(shapely.Point(place)) for line in lines) < 0.002


def test_small_cubics_as_svgpathtools_finds_them():
    from svgpathtools import CubicBezier

    cases = [
        ([0, 10 + 30j, 20 - 20j, 30 + 10j], [10j, 10 - 20j, 20 + 30j, 30], 3),
        ([0, 20j, 20 + 20j, 20], [10 - 5j, 12 + 5j, 8 + 15j, 10 + 25j], 1),
    ]
    for one, other, count in cases:
        curve = CubicBezier(*one)
        places = [curve.point(t) for t, _ in curve.intersect(CubicBezier(*other), tol=1e-9)]
        drawn = [contour([[[z.real, z.imag] for z in map(complex, c)]], closed=False) for c in (one, other)]
        found = between(together(*drawn))
        # svgpathtools misses the middle one of three places that lie symmetrically; all it finds are here.
        assert len(found.points) == count
        for place in places:
            assert np.linalg.norm(found.points - [place.real, place.imag], axis=1).min() < 1e-3
        assert not found.touching.any()


def test_loop_of_one_cubic_is_on_its_axis():
    # (0,0) (10,10) (-6,10) (4,0) is its own mirror image in x = 2.
    found = self_crossings(contour([[[0, 0], [10, 10], [-6, 10], [4, 0]]], closed=False))
    assert found.points[0, 0] == pytest.approx(2.0, abs=1e-9)
    assert found.first_at[0, 1] + found.second_at[0, 1] == pytest.approx(1.0)


@pytest.mark.parametrize("angle", [0.0, 0.3, 2.0])
def test_circles_cross_touch_and_miss(angle):
    def pair(distance):
        return together(
            circle(0, 0, 5, turned=angle),
            moved(circle(0, 0, 5), angle, [distance * np.cos(angle), distance * np.sin(angle)]),
        )

    crossing = between(pair(6.0))
    # Closed form: on the perpendicular bisector, √(25 − 9) = 4 from the axis; a drawn circle is 0.027 % off.
    across = crossing.points @ [-np.sin(angle), np.cos(angle)]
    np.testing.assert_allclose(np.sort(across), [-4, 4], atol=0.002)
    assert not crossing.touching.any()
    touch = between(pair(10.0))
    assert len(touch.points) == 1
    assert touch.touching.all()
    assert len(between(pair(10.01)).points) == 0


def test_shared_side_gives_its_ends_only():
    found = between(together(rectangle(0, 0, 4, 4), rectangle(4, 1, 8, 3)))
    np.testing.assert_allclose(found.points, [[4, 1], [4, 3]], atol=1e-6)
    assert found.touching.all()


def test_copies_cross_nothing_and_cost_little():
    many = together(*[circle(0, 0, 5)] * 3000, circle(5, 0, 5))
    assert len(between(many).points) == 2
    assert len(between(together(circle(0, 0, 5), rolled(circle(0, 0, 5), 1))).points) == 0


def test_groups_pairs_and_left_out():
    four = together(circle(0, 0, 5), circle(5, 0, 5), circle(0, 5, 5), Outlines.empty(1))
    assert {tuple(p) for p in np.stack([between(four).first, between(four).second], 1)} == {
        (0, 1),
        (0, 2),
        (1, 2),
    }
    assert set(between(four, groups=np.array([1, 1, 2])).second) == {1}
    assert set(between(four, pairs=np.array([[2, 0]])).second) == {2}
    assert set(between(four, leave_out=np.array([0])).first) == {1}


def test_lines_through_one_point_meet_pair_by_pair():
    turns = np.arange(80) * np.pi / 80
    rays = [
        polygon(
            [(50 - 9 * np.cos(t), 50 - 9 * np.sin(t)), (50 + 9 * np.cos(t), 50 + 9 * np.sin(t))], closed=False
        )
        for t in turns
    ]
    found = between(together(*rays))
    assert len(found.points) == 80 * 79 / 2
    np.testing.assert_allclose(found.points, 50.0, atol=1e-6)
    assert not found.touching.any()


def test_long_contour_is_not_quadratic():
    t = np.linspace(0, 2 * np.pi, 20_001)[:-1]
    wavy = 100 + 5 * np.sin(40 * t)
    points = np.stack([wavy * np.cos(t), wavy * np.sin(t)], axis=1)
    assert len(self_crossings(polygon(points)).points) == 0
    points[[5000, 5001]] = points[[5001, 5000]]
    assert len(self_crossings(polygon(points)).points) >= 1


@pytest.mark.parametrize("length", [0.3, 0.9, 4.0])
def test_changing_sides_over_a_shared_stretch_is_one_crossing_where_it_begins(length):
    """From above the line to below it along a stretch of the line: closed form."""
    line = polygon([(0, 0), (10, 0), (10, 9), (0, 9)])
    other = polygon([(3, -4), (3, 0), (3 + length, 0), (3 + length, 4), (20, 4), (20, -4)])
    found = between(together(line, other))
    start = found.points[~found.touching]
    assert [tuple(place) for place in start.round(9).tolist()] == [(3.0, 0.0), (10.0, 4.0)]
    found = between(together(reversed_contour(line), other))
    start = found.points[~found.touching]
    assert (3.0 + length, 0.0) in [tuple(place) for place in start.round(9).tolist()]


@pytest.mark.parametrize("length", [0.3, 4.0])
def test_parting_on_the_same_side_again_is_touching(length):
    line = polygon([(0, 0), (10, 0), (10, 9), (0, 9)])
    other = polygon([(3, -4), (3, 0), (3 + length, 0), (3 + length, -4)])
    found = between(together(line, other))
    assert len(found.points) == 2
    assert found.touching.all()


@pytest.mark.parametrize(("short", "count"), [(0.0, 1), (0.0009, 1), (0.0015, 0)])
def test_a_run_of_the_least_length_but_for_rounding_is_one(short, count):
    edge = polygon([(0, 0), (9, 0), (9, 9), (0, 9)])
    tooth = polygon([(4, -5), (4, 0), (5 - short, 0), (5 - short, -5)])
    runs = shared_runs(together(edge, tooth), 0.001, 1.0)
    assert len(runs.first) == count
    np.testing.assert_allclose(runs.length, [1.0 - short] * count, atol=1.1e-3)
