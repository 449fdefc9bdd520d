"""Random sheets, each drawn once and written as SVG and as PDF, give the same report but for the file's own name and origins.

More sheets by hand: ``PREFLIGHT_RANDOM_SHEETS=0-2000 pytest tests/make_fixtures/test_random_sheets.py``.
"""

from __future__ import annotations

import math
import os
import re
from collections import Counter
from functools import cache
from typing import Any

import msgspec
import pytest
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.svg_writer import svg_text
from random_sheets.sheet_by_number import random_sheet

from preflight.engine import Engine
from preflight.profile import Profile

Plain = dict[str, Any]

FIRST, LAST = (int(end) for end in os.environ.get("PREFLIGHT_RANDOM_SHEETS", "0-50").split("-"))
BATCHES = 5
ROUNDING = 1.5e-4
"""mm: reports give four decimals, and what is rounded may fall to either side."""

PLANTED = {
    "contour-open", "contour-duplicate", "contour-overlap", "contour-self-crossing", "contour-crossing",
    "contour-fragment", "corner-tight", "node-excess", "step-hidden", "step-misspelt", "step-order",
    "step-painted", "step-printed", "step-unnamed",
}  # fmt: skip

MEASURED = {"art-near-cut", "bleed-short", "cut-off-page", "cut-spacing"}
"""Distances: of several places as near as each other the last digits of a file's numbers may choose another."""


@cache
def reports(number: int) -> tuple[Plain, Plain]:
    """The page of a sheet as SVG and as PDF; every other sheet names its steps by the names of layers alone."""
    sheet, engine = random_sheet(number), Engine(Profile.default())
    written = {"svg": svg_text(sheet).encode(), "pdf": pdf_bytes(sheet, metadata=number % 2 == 1)}
    files = [
        msgspec.to_builtins(engine.check_bytes(data, f"sheet.{kind}").report)
        for kind, data in written.items()
    ]
    assert [file["status"] for file in files] == ["checked", "checked"]
    (svg,), (pdf,) = (file["pages"] for file in files)
    return svg, pdf


def told(finding: Plain, *, by_name: bool) -> tuple[Any, ...]:
    """All of a finding that is neither a number nor a place.

    A mend may name another object by where it stands in the file, and another way to name a step where metadata does.
    """
    hint = re.sub(r", as .* (is|has it),", ", as it is,", finding["hint"]) if by_name else None
    objects = tuple((one["kind"], one["layer"]) for one in finding["objects"])
    plain = tuple(finding[key] for key in ("rule", "level", "page", "message", "fix", "waived"))
    return (*plain, hint, objects)


def numbers(finding: Plain) -> list[float]:
    """Every number of a finding, in order."""
    found = [*(finding["bounds_mm"] or ()), *(side for point in finding["points_mm"] for side in point)]
    measured = finding["measured"]
    return found + ([] if measured is None else [measured["value"], measured["limit"] or 0.0])


def value_of(finding: Plain) -> float:
    return float(finding["measured"]["value"])


def not_checked(page: Plain) -> set[tuple[str, ...]]:
    """What was not checked, each kind once: SVG says it of each object, PDF of each graphics state."""
    return {(one["kind"], one["what"], one["message"]) for one in page["not_checked"]}


@pytest.mark.parametrize("number", [52, 380, 402])
def test_a_sliver_that_rounding_leaves_is_not_in_doubt(number: int) -> None:
    svg, pdf = reports(number)
    assert not_checked(pdf) == not_checked(svg)


def same_in_both(number: int) -> None:
    """Assert that both reports of a sheet say the same."""
    svg, pdf = reports(number)
    by_name = number % 2 == 0
    assert pdf["size_mm"] == pytest.approx(svg["size_mm"], abs=ROUNDING), number
    assert pdf["production"] == svg["production"], number
    assert not_checked(pdf) == not_checked(svg), number
    ours, its = (
        sorted(page["findings"], key=lambda one: (repr(told(one, by_name=by_name)), numbers(one)))
        for page in (pdf, svg)
    )
    kinds = [[told(one, by_name=by_name) for one in findings] for findings in (ours, its)]
    assert kinds[0] == kinds[1], number
    for one, other in zip(ours, its, strict=True):
        if one["rule"] in MEASURED and numbers(one) != pytest.approx(numbers(other), abs=ROUNDING):
            assert one["measured"] == other["measured"] | {
                "value": pytest.approx(value_of(other), abs=ROUNDING)
            }
            length = math.dist(*one["points_mm"])
            assert length == pytest.approx(value_of(one), abs=2 * ROUNDING), (number, one["rule"])
            continue
        assert numbers(one) == pytest.approx(numbers(other), abs=ROUNDING), (number, one["rule"])


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_sheet_gives_the_same_report_in_both_formats(batch: int) -> None:
    for number in range(FIRST + batch, LAST, BATCHES):
        same_in_both(number)


@pytest.mark.parametrize("number", [216, 385, 1338, 1369])
def test_what_hung_on_the_last_digits(number: int) -> None:
    """A contour as far off the page on two sides, an edge across a cut at 11°, lines beside areas, a piece that lies half in another."""
    same_in_both(number)


def test_every_rule_of_contours_and_steps_is_put_to_the_test() -> None:
    found = Counter(finding["rule"] for number in range(50) for finding in reports(number)[0]["findings"])
    assert set(found) >= PLANTED
