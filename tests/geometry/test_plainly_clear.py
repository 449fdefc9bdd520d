"""Boxes plainly clear of a border: held against their true distances, and against what a single point can tell."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.plainly_clear import plainly_clear

DISC = shapely.Point(50, 50).buffer(20, quad_segs=32)
FRAME = shapely.box(0, 0, 100, 100).difference(shapely.box(30, 30, 70, 70))
SLIP = shapely.box(0, 0, 90, 6)


def told(region: shapely.Polygon, boxes: list[list[float]], inside: float, anywhere: float) -> list[bool]:
    regions = np.array([region])
    of = np.zeros(len(boxes), np.intp)
    return plainly_clear(regions, shapely.boundary(regions), of, np.array(boxes), inside, anywhere).tolist()


def test_the_middle_of_the_region_tells_of_what_lies_round_it() -> None:
    boxes = [[40.0, 40.0, 60.0, 60.0], [35.0, 49.0, 65.0, 51.0], [34.0, 34.0, 66.0, 66.0], [0, 0, 100, 100]]
    assert told(DISC, boxes, 2.0, 3.0) == [True, True, False, False]


def test_its_own_middle_tells_of_a_box_far_from_that_of_the_region() -> None:
    assert told(SLIP, [[80.0, 2.5, 81.0, 3.5], [80.0, 1.0, 81.0, 2.0]], 2.0, 3.0) == [True, False]


def test_what_lies_in_a_hole_lies_outside() -> None:
    boxes = [[49.0, 49.0, 51.0, 51.0], [14.0, 49.0, 16.0, 51.0]]
    assert told(FRAME, boxes, 2.0, 3.0) == [True, True]
    assert told(FRAME, boxes, 2.0, 19.0) == [False, True]
    assert told(FRAME, boxes, 19.0, 3.0) == [True, True]
    assert told(FRAME, boxes, 19.0, 19.0) == [False, False]


def test_no_boxes() -> None:
    empty = plainly_clear(
        np.array([DISC]), np.array([DISC.exterior]), np.empty(0, np.intp), np.empty((0, 4)), 1, 1
    )
    assert empty.tolist() == []


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), inside=st.floats(0.0, 8.0), anywhere=st.floats(0.0, 8.0))
def test_nothing_near_is_said_to_be_clear(seed: int, inside: float, anywhere: float) -> None:
    chance = np.random.default_rng(seed)
    regions = np.array([DISC, FRAME, SLIP])
    of = chance.integers(0, 3, 200)
    corners = chance.uniform(-20, 120, (200, 2))
    boxes = np.hstack([corners, corners + chance.exponential(8, (200, 2))])
    borders = shapely.boundary(regions)
    clear = plainly_clear(regions, borders, of, boxes, inside, anywhere)
    shapes = shapely.box(*boxes.T)
    apart = shapely.distance(borders[of], shapes)
    truly = (apart > anywhere) | (shapely.contains_properly(regions[of], shapes) & (apart > inside))
    assert not (clear & ~truly).any()
    assert clear.any()
