"""A sheet within limits gives nothing, whatever its paint order, clips, groups, transforms, white knock-outs, underlays, tear lines,
common lines, legends and lettering; one distance shortened, or one other fault, gives exactly that, as large as it was made and where. All
rules, in SVG and PDF.

More sheets by hand: ``PREFLIGHT_GOOD_SHEETS=0-300 pytest tests/make_fixtures/test_good_sheets.py``.
"""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any

import msgspec
import pytest
from random_sheets.good_sheet import FAULTS, Made, good_sheet
from random_sheets.other_units import as_pdf, as_svg

from preflight.engine import Engine
from preflight.profile import Profile
from preflight.profile.tables import JobTable, Media

ASKED = os.environ.get("PREFLIGHT_GOOD_SHEETS")
FIRST, LAST = (int(end) for end in (ASKED or "0-20").split("-"))
SHEETS = range(FIRST, LAST)
FAULTY = SHEETS if ASKED else range(len(FAULTS))
"""Each fault once, unless more are asked for."""
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
    report = Engine(profile).check_bytes(data, f"sheet.{kind}", Path(__file__).parent).report
    assert report.status == "checked"
    (page,) = report.pages
    return page


def not_checked(page: Any) -> list[str]:
    """What was not checked, but for what was assumed of the file itself, such as its unit."""
    return [note.what for note in page.not_checked if note.kind != "assumed"]


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize("number", SHEETS)
def test_a_sheet_within_limits_gives_nothing(number: int, kind: str) -> None:
    page = page_of(good_sheet(number), number, kind)
    assert [(one.rule, one.message, one.bounds_mm) for one in page.findings] == []
    assert not_checked(page) == []


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize("number", FAULTY)
def test_one_fault_gives_that_one_finding(number: int, kind: str) -> None:
    made = good_sheet(number, FAULTS[number % len(FAULTS)])
    fault = made.fault
    assert fault is not None
    page = page_of(made, number, kind)
    assert [(one.rule, one.message) for one in page.findings if one.rule != fault.rule] == []
    (found,) = page.findings
    assert set(not_checked(page)) <= set(fault.noted)
    if fault.measured is not None:
        assert (found.measured.unit, found.measured.value) == (
            fault.unit,
            pytest.approx(fault.measured, abs=NEAR),
        )
    if fault.at is not None:
        x0, y0, x1, y1 = found.bounds_mm
        assert x0 - NEAR <= fault.at[0] <= x1 + NEAR
        assert y0 - NEAR <= fault.at[1] <= y1 + NEAR
    if fault.rule in BETWEEN_TWO_PLACES:
        assert math.dist(*found.points_mm) == pytest.approx(found.measured.value, abs=0.001)
