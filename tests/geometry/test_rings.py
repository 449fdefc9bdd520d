"""Filled regions: both rules, holes, crossings, and a winding count by angle as an independent judge."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.effort import Effort, edges_of
from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse
from preflight.geometry.rings import common_regions, polygons
from preflight.geometry.shapes import polygon


def areas(text: str, tolerance: float = 0.001) -> tuple[float, float]:
    """Area of one object under nonzero and under evenodd."""
    outlines = parse([text, text]).outlines
    regions = polygons(outlines, ["nonzero", "evenodd"], tolerance)
    assert all(region.is_valid for region in regions)
    return regions[0].area, regions[1].area


@pytest.mark.parametrize(
    ("text", "nonzero", "evenodd"),
    [
        ("M0 0H10V10H0z", 100, 100),
        ("M0 0H10V10H0", 100, 100),
        ("M0 0H10V10H0zM2 2H8V8H2z", 100, 64),
        ("M0 0H10V10H0zM2 2V8H8V2z", 64, 64),
        ("M0 0H10V10H0zM2 2V8H8V2zM4 4H6V6H4z", 68, 68),
        ("M0 0H4V4H0zM2 2H6V6H2z", 28, 24),
        ("M0 0H4V4H0zM4 0H8V4H4z", 32, 32),
        ("M0 0H4V4H0zM0 0H4V4H0z", 16, 0),
        ("M0 0H4V4H0zM0 0V4H4V0z", 0, 0),
        ("M0 0L2 2V0L0 2z", 2, 2),
        ("M0 0H9V9H0zM20 0H22V2H20z", 85, 85),
        ("M0 0L5 5", 0, 0),
        ("M0 0L5 5L9 9z", 0, 0),
        ("M3 3", 0, 0),
        ("M0 0H4V4H0zM9 9M1 1L2 2", 16, 16),
        ("", 0, 0),
    ],
)
def test_regions(text: str, nonzero: float, evenodd: float) -> None:
    assert areas(text) == pytest.approx((nonzero, evenodd), abs=1e-9)


def test_star_of_five() -> None:
    turns = np.arange(5) * 4 * np.pi / 5
    star = "M" + "L".join(
        f"{np.sin(t)!r} {-np.cos(t)!r}".replace("np.float64(", "").replace(")", "") for t in turns
    )
    filled, hollow = areas(star + "z")
    # The inner pentagon has the circumradius 1 / golden ratio squared; evenodd leaves it out.
    golden = (1 + np.sqrt(5)) / 2
    assert filled - hollow == pytest.approx(2.5 * np.sin(2 * np.pi / 5) / golden**4, rel=1e-9)


def test_circle_within_the_tolerance() -> None:
    filled, _ = areas("M10 0A10 10 0 0 1-10 0A10 10 0 0 1 10 0z", 0.001)
    assert filled == pytest.approx(np.pi * 100, abs=2 * np.pi * 10 * 0.001)


def test_objects_keep_their_places() -> None:
    outlines = parse(["", "M0 0H1V1H0z", "M0 0L1 1", "M0 0H2V2H0zM.5 .5H1V1H.5z", "M5 5"]).outlines
    regions = polygons(outlines, ["evenodd"] * 5, 0.01)
    assert [region.area for region in regions] == [0, 1, 0, 3.75, 0]
    assert polygons(Outlines.empty(), [], 0.01).shape == (0,)


def test_a_group_has_the_region_that_all_its_objects_share() -> None:
    crossed = parse(["M0 0H4V4H0z", "M2 2H6V6H2z"]).outlines
    apart = parse(["M0 0H1V1H0z", "M5 5H6V6H5z"]).outlines
    ring = parse(["M0 0H4V4H0zM1 1H2V2H1z"]).outlines
    regions = common_regions([crossed, ring, apart], [["nonzero"] * 2, ["evenodd"], ["nonzero"] * 2], 0.01)
    assert [region.area for region in regions] == [4, 15, 0]
    assert regions[0].bounds == (2, 2, 4, 4)
    assert common_regions([], [], 0.01).shape == (0,)


@pytest.mark.parametrize("rules", [["nonzero"], ["nonzero", "winding"]])
def test_rules_must_fit(rules: list[str]) -> None:
    with pytest.raises(ValueError, match="fill rules"):
        polygons(parse(["M0 0H1V1z", "M0 0H1V1z"]).outlines, rules, 0.01)


corners = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=3, max_size=8)


@settings(max_examples=150, deadline=None)
@given(st.lists(corners, min_size=1, max_size=3))
def test_regions_hold_the_points_their_rule_says(contours: list[list[tuple[int, int]]]) -> None:
    text = "".join("M" + " ".join(f"{x},{y}" for x, y in contour) + "z" for contour in contours)
    regions = polygons(parse([text, text]).outlines, ["nonzero", "evenodd"], 0.01)
    # Points off the lattice lines; those that happen to lie on an edge are left out.
    at = np.random.default_rng(5).uniform(-1, 13, (120, 2))
    edges = shapely.MultiLineString([[*c, c[0]] for c in contours])
    at = at[shapely.distance(edges, shapely.points(at)) > 1e-6]
    turns = np.zeros(len(at))
    for contour in contours:
        ring = np.array([*contour, contour[0]], float) @ [1, 1j]
        spokes = ring[None] - (at @ [1, 1j])[:, None]
        turns += np.angle(spokes[:, 1:] / spokes[:, :-1]).sum(axis=1) / (2 * np.pi)
    turns = np.round(turns)
    for region, inside in zip(regions, (turns != 0, turns % 2 != 0), strict=True):
        assert region.is_valid
        np.testing.assert_array_equal(shapely.contains_xy(region, at), inside)


def test_faces_that_rounding_makes_overlap_are_joined_all_the_same() -> None:
    # Found among random polygons: GEOS refuses to join the faces as a coverage.
    drawn = np.array([(3, 164.8), (163, 147.7), (41, 185.8), (154, 55.5), (73, 120.1), (5, 160.0)])
    chain = np.column_stack(
        [-1.66 * drawn[:, 0] + 0.83 * drawn[:, 1], 0.1 * drawn[:, 0] - 0.05 * drawn[:, 1]]
    )
    (region,) = polygons(polygon(chain), ["nonzero"], 0.01)
    assert shapely.is_valid(region)
    assert shapely.bounds(region) == pytest.approx([*chain.min(axis=0), *chain.max(axis=0)])


def tangle(count: int) -> Outlines:
    """A closed line to and fro between random points of a square."""
    return polygon(np.random.default_rng(7).random((count, 2)) * 100.0)


def test_what_crosses_too_often_has_no_region_and_the_others_have_theirs() -> None:
    square = polygon(np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]]))
    regions = polygons(Outlines.joined([square, tangle(20_000), square]), ["nonzero"] * 3, 0.01)
    assert regions[1] is None
    assert [regions[0].area, regions[2].area] == pytest.approx([81.0, 81.0])


def test_a_tangle_that_can_be_paid_for_has_its_region() -> None:
    region = polygons(tangle(120), ["evenodd"], 0.01)[0]
    assert region.is_valid
    assert 0.4 < region.area / region.convex_hull.area < 0.6


def test_many_tangles_are_paid_from_one_purse() -> None:
    few = Outlines.joined([tangle(200)] * 12)
    regions = polygons(few, ["nonzero"] * 12, 0.01)
    known = [region is not None for region in regions]
    assert known[0]
    assert not known[-1]
    assert known == sorted(known, reverse=True)


def test_what_grows_with_the_drawing_is_free() -> None:
    eights = Outlines.joined(
        [polygon(np.array([[x, 0], [x + 1, 1], [x + 1, 0], [x, 1.0]])) for x in range(1000)]
    )
    regions = polygons(eights, ["nonzero"] * 1000, 0.01, effort=Effort(0.0))
    assert shapely.area(regions) == pytest.approx(np.full(1000, 0.5))


def test_combs_across_each_other_share_no_region_that_is_worked_out() -> None:
    x = np.repeat(np.arange(1000) * 0.08, 2)
    up = np.tile([-1.0, 81.0, 81.0, -1.0], 500)
    comb = np.column_stack([x, up])[:-1]
    upright, level = polygon(comb), polygon(comb[:, ::-1])
    groups = [upright, Outlines.joined([upright, level])]
    common = common_regions(groups, [["evenodd"], ["evenodd"] * 2], 0.01)
    assert common[0].area > 0
    assert common[1] is None


@pytest.mark.parametrize(
    ("first", "second", "count"),
    [
        ([[0, 0], [2, 2]], [[0, 2], [2, 0]], 1),  # across
        ([[0, 0], [2, 0]], [[1, 0], [1, 5]], 1),  # an end on the other
        ([[0, 0], [2, 0]], [[2, 0], [5, 5]], 0),  # a node in common
        ([[0, 0], [2, 2]], [[1.5, 0], [2, 1]], 0),  # boxes that meet only
        ([[0, 0], [3, 0]], [[1, 0], [4, 0]], 1),  # along each other
    ],
)
def test_crossings_are_counted_before_they_are_made(first: Any, second: Any, count: int) -> None:
    pair = np.array([first, second], float)
    apart = np.arange(300)[:, None, None, None] * np.array([100.0, 0.0])
    edges = (pair + apart).reshape(-1, 2, 2)
    # 300 pairs, of which 200 are free.
    assert Effort(100.0 * count + 60.0).allows(edges)
    assert Effort(100.0 * count - 60.0).allows(edges) == (count == 0)


def test_what_was_paid_is_gone() -> None:
    effort = Effort(300.0)
    crossed = tangle(60).segments[:, [0, 3]]
    allowed = [effort.allows(crossed) for _ in range(20)]
    assert allowed[0]
    assert not allowed[-1]


def test_edges_are_those_of_lines_and_rings() -> None:
    hole = shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [[(1, 1), (2, 1), (2, 2)]])
    line = shapely.MultiLineString([[(0, 0), (1, 1), (2, 0)], [(5, 5), (6, 6)]])
    assert len(edges_of(hole)) == 4 + 3
    assert len(edges_of(line)) == 3
    assert len(edges_of(shapely.Polygon())) == 0
