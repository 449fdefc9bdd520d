"""Curves that run along each other are never passed over; those that only cross mostly are."""

from __future__ import annotations

import numpy as np
from contour_shapes import circle, polygon
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry import cubics
from preflight.geometry.side_by_side import may_run_along

COORDINATE = st.integers(0, 12)
CUBIC = st.tuples(*[st.tuples(COORDINATE, COORDINATE)] * 4)
ASLANT = np.pi / 4


@given(CUBIC, CUBIC, st.sampled_from([0.05, 0.5]))
@settings(max_examples=150, deadline=None)
def test_none_that_does_is_passed_over(one, other, within):
    curves = [np.array([curve], float) for curve in (one, other)]
    t = np.linspace(0.0, 1.0, 300)
    points = [cubics.points_at(curve, t) for curve in curves]
    speeds = [cubics.first_derivatives(curve, t) for curve in curves]
    away = np.linalg.norm(points[0][:, None] - points[1], axis=2)
    size = np.linalg.norm(speeds[0], axis=1)[:, None] * np.linalg.norm(speeds[1], axis=1)
    alike = np.abs(speeds[0] @ speeds[1].T) >= np.cos(ASLANT) * size
    if (alike & (size > 0.0) & (away <= within)).any():
        assert may_run_along(*curves, within, ASLANT).all()


def test_what_crosses_steeply_or_stays_away_is_passed_over():
    ring = circle(0, 0, 5, 8).segments
    across = np.repeat(circle(6, 0, 5, 8).segments, 8, axis=0)
    assert not may_run_along(np.tile(ring, (8, 1, 1)), across, 0.05, ASLANT).any()
    assert may_run_along(ring, circle(0.04, 0, 5, 8).segments, 0.05, ASLANT).all()
    assert not may_run_along(ring, circle(0, 0, 5.1, 8).segments, 0.05, ASLANT).any()
    sides = polygon([(0, 0), (4, 0), (4, 4), (0, 4)]).segments
    assert may_run_along(sides, sides[:, ::-1], 0.05, ASLANT).all()
    assert not may_run_along(sides, np.roll(sides, 1, axis=0), 0.05, ASLANT).any()
