"""Circles, rectangles, crosses, angles and lines are told from what only looks a little like them, at any turn and scale."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.geometry.figures import Angle, Circle, Cross, Line, Rectangle, figures_of
from preflight.geometry.outlines import Outlines
from preflight.geometry.shapes import ellipse, line, polygon, rectangle
from preflight.geometry.transform import apply

PLUS = [(-3, -1), (-1, -1), (-1, -3), (1, -3), (1, -1), (3, -1), (3, 1), (1, 1), (1, 3), (-1, 3), (-1, 1), (-3, 1)]  # fmt: skip
ELL = [(0, 0), (6, 0), (6, 1), (1, 1), (1, 6), (0, 6)]


def turned(outlines: Outlines, degrees: float, scale: float = 1.0, mirrored: bool = False) -> Outlines:
    c, s = scale * math.cos(math.radians(degrees)), scale * math.sin(math.radians(degrees))
    side = -1 if mirrored else 1
    return apply(outlines, np.array([c, s, -s * side, c * side, 40.0, 30.0]))


def placed(x: float, y: float, degrees: float, scale: float, mirrored: bool) -> tuple[float, float]:
    angle, side = math.radians(degrees), -1 if mirrored else 1
    return (
        40 + scale * (x * math.cos(angle) - side * y * math.sin(angle)),
        30 + scale * (x * math.sin(angle) + side * y * math.cos(angle)),
    )


TURNS = st.tuples(st.floats(-180, 180), st.floats(0.2, 20), st.booleans())


@given(TURNS)
def test_each_figure_is_known_at_any_turn_and_scale(how: tuple[float, float, bool]) -> None:
    degrees, scale, mirrored = how

    def only(outlines: Outlines) -> object:
        (figure,) = figures_of(turned(outlines, degrees, scale, mirrored), 0) or ()
        return figure

    circle = only(ellipse(1, 2, 3, 3))
    assert isinstance(circle, Circle)
    assert circle.centre == pytest.approx(placed(1, 2, *how), abs=1e-4 * scale)
    assert circle.radius == pytest.approx(3 * scale, rel=1e-4)
    oblong = only(rectangle(-2, -1, 4, 2))
    assert isinstance(oblong, Rectangle)
    assert oblong.centre == pytest.approx(placed(0, 0, *how), abs=1e-9 * scale + 1e-9)
    assert (oblong.length, oblong.width) == pytest.approx((4 * scale, 2 * scale))
    cross = only(polygon(PLUS))
    assert isinstance(cross, Cross)
    assert cross.centre == pytest.approx(placed(0, 0, *how), abs=1e-9 * scale + 1e-9)
    assert cross.length == pytest.approx(6 * scale)
    angle = only(polygon(ELL))
    assert isinstance(angle, Angle)
    assert angle.vertex == pytest.approx(placed(0, 0, *how), abs=1e-9 * scale + 1e-9)
    assert angle.length == pytest.approx(6 * scale)
    straight = only(line(0, 0, 5, 0))
    assert isinstance(straight, Line)
    assert straight.length == pytest.approx(5 * scale)


@given(st.integers(0, 11), st.booleans())
def test_where_a_contour_begins_and_which_way_it_runs_does_not_matter(start: int, back: bool) -> None:
    for corners, kind in ((PLUS, Cross), (ELL, Angle)):
        points = corners[start % len(corners) :] + corners[: start % len(corners)]
        (figure,) = figures_of(polygon(points[::-1] if back else points), 0) or ()
        assert isinstance(figure, kind)
        assert (figure.centre if isinstance(figure, Cross) else figure.vertex) == pytest.approx((0, 0))  # type: ignore[union-attr]


def test_nodes_in_the_middle_of_a_side_do_not_matter() -> None:
    (figure,) = figures_of(polygon([(0, 0), (2, 0), (4, 0), (4, 1), (4, 4), (0, 4)]), 0) or ()
    assert isinstance(figure, Rectangle)
    assert figure.centre == pytest.approx((2, 2))


def test_a_line_drawn_as_a_curve_is_a_line() -> None:
    straight = line(0, 0, 3, 4)
    curve = Outlines(
        straight.segments, np.array([False]), straight.contour_offsets, straight.object_offsets,
        straight.starts, straight.closed, straight.gaps,
    )  # fmt: skip
    assert figures_of(curve, 0) == [Line((0, 0), (3, 4))]


def test_an_open_chain_gives_its_sides() -> None:
    assert figures_of(polygon([(6, 0), (0, 0), (0, 5)], closed=False), 0) == [
        Line((6, 0), (0, 0)),
        Line((0, 0), (0, 5)),
    ]


@pytest.mark.parametrize(
    "outlines",
    [
        ellipse(0, 0, 3, 2.9),
        rectangle(0, 0, 4, 4, 1, 1),
        polygon([(0, 0), (4, 0), (4.2, 4), (0.2, 4)]),
        polygon([(0, 0), (4, 0), (2, 3)]),
        polygon([(0, 0), (3, -1), (6, 0), (6, 3), (3, 4), (0, 3)]),
        polygon([(0, 0), (4, 0), (4, 4), (2, 4), (2, 2), (1, 2), (1, 4), (0, 4)]),
        polygon([(0, 0)]),
        polygon([(1, 1), (1, 1)]),
        Outlines.empty(1),
    ],
    ids=["ellipse", "rounded", "slanted", "triangle", "hexagon", "notched", "point", "no length", "nothing"],
)
def test_what_only_looks_like_one_is_none(outlines: Outlines) -> None:
    assert figures_of(outlines, 0) is None


def test_a_ring_drawn_twice_round_is_no_circle() -> None:
    once = ellipse(0, 0, 3, 3)
    twice = Outlines(
        np.concatenate([once.segments, once.segments]), np.zeros(16, bool), np.array([0, 16]),
        np.array([0, 1]), once.starts, once.closed, once.gaps,
    )  # fmt: skip
    assert figures_of(twice, 0) is None
