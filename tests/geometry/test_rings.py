"""Filled regions: both rules, holes, crossings, and a winding count by angle as an independent judge."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

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
