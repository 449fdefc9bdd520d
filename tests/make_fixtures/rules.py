"""Writes the PDF files of fixtures/rules: `python tests/make_fixtures/rules.py [--into FOLDER]`. Same script, same bytes.

The SVG files there are written by hand and stay as they are.
"""

from __future__ import annotations

from pathlib import Path

from rule_sheets.case import Case
from rule_sheets.clearance_cases import clearance_cases
from rule_sheets.colour_cases import (
    conflict_cases,
    gamut_cases,
    image_ink_cases,
    ink_cases,
    space_cases,
)
from rule_sheets.content_cases import content_cases
from rule_sheets.content_sheet import ContentCase
from rule_sheets.layout_cases import layout_cases
from rule_sheets.mark_cases import mark_cases
from rule_sheets.overprint_cases import lost_cases, printed_cases
from rule_sheets.step_cases import hidden_cases, missing_cases, misspelt_cases, painted_cases, unnamed_cases
from writing import write_fixtures

_RULES = Path(__file__).resolve().parents[2] / "fixtures" / "rules"


def cases() -> tuple[Case | ContentCase, ...]:
    """Every tiny PDF with what is expected of it."""
    return (
        *lost_cases(),
        *printed_cases(),
        *painted_cases(),
        *hidden_cases(),
        *unnamed_cases(),
        *misspelt_cases(),
        *missing_cases(),
        *content_cases(),
        *mark_cases(),
        *layout_cases(),
        *clearance_cases(),
        *ink_cases(),
        *space_cases(),
        *conflict_cases(),
        *gamut_cases(),
        *image_ink_cases(),
    )


def files() -> dict[str, bytes]:
    """Every file by its path inside the folder."""
    return {name: content for case in cases() for name, content in case.files().items()}


if __name__ == "__main__":
    write_fixtures(__doc__, files(), _RULES)
