"""Regions with fewer points: how far they may leave the true ones, and what must not be lost."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.simplification import simplified


def test_the_border_stays_within_the_distance_and_loses_points() -> None:
    disc = shapely.Point(0, 0).buffer(10, quad_segs=64)
    (coarse,) = simplified(np.array([disc]), 0.02)
    assert shapely.hausdorff_distance(coarse.boundary, disc.boundary, densify=0.05) <= 0.02
    assert shapely.get_num_coordinates(coarse) < shapely.get_num_coordinates(disc) / 2


def test_what_would_lose_a_hole_or_itself_stays_as_it_is() -> None:
    pinprick = shapely.Point(0, 0).buffer(0.01)
    holed = shapely.box(-5, -5, 5, 5).difference(pinprick)
    found = simplified(np.array([pinprick, holed]), 0.05)
    assert shapely.equals_exact(found, np.array([pinprick, holed])).all()


def blob(dice: np.random.Generator) -> list[tuple[float, float]]:
    """A disc with an uneven border."""
    turns = np.sort(dice.random(dice.integers(6, 60))) * 2 * np.pi
    radii = 10 + dice.normal(0, 0.03, len(turns))
    return list(zip((radii * np.cos(turns)).tolist(), (radii * np.sin(turns)).tolist(), strict=True))


def strip(dice: np.random.Generator) -> list[tuple[float, float]]:
    """Something long, in places thinner than what may be left out, whose sides come to cross each other."""
    x = np.linspace(0, 20, dice.integers(4, 40))
    middle = 0.05 * dice.normal(0, 1, len(x)).cumsum()
    half = 0.02 * dice.random(len(x)) + np.where(dice.random(len(x)) < 0.8, 0.001, 3.0)
    there, back = middle + half, (middle - half)[::-1]
    return [*zip(x.tolist(), there.tolist(), strict=True), *zip(x[::-1].tolist(), back.tolist(), strict=True)]


@given(st.integers(0, 2**32 - 1), st.sampled_from([blob, strip]))
@settings(max_examples=300)
def test_neither_border_leaves_the_other_by_more(seed: int, drawn: object) -> None:
    dice = np.random.default_rng(seed)
    points = drawn(dice)  # type: ignore[operator]
    region = shapely.Polygon(np.roll(points, dice.integers(len(points)), axis=0))
    if not region.is_valid:
        return
    (coarse,) = simplified(np.array([region]), 0.04)
    assert coarse.is_valid
    corners = shapely.points(shapely.get_coordinates(region))
    assert shapely.distance(corners, coarse.boundary).max() <= 0.04 + 1e-9
    assert shapely.hausdorff_distance(coarse.boundary, region.boundary, densify=0.02) <= 0.04 + 1e-9


def test_parts_lose_points_each_for_itself() -> None:
    bulging = [shapely.Polygon([(x, 0), (x + 10, 0), (x + 10.03, 5), (x + 10, 10), (x, 10)]) for x in (0, 30)]
    (found,) = simplified(np.array([shapely.MultiPolygon(bulging)]), 0.05)
    assert shapely.get_num_coordinates(found) == 10


def test_parts_that_overlap_without_their_spare_points_keep_them() -> None:
    left = shapely.Polygon([(0, 0), (10, 0), (9.97, 5), (10, 10), (0, 10)])
    spike = shapely.Polygon([(9.98, 5), (20, 4), (20, 6)])
    both = shapely.MultiPolygon([left, spike])
    assert both.is_valid
    (found,) = simplified(np.array([both]), 0.05)
    assert shapely.equals_exact(found, both)


@pytest.mark.parametrize(
    "region",
    [
        None,
        shapely.Polygon(),
        shapely.LineString([(0, 0), (1, 0.001), (2, 0)]),
        shapely.GeometryCollection(
            [shapely.box(0, 0, 1, 1), shapely.LineString([(5, 0), (6, 0.001), (7, 0)])]
        ),
    ],
    ids=["missing", "empty", "line", "line beside an area"],
)
def test_what_is_no_area_stays_as_it_is(region: object) -> None:
    (found,) = simplified(np.array([region], dtype=object), 0.05)
    assert found is region or shapely.equals_exact(found, region)
