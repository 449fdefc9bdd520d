"""Pairs of segments that come near each other: none missing, and nested contours told apart in bulk."""

from __future__ import annotations

import numpy as np
import pytest
from contour_shapes import circle, moved, polygon, rectangle, together
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry import cubics
from preflight.geometry.crossings import between
from preflight.geometry.near_pairs import near_segments
from preflight.geometry.outlines import Outlines
from preflight.geometry.shared_runs import _doubtful_alone, shared_runs
from preflight.geometry.strands import Strands

# A millionth of a millimetre: whether a pair is within reach is never up to the last digit.
PLACES = st.floats(0.0, 8.0).map(lambda place: round(place, 6))
SHAPES = st.lists(
    st.tuples(st.integers(1, 9), st.floats(0.5, 6.0), PLACES, PLACES),
    min_size=2,
    max_size=9,
)


@given(SHAPES, st.sampled_from([0.001, 0.05, 1.0]))
@settings(max_examples=60, deadline=None)
def test_no_pair_within_reach_is_missing(shapes, reach):
    drawn = [
        circle(x, y, size, 3 * k) if k > 2 else moved(rectangle(0, 0, size, k), size, (x, y))
        for k, size, x, y in shapes
    ]
    strands = Strands.of(together(*drawn, Outlines.empty(1)))
    first, second = near_segments(strands, reach)
    assert (strands.contour[first] < strands.contour[second]).all()
    found = set(zip(first.tolist(), second.tolist(), strict=True))
    assert len(found) == len(first)
    t = np.linspace(0.0, 1.0, 25)
    points = cubics.points_at(strands.segments[:, None], t)
    for one in range(len(points)):
        for other in np.flatnonzero(strands.contour > strands.contour[one]).tolist():
            away = np.linalg.norm(points[one][:, None] - points[other], axis=2).min()
            assert away > reach or (one, other) in found


def test_no_point_is_nearer_or_farther_than_the_distances_say():
    strands = Strands.of(
        together(circle(1, 2, 5, 7), rectangle(0, 0, 8, 3), moved(circle(0, 0, 2, 12), 1, (9, 9)))
    )
    inner, outer = strands._distances
    points = cubics.points_at(strands.segments[:, None], np.linspace(0.0, 1.0, 50))
    away = np.linalg.norm(points - strands.middles[strands.contour][:, None], axis=2)
    for contour in range(3):
        own = away[strands.contour == contour]
        assert inner[contour] <= own.min() + 1e-9
        assert own.max() <= outer[contour] + 1e-9
    np.testing.assert_allclose([inner[2], outer[2]], 2.0, rtol=1e-3)


@pytest.mark.parametrize("nested", ["circles", "squares"])
def test_nested_contours_meet_only_where_they_do(nested):
    sizes = 1.0 + 0.2 * np.arange(700)
    if nested == "circles":
        drawn = [circle(0, 0, size, 6) for size in sizes]
        drawn[300] = circle(0.3, 0, sizes[300], 6)
    else:
        drawn = [rectangle(-size, -size, size, size) for size in sizes]
        drawn[300] = rectangle(-sizes[300], -sizes[300], sizes[300] + 0.3, sizes[300])
    found = between(together(*drawn))
    assert set(zip(found.first.tolist(), found.second.tolist(), strict=True)) <= {(299, 300), (300, 301)}
    assert len(found.points) in (2, 4)
    assert not found.touching.any()
    # Circles that cross so slantwise also run along each other for a while.
    runs = shared_runs(together(*drawn), 0.05, 1.0)
    assert set(zip(runs.first.tolist(), runs.second.tolist(), strict=True)) <= {(299, 300), (300, 301)}


def test_only_the_pairs_asked_for():
    drawn = Strands.of(together(*[polygon([(0, 0), (9, k), (3, 9)]) for k in range(4)]))
    first, second = near_segments(drawn, 0.001, pairs=np.array([[3, 1], [1, 3], [2, 2]]))
    assert {(drawn.contour[a], drawn.contour[b]) for a, b in zip(first, second, strict=True)} == {(1, 3)}
    first, second = near_segments(drawn, 0.001, exclude=np.array([[3, 1]]), groups=np.array([0, 1, 0, 1]))
    assert {(drawn.contour[a], drawn.contour[b]) for a, b in zip(first, second, strict=True)} == {(0, 2)}


def _spiral(turns: int, pitch: float) -> Outlines:
    angle = np.arange(turns * 60) * (np.pi / 30.0)
    radius = 1.0 + pitch * angle / (2.0 * np.pi)
    return polygon(np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1), closed=False)


@pytest.mark.parametrize("reach", [0.0, 0.05, 0.5])
def test_pairs_within_contours_are_those_of_which_the_boxes_come_near(reach):
    shapes = [
        _spiral(3, 0.4),
        circle(3, 0, 5, 7),
        rectangle(0, 0, 9, 4),
        polygon([(0, 0), (5, 3)], closed=False),
    ]
    strands = Strands.of(together(*shapes, Outlines.empty(1)))
    asked = np.array([True, True, False, True])
    parts = list(strands.tree.near_within_contours(asked, reach))
    found = [pair for first, second in parts for pair in zip(first.tolist(), second.tolist(), strict=True)]
    low, high = strands.boxes[:, :2], strands.boxes[:, 2:]
    near = (low[:, None] <= high[None] + reach).all(axis=2) & (low[None] <= high[:, None] + reach).all(axis=2)
    near &= (strands.contour[:, None] == strands.contour) & asked[strands.contour]
    wanted = np.argwhere(np.triu(near, 1))
    assert sorted(found) == [tuple(pair) for pair in wanted.tolist()]


def test_turns_of_a_spiral_farther_apart_than_the_distance_need_no_measuring():
    loose, tight = (Strands.of(_spiral(40, pitch)) for pitch in (0.06, 0.04))
    for strands, doubtful in ((loose, False), (tight, True)):
        paired, curled, stopped = _doubtful_alone(strands, np.ones(1, bool), 0.05, 1.0)
        assert (len(paired) + len(curled) > 0) == doubtful
        assert not stopped.any()
    assert not len(shared_runs(loose, 0.05, 1.0).first)
    # The last turn but one lies beside the last, and so on to the first: one run for each but for the ends.
    assert shared_runs(tight, 0.05, 1.0).length.sum() > 300.0
