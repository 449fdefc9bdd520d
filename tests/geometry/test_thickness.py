"""Thickness of regions: closed forms, and a promise that nothing thin is passed over."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse
from preflight.geometry.rings import polygons
from preflight.geometry.thickness import may_be_thin, thicknesses


def outlines(*paths: str) -> Outlines:
    return parse(list(paths)).outlines


def regions(shapes: Outlines, rule: str = "nonzero") -> np.ndarray:  # type: ignore[type-arg]
    return polygons(shapes, [rule] * shapes.object_count, 1e-4)


def test_closed_forms() -> None:
    """The largest circle in a rectangle has its shorter side for diameter, in a right triangle a + b − c, in a ring its breadth."""
    shapes = outlines(
        "M0 0H20V0.3H0Z",
        "M0 0H0.3V0.4Z",
        "M0 5a5 5 0 1 0 10 0a5 5 0 1 0 -10 0ZM0.2 5a4.8 4.8 0 1 1 9.6 0a4.8 4.8 0 1 1 -9.6 0Z",
        "M0 0H20V0.6H0Z",
    )
    found = thicknesses(regions(shapes), 0.5)
    assert found[:3] == pytest.approx([0.3, 0.3 + 0.4 - 0.5, 0.2], abs=5e-4)
    assert math.isinf(found[3])


def test_ragged_regions_are_measured_without_taking_off_their_edges(monkeypatch: pytest.MonkeyPatch) -> None:
    teeth = "".join(f"L{row * 0.001:.4f} {5 * (row % 2)}" for row in range(20_000))
    comb, bar, broad = regions(outlines(f"M0 -5{teeth}L20 -5Z", "M0 0H20V0.3H0Z", "M0 0H20V0.6H0Z"))
    shown: list[int] = []

    def eroded(areas: np.ndarray, by: object) -> np.ndarray:  # type: ignore[type-arg]
        shown.extend(map(int, shapely.get_num_coordinates(areas)))
        return np.asarray(shapely.buffer(areas, -np.asarray(by) / 2, join_style="mitre"))

    monkeypatch.setattr("preflight.geometry.thickness._eroded", eroded)
    found = thicknesses([comb, bar], 0.5)
    assert math.isinf(found[0])
    assert found[1] == pytest.approx(0.3, abs=5e-4)
    assert 0 < max(shown) < 100
    monkeypatch.setattr("preflight.geometry.thickness._MOST_CROSSINGS", -1)
    circles = thicknesses([bar, broad], 0.5)
    assert circles[0] == pytest.approx(0.3, abs=0.5 / 64)
    assert math.isinf(circles[1])


def test_nothing_and_next_to_nothing() -> None:
    assert len(thicknesses(np.empty(0, object), 1.0)) == 0
    assert math.isinf(thicknesses([shapely.Polygon()], 1.0)[0])
    assert may_be_thin(Outlines.empty(), 1.0).shape == (0,)
    assert not may_be_thin(outlines(""), 1.0).any()


@pytest.mark.parametrize(
    ("path", "may"),
    [
        ("M0 0H20V0.1H0Z", True),
        ("M0 0H20V5H0Z", False),
        ("M0 0H20V5H0", False),  # filling closes it
        ("M0 0H5V5H0ZM9 0H14V5H9Z", False),  # two apart
        ("M0 0H5V5H0ZM4 0H9V5H4Z", True),  # two that cross, of which little may be left
        ("M0 0H20V20H0ZM8 8V10H10V8Z", False),
        ("M0 0H20V20H0ZM0.1 0.1V19.9H19.9V0.1Z", True),
        ("M0 0H20V20H0ZM5 5H15V15H5ZM5.1 5.1H14.9V14.9H5.1Z", True),
    ],
)
def test_what_is_looked_at_closely(path: str, may: bool) -> None:
    assert may_be_thin(outlines(path), 0.5).tolist() == [may]


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            *[st.floats(0, 10), st.floats(0, 10), st.floats(0.02, 6), st.floats(0.02, 6), st.booleans()]
        ),
        min_size=1,
        max_size=3,
    ),
    st.sampled_from(["nonzero", "evenodd"]),
)
def test_no_thin_part_is_passed_over(boxes: list[tuple[float, float, float, float, bool]], rule: str) -> None:
    """Random rectangles, nested and crossing, either way round: what is let off holds a circle of the limit in each part."""
    limit = 0.3
    path = "".join(
        f"M{x:.4f} {y:.4f}h{w}v{h}h{-w}Z" if clockwise else f"M{x:.4f} {y:.4f}v{h}h{w}v{-h}Z"
        for x, y, w, h, clockwise in boxes
    )
    shapes = outlines(path)
    if len(boxes) > 1 and not may_be_thin(shapes, limit)[0]:
        parts = shapely.get_parts(regions(shapes, rule))
        assert np.isinf(thicknesses(parts, limit * (1 - 1e-6))).all()
    elif len(boxes) == 1:
        assert may_be_thin(shapes, limit)[0] or min(boxes[0][2:4]) >= limit
