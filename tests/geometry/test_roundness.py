"""Contours seen whole from one point: what is promised of them, and what is not one of them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from contour_shapes import circle, contour, moved, polygon, rectangle, reversed_contour, together
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry import cubics
from preflight.geometry.strands import Strands


def clear(drawn):
    return Strands.of(drawn).clear_of_themselves


def test_round_and_squarish_contours_are_seen_whole_whichever_way_they_run():
    drawn = [circle(0, 0, 5), circle(9, 9, 0.5, 8), rectangle(0, 0, 20, 10)]
    for one in (*drawn, *(reversed_contour(moved(one, 0.3, (500, -80))) for one in drawn)):
        assert clear(one)[0] > 0.0
    # A twentieth of the radius, less what control points lie nearer to the middle than the curve.
    assert 0.8 * 5 / 20 < clear(circle(3, 4, 5, 8))[0] <= 5 / 20


@pytest.mark.parametrize(
    "other",
    [
        contour(np.concatenate([circle(0, 0, 5).segments] * 2)),  # twice round
        polygon([(0, 0), (2, 2), (2, 0), (0, 2)]),  # bow tie
        polygon([(0, 0), (4, 0), (4, 4), (8, 4), (4, 4), (0, 4)]),  # spike
        polygon([(0, 0), (10, 0), (10, 10), (5.01, 10), (5, 5.5), (4.99, 10), (0, 10)]),  # narrow slit
        polygon([(0, 0), (10, 0), (10, 10)], closed=False),
        polygon([(0, 0), (30, 0), (30, 1), (0, 1)]),
        contour([[[1, 1]] * 4]),
    ],
)
def test_others_are_not(other):
    assert clear(other).tolist() == [0.0]
    assert clear(together(circle(0, 0, 5), other)).tolist()[1] == 0.0


RADII = st.lists(st.floats(0.3, 3.0), min_size=3, max_size=9)
BULGES = st.lists(st.floats(0.0, 0.8), min_size=9, max_size=9)


@given(RADII, BULGES)
@settings(max_examples=150, deadline=None)
def test_near_places_are_near_along_the_contour(radii, bulges):
    angles = np.arange(len(radii)) * 2 * np.pi / len(radii)
    nodes = np.stack([np.cos(angles), np.sin(angles)], axis=1) * np.array(radii)[:, None]
    tangent = np.stack([-np.sin(angles), np.cos(angles)], axis=1) * np.array(bulges[: len(radii)])[:, None]
    after, tangent_after = np.roll(nodes, -1, axis=0), np.roll(tangent, -1, axis=0)
    drawn = contour(np.stack([nodes, nodes + tangent, after - tangent_after, after], axis=1))
    reach = clear(drawn)[0]
    if reach == 0.0:
        return
    t = np.linspace(0, 1, 60, endpoint=False)
    points = cubics.points_at(drawn.segments[:, None], t).reshape(-1, 2)
    ring = shapely.LinearRing(points)
    assert ring.is_simple
    steps = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    one, other = np.nonzero(np.linalg.norm(points[:, None] - points, axis=2) < reach)
    way = np.abs(along[one] - along[other])
    way = np.minimum(way, along[-1] - way)
    assert (way <= 4.0 * np.linalg.norm(points[one] - points[other], axis=1) + 1e-9).all()
