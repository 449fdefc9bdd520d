"""Outlines of strokes: closed forms, and the pixels of PDFium and Chromium on a hundred random ones each.

Both renderers draw the stroke itself and our outline of it filled; what is left between the two pictures is how each softens edges.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from drawn_strokes import (
    BOTH,
    DENSITY,
    Drawn,
    as_pdf,
    as_svg,
    drawn,
    off,
    region_as_pdf,
    region_as_svg,
    seen_by_chromium,
    seen_by_pdfium,
)

from preflight.geometry.dashes import MOST_DASHES
from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse
from preflight.geometry.strokes import stroke_regions

SOFT = 0.15
"""Pixels along the border by which two ways of softening it may differ in the mean."""

FEW = 40
"""Of 640,000 pixels, that may be dark for one and light for the other."""

CIRCLE = "M30 50A20 20 0 0 1 70 50A20 20 0 0 1 30 50Z"


def stroke(
    data: str,
    width: float = 2.0,
    cap: str = "butt",
    join: str = "miter",
    limit: float = 4.0,
    dash: tuple[float, ...] = (),
    offset: float = 0.0,
    **settings: Any,
) -> Any:
    (region,) = stroke_regions(
        parse([data]).outlines,
        np.array([width]),
        [cap],
        [join],
        np.array([limit]),
        [dash],
        np.array([offset]),
        **settings,
    )
    return region


@pytest.mark.parametrize("group", range(10))
def test_random_strokes_against_pdfium(group: int) -> None:
    # PDFium puts caps where the dashes of a closed contour meet at its start; those are left to Chromium.
    for seed in range(10 * group, 10 * group + 10):
        what = drawn(seed, closed_dashes=False)
        region = what.region
        mean, wrong = off(seen_by_pdfium(as_pdf(what)), seen_by_pdfium(region_as_pdf(region)), region)
        assert region.is_valid
        assert mean < SOFT, (seed, what)
        # Where a dash ends right at a corner, or beside it, one of the two may see it turn.
        assert wrong < FEW, (seed, what)


@pytest.mark.browser
def test_random_strokes_against_chromium(chromium: Any) -> None:
    page = chromium.new_page(viewport=BOTH)
    for seed in range(100, 200):
        what = drawn(seed, closed_dashes=True)
        region = what.region
        mean, wrong = off(*seen_by_chromium(page, as_svg(what), region_as_svg(region)), region)
        assert mean < SOFT, (seed, what)
        # Chromium takes offset curves and the length of curves to a tenth of a unit or so.
        assert wrong < FEW, (seed, what)
    page.close()


@pytest.mark.browser
def test_dots_and_ends_against_chromium(chromium: Any) -> None:
    page = chromium.new_page(viewport=BOTH)
    cases = [
        Drawn(data, 8, cap, "miter", 4, dash, 0)
        for cap in ("butt", "round", "square")
        for data, dash in (("M20 20L20 20M50 50zM70 20h20", ()), ("M70 20h20M20 60v19", (0, 6)))
    ]
    cases += [
        Drawn("M20 30H70V70H20z", 6, "butt", join, 4, (30, 9), 12) for join in ("miter", "round", "bevel")
    ]
    for what in cases:
        region = what.region
        seen, ours = seen_by_chromium(page, as_svg(what), region_as_svg(region))
        assert np.abs(seen - ours).sum() <= SOFT * region.length * DENSITY, what
    page.close()


def test_a_ring() -> None:
    region = stroke(CIRCLE, 6.0, tolerance=0.0005)
    assert region.area == pytest.approx(math.pi * (23**2 - 17**2), rel=1e-4)
    assert len(region.interiors) == 1
    # Wider than the circle is: no hole is left.
    assert stroke(CIRCLE, 41.0).area == pytest.approx(math.pi * 40.5**2, rel=1e-3)


@pytest.mark.parametrize(
    ("join", "limit", "area"),
    [
        ("miter", 4.0, 44.0**2 - 36.0**2),
        # SVG 2, 13.5.4: at 90° the length of a miter beside the width is the root of 2.
        ("miter", 1.41, 44.0**2 - 36.0**2 - 4 * 2.0),
        ("miter", 1.42, 44.0**2 - 36.0**2),
        ("bevel", 4.0, 44.0**2 - 36.0**2 - 4 * 2.0),
        ("round", 4.0, 44.0**2 - 36.0**2 - (4 - math.pi) * 4.0),
    ],
)
def test_the_joins_of_a_square(join: str, limit: float, area: float) -> None:
    assert stroke("M20 20h40v40h-40z", 4.0, "butt", join, limit).area == pytest.approx(area, rel=1e-4)


@pytest.mark.parametrize(("cap", "more"), [("butt", 0.0), ("square", 16.0), ("round", math.pi * 4.0)])
def test_the_caps_of_a_line(cap: str, more: float) -> None:
    assert stroke("M20 20h40", 4.0, cap).area == pytest.approx(40 * 4 + more, rel=1e-4)


@pytest.mark.parametrize(("cap", "area"), [("butt", 0.0), ("square", 16.0), ("round", math.pi * 4.0)])
@pytest.mark.parametrize("data", ["M20 20z", "M20 20h0", "M20 20c0 0 0 0 0 0"])
def test_a_contour_of_no_length_is_a_dot(cap: str, area: float, data: str) -> None:
    assert stroke(data, 4.0, cap).area == pytest.approx(area, rel=2e-3)


def test_a_lone_moveto_leaves_nothing() -> None:
    assert stroke("M20 20M40 40h9", 2.0, "round").bounds[0] == pytest.approx(39.0, abs=0.003)


def test_dashes_are_measured_along_the_curve() -> None:
    # A circle of radius 20 in 50 dashes as long as the gaps between them: each is 2π · 20 / 100 long.
    length = 2 * math.pi * 20 / 100
    region = stroke(CIRCLE, 2.0, dash=(length, length), tolerance=0.0005)
    parts = shapely.get_parts(region)
    assert len(parts) == 50
    assert shapely.area(parts) == pytest.approx(np.full(50, length * 2.0), rel=1e-3)


def test_the_pattern_begins_anew_with_each_contour_and_an_odd_one_is_repeated() -> None:
    region = stroke("M10 10h10M10 30h10", 2.0, dash=(3, 2, 1), offset=4.0)
    boxes = sorted(
        (round(y0, 6), x0, x1) for x0, y0, x1, _ in shapely.bounds(shapely.get_parts(region)).tolist()
    )
    # 3 on, 2 off, 1 on, 3 off, 2 on, 1 off: from 4 on, 1 off, 1 on, 3 off, 2 on, 1 off, 2 of 3 on.
    expected = [(11.0, 12.0), (15.0, 17.0), (18.0, 20.0)]
    assert np.array([(x0, x1) for _, x0, x1 in boxes]) == pytest.approx(np.array([*expected, *expected]))


def test_dashes_meet_at_the_seam() -> None:
    # Starts and ends within a dash, at a corner: one L-shaped piece with its join.
    region = stroke("M20 20h40v40h-40z", 4.0, dash=(20, 20), offset=10.0)
    corner = [part for part in shapely.get_parts(region) if part.distance(shapely.Point(18, 18)) < 1e-9]
    assert len(corner) == 1
    assert corner[0].area == pytest.approx(2 * 10 * 4 + 4 - 4 + 0.0, abs=4.1)


def test_a_dash_without_gap_is_a_solid_line() -> None:
    assert stroke(CIRCLE, 6.0, dash=(5, 0)).equals(stroke(CIRCLE, 6.0))


def test_too_many_dashes_are_not_worked_out() -> None:
    assert stroke(f"M0 0h{MOST_DASHES}", 1.0, dash=(0.2, 0.2)) is None


def test_a_stroke_without_width_is_a_line() -> None:
    line = stroke("M10 10h10v10", 0.0)
    assert line.geom_type == "LineString"
    assert line.length == pytest.approx(20)


def test_a_skewed_pen() -> None:
    # Twice as wide as high: lines across are thin, lines down are thick.
    pen = (math.sqrt(2), 0.0, 0.0, 1 / math.sqrt(2))
    across, down = (stroke(data, 4.0, pens=[pen]) for data in ("M20 20h40", "M20 20v40"))
    assert across.area == pytest.approx(40 * 4 / math.sqrt(2))
    assert down.area == pytest.approx(40 * 4 * math.sqrt(2))
    dot = stroke("M20 20z", 4.0, "round", pens=[pen], tolerance=0.0005)
    assert dot.area == pytest.approx(math.pi * 4, rel=1e-3)
    assert dot.bounds == pytest.approx(
        (20 - 2 * math.sqrt(2), 20 - math.sqrt(2), 20 + 2 * math.sqrt(2), 20 + math.sqrt(2)), abs=1e-3
    )


def test_many_objects_at_once_are_as_each_alone() -> None:
    cases = [drawn(seed, closed_dashes=True) for seed in range(30)]
    together = stroke_regions(
        Outlines.joined([case.outlines for case in cases]),
        np.array([case.width for case in cases]),
        [case.cap for case in cases],
        [case.join for case in cases],
        np.array([case.miter_limit for case in cases]),
        [case.dash for case in cases],
        np.array([case.offset for case in cases]),
    )
    for one, case in zip(together, cases, strict=True):
        assert one.symmetric_difference(case.region).area < 1e-4


def test_nothing_and_what_is_no_number() -> None:
    empty = stroke_regions(
        Outlines.empty(2), np.ones(2), ["butt"] * 2, ["miter"] * 2, np.ones(2), [(), ()], np.zeros(2)
    )
    assert shapely.is_empty(empty).all()
    broken = parse(["M0 0h5v5"]).outlines
    broken.segments[0, 3, 0] = np.nan
    (region,) = stroke_regions(broken, np.ones(1), ["butt"], ["miter"], np.ones(1), [()], np.zeros(1))
    assert region.is_empty
