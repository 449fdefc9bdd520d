"""What a job takes to make, against figures worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from preflight.engine import Engine
from preflight.job.making.production import Production
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.profile.tables import Cutter, JobTable, Media

PLUGINS = Plugins()

# Published values 7.2: area and length of a circle of radius 1 made of four cubics.
CIRCLE_AREA = 3.142472332656
CIRCLE_LENGTH = 4 * 1.571016698074
LINE = 'fill="none" stroke="#000" stroke-width="0.1"'


def page(
    kiss: str = "", through: str = "", crease: str = "", width: float = 100, height: float = 60
) -> bytes:
    layers = {"Kiss cut": kiss, "Cutting": through, "Creasing": crease}
    groups = "".join(f'<g data-name="{name}">{drawn}</g>' for name, drawn in layers.items())
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">'
    return f"{head}{groups}</svg>".encode()


def circle(x: float, y: float, radius: float) -> str:
    """A circle of four cubics, their handles 4/3 (√2 − 1) of the radius."""
    k = 0.5522847498 * radius
    rest = radius - k
    return path(
        f"M{x + radius} {y}c0 {k} {-rest} {radius} {-radius} {radius}c{-k} 0 {-radius} {-rest} {-radius} {-radius}"
        f"c0 {-k} {rest} {-radius} {radius} {-radius}c{k} 0 {radius} {rest} {radius} {radius}z"
    )


def path(data: str) -> str:
    return f'<path d="{data}" {LINE}/>'


def figures(
    data: bytes, media: float | None = None, speed: dict[str, float] | None = None, **job: Any
) -> Production:
    profile = msgspec.structs.replace(
        Profile.default(),
        media=Media(width=media),
        cutter=Cutter(speed=speed or {}, lift_time=0.5),
        job=JobTable(**job),
    )
    return Engine(profile, PLUGINS).check_bytes(data, "sheet.svg").report.pages[0].production


TWO_STEPS = page(
    kiss=circle(20, 20, 10) + circle(50, 20, 10) + path("M70 10H80V20H70Z"),
    through=path("M5 5H95V55H5Z"),
)


def test_pieces_contours_lengths_and_lifts_are_those_of_all_copies() -> None:
    through, kiss = figures(TWO_STEPS, copies=500).steps
    assert (kiss.step, kiss.pieces, kiss.contours, kiss.lifts) == ("PartialCutting", 1500, 1500, 1500)
    assert kiss.cut_length_mm == pytest.approx(500 * (20 * CIRCLE_LENGTH + 40), abs=0.01)
    assert (through.step, through.pieces, through.contours, through.lifts) == ("Cutting", 500, 500, 500)
    assert through.cut_length_mm == 500 * 2 * (90 + 50)
    one = figures(TWO_STEPS).steps
    assert [step.pieces for step in one] == [1, 3]
    assert one[0].cut_length_mm == 280


def test_a_stray_point_is_a_contour_that_the_knife_is_not_lifted_for() -> None:
    (through,) = figures(page(through=path("M5 5H15V15H5ZM50 50"))).steps
    assert (through.contours, through.lifts) == (2, 1)


def test_time_is_length_over_speed_and_a_lift_for_each_contour() -> None:
    told = figures(TWO_STEPS, speed={"PartialCutting": 400.0, "Cutting": 70.0}, copies=10)
    through, kiss = told.steps
    assert through.time_s == pytest.approx(10 * (280 / 70 + 0.5))
    assert kiss.time_s == pytest.approx(10 * ((20 * CIRCLE_LENGTH + 40) / 400 + 3 * 0.5), abs=0.05)
    assert told.time_s == pytest.approx(through.time_s + kiss.time_s, abs=0.11)


def test_no_time_is_guessed_for_a_step_without_a_speed() -> None:
    told = figures(TWO_STEPS, speed={"Cutting": 70.0})
    assert [step.time_s is None for step in told.steps] == [False, True]
    assert told.time_s is None
    assert figures(page()).time_s is None


def test_the_roll_for_the_copies_asked() -> None:
    # 12 columns of 100 mm in 1320 mm, 42 rows: see test_sheet.
    roll = figures(TWO_STEPS, 1370.0, copies=500).roll
    assert roll is not None
    assert (roll.columns, roll.rows, roll.width_mm, roll.frame_mm) == (12, 42, 1370, (100, 60))
    length = 50 + 42 * 60 + 41 * 3 + 50
    assert roll.length_mm == length
    assert roll.area_m2 == pytest.approx(1.37 * length / 1000, abs=1e-4)
    assert roll.waste == pytest.approx(1 - 500 * 90 * 50 / (1370 * length), abs=1e-4)
    turned = figures(TWO_STEPS, 1370.0, copies=500, rotate=90.0).roll
    assert turned is not None
    assert (turned.columns, turned.rows, turned.frame_mm) == (21, 24, (60, 100))


ROUNDED = "M21 20H29A1 1 0 0 1 30 21V29A1 1 0 0 1 29 30H21A1 1 0 0 1 20 29V21A1 1 0 0 1 21 20Z"
"""A square of 8 mm with all within 1 mm of it."""


@pytest.mark.parametrize(
    ("data", "area"),
    [
        (page(kiss=circle(30, 30, 10)), 100 * CIRCLE_AREA),
        # Steiner's formula for convex shapes: area, length times radius, and a circle; here of an 8 mm square and 1 mm.
        (page(kiss=path(ROUNDED)), 64 + 32 + math.pi),
        # What lies in another piece counts once, whichever step and however deep.
        (TWO_STEPS, 90 * 50),
        (page(kiss=circle(30, 30, 10), through=circle(30, 30, 10)), 100 * CIRCLE_AREA),
        # A ring, and a disc in its hole, which is a piece of its own.
        (page(through=path("M10 10H50V50H10ZM20 20V40H40V20Z") + path("M25 25H35V35H25Z")), 1600 - 400 + 100),
        # Two that overlap; one that crosses itself: two triangles of 50 mm² each.
        (page(kiss=path("M10 10H30V30H10Z") + path("M20 20H40V40H20Z")), 400 + 400 - 100),
        (page(kiss=path("M10 10L30 20V10L10 20Z")), 100),
        # A crease sets nothing free, an open cut neither.
        (page(kiss=path("M10 10H30V30H10Z"), crease=path("M5 5H55V55H5Z")), 400),
    ],
)
def test_the_area_of_pieces_counts_each_place_once(data: bytes, area: float) -> None:
    roll = figures(data, 1370.0).roll
    assert roll is not None
    assert roll.waste is not None
    assert (1 - roll.waste) * 1370 * 160 == pytest.approx(area, abs=1370 * 160 * 0.5e-4 + 0.01)


def test_a_sheet_that_is_not_cut_wastes_nothing_that_could_be_told() -> None:
    roll = figures(page(through=path("M10 10H50V20")), 1370.0).roll
    assert roll is not None
    assert roll.waste is None


def test_a_sheet_too_wide_for_the_roll_takes_none_of_it() -> None:
    told = figures(page(through=path("M10 10H1380V20H10Z"), width=1400.0), 1370.0)
    assert (told.roll, told.fits) == (None, False)
    assert figures(TWO_STEPS) == msgspec.structs.replace(figures(TWO_STEPS), roll=None, fits=True)


SQUARES = st.lists(
    st.tuples(st.integers(0, 80), st.integers(0, 40), st.integers(3, 20), st.integers(3, 20), st.booleans()),
    min_size=1,
    max_size=9,
)


@given(SQUARES)
def test_area_of_random_sheets(squares: list[tuple[int, int, int, int, bool]]) -> None:
    """Exact where whole millimetres are drawn: against the union of all as shapely has it."""
    drawn = {False: "", True: ""}
    for x, y, across, down, kiss in squares:
        drawn[kiss] += path(f"M{x} {y}h{across}v{down}h{-across}z")
    roll = figures(page(kiss=drawn[True], through=drawn[False], width=101, height=61), 151.0).roll
    area = shapely.union_all([shapely.box(x, y, x + a, y + d) for x, y, a, d, _ in squares]).area
    assert roll is not None
    assert roll.waste is not None
    assert roll.waste == pytest.approx(1 - area / (151 * roll.length_mm), abs=0.51e-4)


@given(st.floats(0.05, 40))
def test_figures_grow_with_the_scale(factor: float) -> None:
    one, other = figures(TWO_STEPS), figures(TWO_STEPS, scale=factor)
    for before, after in zip(one.steps, other.steps, strict=True):
        assert (before.pieces, before.contours) == (after.pieces, after.contours)
        assert math.isclose(after.cut_length_mm, factor * before.cut_length_mm, rel_tol=1e-4, abs_tol=0.02)
