"""A sheet drawn once and written as SVG and as PDF gives the same report but for the file's own name and origins."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from preflight.engine import check_file
from preflight.profile import load
from preflight.reports.report import FileReport, PageReport
from preflight.rule import Finding

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
SHEETS = (
    "faulty",
    "no-cut-line",
    "summer-season",
    "roll/window-films",
    "roll/window-films-faulty",
    "roll/bow-gull",
    "roll/bow-gull-at-a-tenth",
)
NEAR = 0.02
"""mm: how closely places and measures agree."""


@pytest.fixture(scope="module", params=SHEETS)
def both(request: pytest.FixtureRequest) -> tuple[FileReport, FileReport]:
    profile = load((DEMO / request.param).parent)
    svg, pdf = (check_file(DEMO / f"{request.param}.{suffix}", profile) for suffix in ("svg", "pdf"))
    return svg, pdf


def in_order(page: PageReport) -> list[Finding]:
    return sorted(page.findings, key=lambda one: (one.rule, one.bounds_mm or ()))


def near(values: Any) -> Any:
    return pytest.approx(values, abs=NEAR) if values else values


def test_the_formats_are_told_apart_and_both_are_read(both: tuple[FileReport, FileReport]) -> None:
    assert [file.format for file in both] == ["svg", "pdf"]
    assert [file.status for file in both] == ["checked", "checked"]
    assert both[0].rules_off == both[1].rules_off


def test_pages_are_of_one_size_and_the_same_is_left_unchecked(both: tuple[FileReport, FileReport]) -> None:
    (svg,), (pdf,) = both[0].pages, both[1].pages
    assert pdf.number == svg.number
    assert pdf.size_mm == pytest.approx(svg.size_mm, abs=1e-3)
    assert len(pdf.not_checked) == len(svg.not_checked)
    for ours, its in zip(pdf.not_checked, svg.not_checked, strict=True):
        assert (ours.what, ours.bounds_mm) == (its.what, near(its.bounds_mm))


def test_findings_are_the_same_at_the_same_places(both: tuple[FileReport, FileReport]) -> None:
    (svg,), (pdf,) = both[0].pages, both[1].pages
    assert [one.rule for one in in_order(pdf)] == [one.rule for one in in_order(svg)]
    for ours, its in zip(in_order(pdf), in_order(svg), strict=True):
        assert (ours.level, ours.page, ours.fix, ours.waived) == (its.level, its.page, its.fix, its.waived)
        assert ours.bounds_mm == near(its.bounds_mm), ours.rule
        assert len(ours.points_mm) == len(its.points_mm), ours.rule
        for point in its.points_mm:
            assert any(place == near(point) for place in ours.points_mm), ours.rule
        layers = [(one.kind, one.layer) for one in its.objects]
        assert [(one.kind, one.layer) for one in ours.objects] == layers, ours.rule
        assert (ours.measured is None) == (its.measured is None), ours.rule
        if ours.measured is not None and its.measured is not None:
            assert ours.measured.value == near(its.measured.value), ours.rule
            assert (ours.measured.limit, ours.measured.unit) == (its.measured.limit, its.measured.unit)


def test_figures_of_production_are_the_same(both: tuple[FileReport, FileReport]) -> None:
    (svg,), (pdf,) = both[0].pages, both[1].pages
    for ours, its in zip(pdf.production.steps, svg.production.steps, strict=True):
        assert (ours.step, ours.pieces, ours.contours) == (its.step, its.pieces, its.contours)
        assert ours.cut_length_mm == pytest.approx(its.cut_length_mm, abs=0.05)


def test_what_a_pdf_object_lacks_is_not_named(both: tuple[FileReport, FileReport]) -> None:
    """A mend names layers, colours and places: no metadata, and no operator of the page's content."""
    for finding in both[1].findings():
        for words in (finding.message, finding.hint):
            assert "metadata" not in words
            assert not any(one.ref in words for one in finding.objects)
