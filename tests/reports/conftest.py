"""Reports for the tests of every renderer."""

from __future__ import annotations

import pytest
from report_samples import gap, report_of

from preflight.reports.report import (
    BaselineUse,
    FileReport,
    HeldFinding,
    NotChecked,
    PageReport,
    Production,
    Report,
    StepProduction,
)
from preflight.rule import Level, Measured, ObjectReference


@pytest.fixture
def everything() -> Report:
    """A file with a finding of each level, one waived, one known, one without a place, entries not checked; one unreadable."""
    page = PageReport(
        number=1,
        size_mm=(297.0, 210.0),
        findings=(
            gap(),
            gap(
                rule="step-misspelt",
                level=Level.WARNING,
                measured=None,
                points_mm=(),
                bounds_mm=None,
                objects=(),
            ),
            gap(rule="node-excess", level=Level.NOTE, measured=Measured(40, 12, "nodes")),
            gap(rule="contour-duplicate", waived="the tea room wants it twice"),
            gap(rule="corner-tight", known="baseline"),
        ),
        not_checked=(
            NotChecked(
                what="filter",
                message="A blur is not modelled.",
                object=ObjectReference("shadow", "Art", "path", 7),
            ),
            NotChecked(kind="assumed", what="units", message="The page has no unit; px was assumed."),
        ),
        production=Production(
            (
                StepProduction(step="PartialCutting", pieces=12, contours=14, cut_length_mm=1234.5),
                StepProduction(step="Cutting", pieces=1, contours=1, cut_length_mm=25_123.0),
            )
        ),
    )
    gone = HeldFinding(
        path="ferry.svg",
        page=1,
        rule="contour-open",
        subject=None,
        layers=("Kiss cut",),
        bounds_mm=None,
        fingerprint="cd" * 16,
    )
    return report_of(
        FileReport(path="ferry.svg", sha256="0" * 64, format="svg", status="checked", pages=(page,)),
        FileReport(
            path="torn.svg",
            sha256=None,
            format=None,
            status="unreadable",
            reason="it is not XML: line 3",
            hint="Export it again.",
        ),
        baseline=BaselineUse(path="known.json", held=2, not_found=(gone,)),
    )


@pytest.fixture
def clean() -> Report:
    page = PageReport(number=1, size_mm=(100.0, 50.0))
    return report_of(
        FileReport(path="clean.svg", sha256="1" * 64, format="svg", status="checked", pages=(page,))
    )
