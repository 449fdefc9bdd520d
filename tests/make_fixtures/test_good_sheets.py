"""A sheet within limits gives nothing, whatever its paint order, clips, groups, transforms and white knock-outs; one distance
shortened gives exactly that, as long as it was made. All rules, in SVG and PDF.

More sheets by hand: ``PREFLIGHT_GOOD_SHEETS=0-300 pytest tests/make_fixtures/test_good_sheets.py``.
"""

from __future__ import annotations

import math
import os
from typing import Any

import msgspec
import pytest
from random_sheets.good_sheet import FAULTS, Made, good_sheet
from random_sheets.other_units import as_pdf, as_svg

from preflight.engine import Engine
from preflight.profile import Profile
from preflight.profile.tables import JobTable, Media

FIRST, LAST = (int(end) for end in os.environ.get("PREFLIGHT_GOOD_SHEETS", "0-20").split("-"))
SHEETS = range(FIRST, LAST)
NEAR = 0.02
"""mm: the issue's promise."""
BETWEEN_TWO_PLACES = {
    "art-near-cut", "bleed-short", "cut-off-page", "cut-spacing", "lead-short", "mark-crowded", "mark-size", "marks-skewed",
    "media-overflow",
}  # fmt: skip
"""Rules whose two places are as far apart as their value says."""


def page_of(made: Made, number: int, kind: str) -> Any:
    """The report's page of a sheet, written in a unit and at a scale by its number."""
    scale = (1.0, 10.0, 0.5)[number % 3]
    data = (as_svg if kind == "svg" else as_pdf)(made.sheet, number, scale)
    profile = msgspec.structs.replace(Profile.default(), media=Media(**made.media), job=JobTable(scale=scale))
    report = Engine(profile).check_bytes(data, f"sheet.{kind}").report
    assert report.status == "checked"
    (page,) = report.pages
    return page


def not_checked(page: Any) -> list[str]:
    """What was not checked, but for what was assumed of the file itself, such as its unit."""
    return [note.message for note in page.not_checked if note.kind != "assumed"]


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize("number", SHEETS)
def test_a_sheet_within_limits_gives_nothing(number: int, kind: str) -> None:
    page = page_of(good_sheet(number), number, kind)
    assert [(one.rule, one.message, one.bounds_mm) for one in page.findings] == []
    assert not_checked(page) == []


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize("number", SHEETS)
def test_one_distance_shortened_gives_that_one_finding(number: int, kind: str) -> None:
    made = good_sheet(number, FAULTS[number % len(FAULTS)])
    fault = made.fault
    assert fault is not None
    page = page_of(made, number, kind)
    assert [(one.rule, one.measured.unit) for one in page.findings] == [(fault.rule, fault.unit)]
    assert not_checked(page) == []
    (found,) = page.findings
    assert found.measured.value == pytest.approx(fault.measured, abs=NEAR)
    if fault.rule in BETWEEN_TWO_PLACES:
        assert math.dist(*found.points_mm) == pytest.approx(found.measured.value, abs=0.001)
