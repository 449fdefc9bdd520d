"""Pairs within a distance of each other, by whichever way they are told, against GEOS's own distances one by one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preflight.geometry.within_reach import within_reach


def _shapes(chance: np.random.Generator, count: int) -> np.ndarray:
    """Discs, lines and collections of few points and of many."""
    places = shapely.points(chance.uniform(0, 60, (count, 2)))
    shapes = shapely.buffer(places, chance.uniform(0.5, 6, count), quad_segs=3)
    shapes[1::7] = shapely.buffer(places[1::7], 4.0, quad_segs=40)
    shapes[2::5] = shapely.boundary(shapes[2::5])
    for row in range(3, count, 5):
        shapes[row] = shapely.GeometryCollection([shapes[row], places[row - 1]])
    return shapes


@pytest.mark.parametrize("count", [0, 1, 500, 501, 4321])
def test_each_pair_is_told_in_its_place(count: int) -> None:
    chance = np.random.default_rng(count)
    first, second = _shapes(chance, count), _shapes(chance, count)
    # Few shapes held against many, as borders are against all the art beside them.
    first = first[np.arange(count) // 3]
    apart = [shapely.distance(one, other) for one, other in zip(first, second, strict=True)]
    near = within_reach(first, second, 12.0)
    assert near.tolist() == [distance <= 12.0 for distance in apart]
    assert count < 2 or 0 < np.count_nonzero(near) < count


def test_what_is_empty_or_missing_is_near_nothing() -> None:
    square = shapely.box(0, 0, 1, 1)
    first = np.array([square, None, shapely.Polygon(), square], dtype=object)
    second = np.array([square, square, square, None], dtype=object)
    assert within_reach(first, second, 5.0).tolist() == [True, False, False, False]
