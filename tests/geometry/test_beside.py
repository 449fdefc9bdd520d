"""Edges of areas beside the borders of regions: closed forms, equations, and random shapes offset by a known distance."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, box

from preflight.geometry.beside import SKIN, Edges, edges_beside, flush_stretches

SHEET = box(10, 10, 60, 40)


def beside(
    region: Polygon, area: Polygon, reach: float = 2.99, *, outside: bool = True, leave_out: object = None
) -> Edges:
    left = None if leave_out is None else np.array([leave_out], object)
    return edges_beside(np.array([region]), np.array([area]), reach, outside=outside, leave_out=left)


def flush(region: Polygon, area: Polygon, *, outside: bool = False) -> list[float]:
    return [
        line.length for line in flush_stretches(np.array([region]), np.array([area]), outside=outside).lines
    ]


def circle(radius: float, x: float = 0.0, y: float = 0.0) -> Polygon:
    """A circle that misses the true one by less than 0.001 mm."""
    return Point(x, y).buffer(radius, quad_segs=256)


@pytest.mark.parametrize("join", ["mitre", "round", "bevel"])
def test_an_offset_has_its_distance_whatever_its_corners(join: str) -> None:
    """Design, section 6: corners of the bleed are judged as an offset with the art's own joins."""
    short = beside(SHEET, SHEET.buffer(1.2, join_style=join, quad_segs=32))
    assert short.filled.all()
    assert short.distance == pytest.approx(1.2, abs=1e-6)
    enough = beside(SHEET, SHEET.buffer(3.0, join_style=join, quad_segs=32))
    assert not len(enough.region)


def test_the_places_lie_on_the_border_and_on_the_edge() -> None:
    short = beside(circle(20), circle(22.4))
    assert short.distance == pytest.approx(2.4, abs=0.002)
    assert np.hypot(*short.here.T) == pytest.approx(20, abs=0.002)
    assert np.hypot(*short.there.T) == pytest.approx(22.4, abs=0.002)


def test_art_that_keeps_off_has_no_edge_outside() -> None:
    assert not len(beside(SHEET, box(13, 13, 57, 37)).region)
    assert flush(SHEET, box(13, 13, 57, 37)) == []


@pytest.mark.parametrize("angle", [3, 5, 8, 11, 14])
def test_an_edge_that_crosses_the_border_at_a_few_degrees_does_not_end_on_it(angle: float) -> None:
    ground = affinity.rotate(box(-100, -100, 170, 50), angle, origin=(35, 40))
    assert flush(SHEET, ground) == []


@pytest.mark.parametrize("width", [0.15, 0.3, 0.45, 2.0])
def test_a_line_cut_off_on_the_border_ends_there(width: float) -> None:
    assert flush(SHEET, box(35, 20, 35 + width, 40)) == [pytest.approx(width, abs=0.05)]
    assert flush(SHEET, box(35, 40, 35 + width, 50), outside=True) == [pytest.approx(width, abs=0.05)]


@pytest.mark.parametrize("angle", [15, 20, 35, 60, 90, 145])
def test_an_edge_that_runs_out_across_the_border_is_in_order(angle: float) -> None:
    stripe = affinity.rotate(box(-100, 23, 170, 27), angle, origin=(35, 25))
    assert not len(beside(SHEET, stripe).region)
    assert flush(SHEET, stripe) == []


def test_an_edge_that_crosses_and_runs_alongside_as_well_is_not() -> None:
    beside_and_out = box(20, 30, 50, 41).union(box(48, 30, 50, 80))
    short = beside(SHEET, beside_and_out)
    assert short.distance[short.filled] == pytest.approx([1.0], abs=1e-9)


def test_a_straight_edge_that_cuts_off_a_bend_is_measured_between_its_ends() -> None:
    """A disc of radius 10 and an area that ends at a chord 9.5 from its centre: the sagitta is 0.5, closed form."""
    disc = Point(0, 0).buffer(10.0, 256)
    found = edges_beside(np.array([disc]), np.array([box(-20, -20, 20, 9.5)]), 2.0, outside=False)
    assert found.distance == pytest.approx([0.5], abs=1e-3)
    assert found.there == pytest.approx(np.array([[0.0, 9.5]]), abs=0.1)


def test_of_a_bump_the_greatest_distance_counts() -> None:
    short = beside(SHEET, Point(35, 10).buffer(1.0, 64))
    assert short.filled.tolist() == [True]
    assert short.distance == pytest.approx([1.0], abs=1e-6)


def test_a_notch_in_the_area_is_found_where_it_is_deepest() -> None:
    notched = SHEET.buffer(4).difference(box(30, 0, 34, 9.5))
    short = beside(SHEET, notched)
    assert short.distance[short.filled] == pytest.approx([0.5])
    assert flush(SHEET, SHEET.buffer(4).difference(box(30, 0, 34, 10))) == [pytest.approx(4.0, abs=0.03)]


