"""Regions laid over each other, against what happens to single points."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from preflight.geometry.layering import grounds, hidden, layered, of_dimension

KINDS = [(1, 0, 1), (1, 0, 1), (1, 0, 1), (0, 1, 1), (1, 0, 0), (0, 1, 0), (1, 1, 0)]
"""Adds, erases, sure: ink, mostly; white; what may be ink, white, or either."""


def shapes(random: np.random.Generator, count: int) -> NDArray[np.object_]:
    """Rectangles, discs, and now and then a ground beneath them all."""
    found = np.empty(count, dtype=object)
    for row in range(count):
        x, y, size = random.uniform(0, 60), random.uniform(0, 60), random.uniform(3, 25)
        found[row] = (
            shapely.Point(x, y).buffer(size) if random.random() < 0.5 else shapely.box(x, y, x + size, y + 9)
        )
    if random.random() < 0.6:
        found[random.integers(count // 2)] = shapely.box(5, 5, 55, 50)
    return found


def state(
    points: NDArray[np.object_], regions: NDArray[np.object_], adds: Any, erases: Any, sure: Any
) -> NDArray[np.intp]:
    """0 paper, 1 ink, 2 doubt, for each point, one region after the other."""
    found = np.zeros(len(points), np.intp)
    for row, region in enumerate(regions):
        within = shapely.contains(region, points)
        if sure[row]:
            found[within] = 1 if adds[row] else 0
        else:
            if erases[row]:
                found[within & (found == 1)] = 2
            if adds[row]:
                found[within & (found == 0)] = 2
    return found


@pytest.mark.parametrize("seed", range(60))
def test_random_stacks_point_by_point(seed: int) -> None:
    random = np.random.default_rng(seed)
    regions = shapes(random, int(random.integers(2, 14)))
    kinds = np.array(KINDS)[random.integers(0, 4 if seed % 3 == 0 else len(KINDS), len(regions))].astype(bool)
    adds, erases, sure = kinds.T
    zones = np.array(
        [
            shapely.Point(30, 30).buffer(28).difference(shapely.Point(30, 30).buffer(15)),
            shapely.box(2, 8, 20, 57),
        ]
    )
    zone, region = shapely.STRtree(regions).query(zones, predicate="intersects")
    mixed = random.permutation(len(zone))
    found = layered(zones, zone[mixed], region[mixed], regions, adds, erases, sure)
    points = shapely.points(random.uniform(0, 60, (400, 2)))
    borders = shapely.union_all([*shapely.boundary(regions), *shapely.boundary(zones)])
    points = points[shapely.distance(borders, points) > 1e-6]
    expected = state(points, regions, adds, erases, sure)
    for index, area in enumerate(zones):
        inside = shapely.contains(area, points)
        assert np.array_equal(shapely.contains(found.covered[index], points), inside & (expected == 1))
        assert np.array_equal(shapely.contains(found.doubtful[index], points), inside & (expected == 2))
        assert found.covered[index].intersection(found.doubtful[index]).area < 1e-9
    doubt = set(found.doubters.tolist())
    assert all(not sure[row] for row in doubt)
    assert bool(doubt) == any(not one.is_empty for one in found.doubtful)


def test_nothing_meets() -> None:
    none = np.empty(0, np.intp)
    flags = np.empty(0, bool)
    found = layered(np.array([shapely.box(0, 0, 1, 1)]), none, none, np.empty(0, object), flags, flags, flags)
    assert found.covered[0].is_empty
    assert found.doubtful[0].is_empty
    assert not len(grounds(none, none, np.empty(0)))
    assert not len(hidden(none, none, np.empty(0, object), np.empty(0, object), flags, flags))


def test_what_touches_a_zone_leaves_nothing_in_it() -> None:
    zones = np.array([shapely.box(0, 0, 10, 10)])
    regions = np.array(
        [shapely.box(10, 0, 20, 10), shapely.box(-5, 5, 0, 12).union(shapely.box(-5, 10, 5, 12))]
    )
    yes, no = np.ones(2, bool), np.zeros(2, bool)
    found = layered(zones, np.zeros(2, np.intp), np.arange(2), regions, yes, no, yes)
    assert found.covered[0].is_empty


def test_a_line_stays_where_nothing_wide_covers_it() -> None:
    zones = np.array([shapely.box(0, 0, 10, 10)])
    regions = np.array([shapely.LineString([(-5, 5), (15, 5)]), shapely.box(6, 0, 20, 20)])
    yes, no = np.ones(2, bool), np.zeros(2, bool)
    found = layered(zones, np.zeros(2, np.intp), np.arange(2), regions, yes, no, yes)
    assert found.covered[0].area == pytest.approx(40)
    lines = [part for part in found.covered[0].geoms if part.geom_type == "LineString"]
    assert sum(line.length for line in lines) == pytest.approx(6)


def test_a_line_and_an_area_of_one_group_cover_together() -> None:
    """GEOS cannot take an area with a line beside it from nothing, which is what is in doubt here."""
    zones = np.array([shapely.box(0, 0, 10, 10)])
    regions = np.array(
        [shapely.LineString([(-5, 5), (15, 5)]), shapely.box(6, 0, 20, 20), shapely.box(2, 2, 3, 3)]
    )
    yes, no = np.ones(3, bool), np.zeros(3, bool)
    unsure = np.array([True, True, False])
    both = layered(zones, np.zeros(3, np.intp), np.arange(3), regions, yes, no, unsure, [(1,), (1,), ()])
    assert shapely.get_type_id(both.covered[0]) == shapely.GeometryType.GEOMETRYCOLLECTION
    assert both.covered[0].area == pytest.approx(40)
    assert both.doubtful[0].area == pytest.approx(1)


def test_parts_of_fewer_dimensions_are_dropped() -> None:
    mixed = shapely.GeometryCollection([shapely.box(0, 0, 1, 1), shapely.LineString([(1, 1), (2, 2)])])
    given = np.array([mixed, shapely.Point(1, 1), shapely.box(0, 0, 1, 1), None], dtype=object)
    found = of_dimension(given, np.array([2, 2, 2, 2]))
    assert found[0].equals(shapely.box(0, 0, 1, 1))
    assert found[1].is_empty
    assert found[2] is given[2]
    assert found[3] is None


def test_a_large_ground_under_many_zones_is_cut_as_by_itself() -> None:
    angles = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    radius = 300 * (1 + 0.3 * np.sin(12 * angles))
    ground = shapely.Polygon(np.column_stack([400 + radius * np.cos(angles), 400 + radius * np.sin(angles)]))
    centres = np.array([(x, y) for x in range(20, 800, 60) for y in range(20, 800, 60)])
    zones = shapely.buffer(shapely.points(centres), 25)
    zone = np.arange(len(zones))
    regions = np.array([ground])
    yes, no = np.ones(1, bool), np.zeros(1, bool)
    found = layered(zones, zone, np.zeros(len(zones), np.intp), regions, yes, no, yes)
    expected = shapely.intersection(zones, ground)
    assert shapely.area(shapely.symmetric_difference(found.covered, expected)).max() < 1e-6


def test_combs_across_each_other_are_not_joined() -> None:
    def comb(count: int) -> shapely.Polygon:
        teeth = [
            (x, y)
            for tooth in range(count)
            for x, y in ((tooth, 0), (tooth, 1), (tooth + 0.5, 1), (tooth + 0.5, 0))
        ]
        return shapely.Polygon([(-1.0, -0.1), *(np.array(teeth) * (1.0, 1000.0)).tolist(), (count, -0.1)])

    upright = comb(1000)
    lying = shapely.transform(upright, lambda points: points[:, ::-1])
    zones = np.array([shapely.box(-10, -10, 2000, 2000)])
    yes, no = np.ones(2, bool), np.zeros(2, bool)
    found = layered(zones, np.zeros(2, np.intp), np.arange(2), np.array([upright, lying]), yes, no, yes)
    assert found.covered[0].is_empty
    assert found.doubtful[0].contains(upright)
    assert found.doubters.tolist() == [0, 1]
