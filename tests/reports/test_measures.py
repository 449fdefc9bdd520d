"""What the picture draws of a measure: only what the finding says it measured, and where."""

from __future__ import annotations

import json
import math
import re

import pytest
from drawn_samples import drawings_of, sheet_drawing
from report_samples import gap, report_of

from preflight.reports.html import HtmlRenderer
from preflight.reports.html.measures import area_of, distance_of
from preflight.reports.report import FileReport, PageReport
from preflight.rule import Finding, Measured

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0))


def apart(value: float, limit: float | None, *points: tuple[float, float], unit: str = "mm") -> Finding:
    return gap(measured=Measured(value, limit, unit), points_mm=points)


def test_a_distance_too_short_says_where_it_should_end() -> None:
    distance = distance_of(apart(5.0, 10.0, (1.0, 1.0), (4.0, 5.0)))
    assert distance is not None
    assert distance.ends == ((1.0, 1.0), (4.0, 5.0))
    assert (distance.value, distance.asked) == ("5 mm", "at least 10 mm")
    assert distance.reach == pytest.approx((7.0, 9.0))
    assert distance.words == "from x 1.00 mm, y 1.00 mm to x 4.00 mm, y 5.00 mm"


@pytest.mark.parametrize(
    ("limit", "asked"), [(0.01, "at most 0.01 mm"), (0.0, "none allowed"), (2.0, None), (None, None)]
)
def test_a_distance_that_is_not_too_short_has_no_other_end(limit: float | None, asked: str | None) -> None:
    distance = distance_of(apart(2.0, limit, (10.0, 10.0), (10.0, 12.0)))
    assert distance is not None
    assert (distance.asked, distance.reach) == (asked, None)


@pytest.mark.parametrize(
    "finding",
    [
        gap(measured=None),
        apart(3.0, 1.0, (0.0, 0.0), (3.0, 0.0), unit="places"),
        apart(2.0, 3.0, (0.0, 0.0), (3.0, 0.0)),
        apart(3.0, 4.0, (0.0, 0.0)),
        apart(3.0, 4.0, (0.0, 0.0), (3.0, 0.0), (9.0, 0.0)),
        apart(math.nan, 4.0, (0.0, 0.0), (math.nan, 0.0)),
        apart(math.inf, 4.0, (0.0, 0.0), (math.inf, 0.0)),
    ],
)
def test_what_is_no_distance_between_two_places_is_none(finding: Finding) -> None:
    assert distance_of(finding) is None


def test_a_distance_of_nothing_goes_straight_across_the_area_that_is_missing() -> None:
    # A band of 3 mm to the right of x = 10, and one beneath that is not as wide.
    right = ((10.0, 0.0), (13.0, 0.0), (13.0, 20.0), (10.0, 20.0), (10.0, 0.0))
    below = ((0.0, 20.0), (10.0, 20.0), (10.0, 21.0), (0.0, 21.0), (0.0, 20.0))
    finding = gap(
        measured=Measured(0.0, 3.0, "mm"), points_mm=((10.0, 8.0), (10.0, 8.0)), area_mm=(right, below)
    )
    distance = distance_of(finding)
    assert distance is not None
    assert distance.reach == pytest.approx((13.0, 8.0))
    assert distance.words == "at x 10.00 mm, y 8.00 mm"
    alone = distance_of(gap(measured=Measured(0.0, 3.0, "mm"), points_mm=((10.0, 8.0), (10.0, 8.0))))
    assert alone is not None
    assert alone.reach is None


def test_an_area_keeps_its_shape_and_says_what_it_is() -> None:
    circle = tuple(
        (5.0 * math.cos(math.tau * step / 2000), 5.0 * math.sin(math.tau * step / 2000))
        for step in range(2000)
    )
    area = area_of(gap(area_mm=(circle, SQUARE[:-1]), area_shows="quiet\u202e zone"))
    assert area is not None
    assert area.shows == "quiet\\u202e zone"
    ring, square = area.rings
    assert square == (0.0, 0.0, 10.0, 0.0, 10.0, 10.0, 0.0, 10.0, 0.0, 0.0)
    assert len(ring) < 300
    for x, y in zip(ring[::2], ring[1::2], strict=True):
        assert math.hypot(x, y) == pytest.approx(5.0, abs=0.006)


def test_what_bounds_nothing_is_no_area() -> None:
    assert area_of(gap()) is None
    assert (
        area_of(gap(area_mm=((), ((0.0, 0.0), (1.0, 1.0)), ((0.0, 0.0), (math.inf, 0.0), (1.0, 1.0)))))
        is None
    )


def test_the_list_says_in_words_what_the_picture_draws() -> None:
    finding = gap(
        measured=Measured(1.0, 3.0, "mm"),
        points_mm=((10.0, 5.0), (11.0, 5.0)),
        area_mm=(SQUARE,),
        area_shows="<b>missing</b> bleed",
    )
    page = PageReport(number=1, size_mm=(270, 205), findings=(finding, gap(points_mm=())))
    file = FileReport(path="ferry.svg", sha256=None, format="svg", status="checked", pages=(page,))
    text = HtmlRenderer().render(report_of(file), drawings_of(ferry=sheet_drawing())).decode()
    assert text.count("<dt>Measured</dt>") == text.count("<dt>Hatched</dt>") == 1
    assert "<dd>from x 10.00 mm, y 5.00 mm to x 11.00 mm, y 5.00 mm</dd>" in text
    assert "<dd>&lt;b&gt;missing&lt;/b&gt; bleed</dd>" in text
    block = re.search(r'id="report-data">(.*?)</script>', text, re.DOTALL)
    assert block is not None
    first, second = json.loads(block[1])[0]["places"]
    assert first["distance"] == {
        "ends": [[10.0, 5.0], [11.0, 5.0]], "value": "1 mm", "asked": "at least 3 mm", "reach": [13.0, 5.0],
    }  # fmt: skip
    assert first["area"]["shows"] == "<b>missing</b> bleed"
    assert not {"distance", "area"} & second.keys()
