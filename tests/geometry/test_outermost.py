"""Where shapes reach farthest, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from preflight.geometry.outermost import outermost

ANGLES = np.linspace(0, 2 * math.pi, 20_001)


@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize("turn", [0.0, 0.4, 1.1])
def test_an_ellipse_reaches_farthest_where_its_equation_says(side: int, turn: float) -> None:
    a, b, c, s = 12.0, 5.0, math.cos(turn), math.sin(turn)
    x, y = a * np.cos(ANGLES), b * np.sin(ANGLES)
    ring = np.stack([c * x - s * y, s * x + c * y], axis=1)
    ring[-1] = ring[0]
    # The extreme of each coordinate: root of the sum of squares of its two terms, at the angle of their ratio.
    wide, tall = math.hypot(a * c, b * s), math.hypot(a * s, b * c)
    slant = (a * a - b * b) * s * c
    right, below = (wide, slant / wide), (slant / tall, tall)
    wanted = [(-right[0], -right[1]), (-below[0], -below[1]), right, below][side]
    for shape in (shapely.Polygon(ring), shapely.LineString(ring)):
        assert outermost(shape, side) == pytest.approx(wanted, abs=0.01)


def test_of_a_straight_side_it_is_the_middle_and_of_several_the_longest() -> None:
    assert outermost(shapely.box(1, 2, 5, 10), 2) == pytest.approx((5, 6))
    comb = shapely.union_all([shapely.box(0, 0, 3, 3), shapely.box(5, 0, 10, 3), shapely.box(0, 2, 10, 4)])
    assert outermost(comb, 1) == pytest.approx((7.5, 0))
    assert outermost(shapely.boundary(comb), 3) == pytest.approx((5, 4))


def test_a_corner_a_line_along_the_side_and_a_bare_point() -> None:
    assert outermost(shapely.Polygon([(0, 0), (4, 1), (0, 2)]), 2) == pytest.approx((4, 1), abs=0.01)
    assert outermost(shapely.LineString([(0, 3), (8, 3)]), 1) == pytest.approx((4, 3))
    assert outermost(shapely.MultiPoint([(1, 5), (2, 7)]), 3) == (2, 7)