def test_what_lies_beyond_the_edge_is_told_from_what_lies_before_it() -> None:
    standing_outside = beside(SHEET, box(61, 20, 62, 25))
    assert standing_outside.filled.tolist() == [False]
    assert standing_outside.distance == pytest.approx([1.0])


def test_an_area_that_ends_on_the_border_is_flush() -> None:
    assert flush(SHEET, SHEET) == [pytest.approx(160.0, abs=0.1)]
    assert not len(beside(SHEET, SHEET).region)
    around = box(0, 0, 100, 100).difference(SHEET)
    assert flush(SHEET, around) == []
    assert sum(flush(SHEET, around, outside=True)) == pytest.approx(160.0, abs=0.1)


def test_circles_inside_circles() -> None:
    near = beside(circle(20), circle(18.5), 1.99, outside=False)
    assert near.filled.tolist() == [False]
    assert near.distance == pytest.approx([1.5], abs=0.002)
    off_centre = beside(circle(20), circle(10, 8.7), 1.99, outside=False)
    assert off_centre.distance == pytest.approx([20 - 10 - 8.7], abs=0.002)
    assert not len(beside(circle(20), circle(18), 1.99, outside=False).region)


def test_a_frame_that_reaches_the_border_is_filled_up_to_its_edge() -> None:
    frame = circle(23).difference(circle(18.5))
    assert beside(circle(20), frame, 1.99, outside=False).filled.all()


def test_nothing_is_measured_in_what_is_left_out() -> None:
    assert not len(beside(SHEET, SHEET.buffer(1.2), leave_out=SHEET.buffer(2)).region)
    half = beside(SHEET, SHEET.buffer(1.2), leave_out=box(0, 0, 35, 100))
    assert half.there[:, 0].min() >= 35


def test_each_region_has_its_own_area() -> None:
    regions = np.array([SHEET, affinity.translate(SHEET, 100, 0), affinity.translate(SHEET, 0, 100)])
    areas = shapely.buffer(regions, [1.0, 3.5, 2.0])
    edges = edges_beside(regions, areas, 2.99, outside=True)
    assert sorted(set(edges.region.tolist())) == [0, 2]
    for region, distance in ((0, 1.0), (2, 2.0)):
        assert edges.distance[edges.region == region] == pytest.approx(distance, abs=1e-6)


def test_empty_areas_and_no_regions_have_no_edges() -> None:
    assert not len(beside(SHEET, Polygon()).region)
    nothing = np.empty(0, object)
    assert not len(edges_beside(nothing, nothing, 3.0, outside=True).region)
    assert not len(flush_stretches(nothing, nothing, outside=False).region)


def ellipse(a: float, b: float) -> tuple[np.ndarray, Polygon]:
    """Points of an ellipse by its equation, and the polygon through them (chords within 0.001 mm)."""
    angles = np.linspace(0, 2 * math.pi, 4001)
    points = np.stack([a * np.cos(angles), b * np.sin(angles)], axis=1)
    return points, Polygon(points)


@pytest.mark.parametrize(("wider", "higher"), [(1.0, 2.0), (2.5, 0.7), (0.2, 0.3), (2.0, 2.0)])
def test_ellipse_in_ellipse_by_their_equations(wider: float, higher: float) -> None:
    """The least distance of two ellipses about one centre, from points of both equations."""
    inner, region = ellipse(30, 12)
    outer, area = ellipse(30 + wider, 12 + higher)
    truth = min(float(np.hypot(*(inner - point).T).min()) for point in outer[::4])
    short = beside(region, area)
    assert short.filled.all()
    assert short.distance.min() == pytest.approx(truth, abs=0.005)


@settings(max_examples=60, deadline=None)
@given(
    radii=st.lists(st.floats(8, 20), min_size=5, max_size=12),
    distance=st.floats(0.1, 2.8),
    turn=st.floats(0, 360),
    rounding=st.floats(0.5, 3),
)
def test_a_random_shape_offset_by_a_known_distance(
    radii: list[float], distance: float, turn: float, rounding: float
) -> None:
    angles = np.linspace(0, 2 * math.pi, len(radii), endpoint=False)
    star = Polygon(np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1))
    region = affinity.rotate(star.buffer(rounding, quad_segs=64).simplify(0.001), turn)
    short = beside(region, region.buffer(distance, quad_segs=128))
    assert short.filled.all()
    assert short.distance.min() == pytest.approx(distance, abs=0.005)
    within = region.buffer(-distance, quad_segs=128)
    near = beside(region, within, 2.99, outside=False)
    assert not near.filled.any()
    assert near.distance.min() == pytest.approx(distance, abs=0.005)


def test_the_skin_is_finer_than_the_tolerance_promised() -> None:
    """Issue: distances within 0.02 mm of the truth."""
    assert SKIN <= 0.01
