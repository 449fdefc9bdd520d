"""A sheet drawn at 1:k and judged with --scale k gives what the sheet at full size gives; turning it changes the roll alone.

The whole command is run, on random sheets with faults planted, as SVG and as PDF.
"""

from __future__ import annotations

import io
import json
import re
from functools import cache
from typing import Any

import pikepdf
import pytest
from click.testing import CliRunner
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.svg_writer import svg_text
from random_sheets.sheet_by_number import random_sheet

from preflight.cli import main

Plain = dict[str, Any]

SCALES = (10.0, 2.0, 0.5, 3.7, 25.4)
SHEETS = range(200, 210)
CLOSE = 3e-4
"""mm: reports give four decimals."""
CLOSE_TO_ART = 0.02
"""mm, for distances to the art and between pieces: these are measured on regions, whose points the rounding of a digit may shift,
and with them which of several equally near places is named."""
CLEARANCES = {"bleed-short", "art-near-cut", "cut-spacing"}
LAID_ON_ITSELF = {"contour-overlap", "contour-self-crossing", "contour-crossing", "contour-duplicate"}


def svg_at(number: int, scale: float) -> bytes:
    """The sheet with all its numbers, on a page that many times smaller."""

    def smaller(found: re.Match[str]) -> str:
        return f'{found[1]}="{float(found[2]) / scale!r}mm"'

    text = svg_text(random_sheet(number))
    made, count = re.subn(r'\b(width|height)="([\d.]+)mm"', smaller, text, count=2)
    assert count == 2
    return made.encode()


def pdf_at(number: int, scale: float) -> bytes:
    """The sheet with its content and its boxes that many times smaller."""
    with pikepdf.open(io.BytesIO(pdf_bytes(random_sheet(number), metadata=number % 2 == 1))) as pdf:
        (page,) = pdf.pages
        for name in ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox", "/ArtBox"):
            if name in page:
                page[name] = pikepdf.Array([round(float(side) / scale, 9) for side in page[name]])
        page.contents_add(f"q {1 / scale:.12f} 0 0 {1 / scale:.12f} 0 0 cm".encode(), prepend=True)
        page.contents_add(b"Q")
        made = io.BytesIO()
        pdf.save(made, static_id=True)
    return made.getvalue()


WRITTEN = {"svg": svg_at, "pdf": pdf_at}


@cache
def page(kind: str, number: int, drawn: float, *words: str) -> Plain:
    """The page as the command reports it."""
    asked = ["check", "-", "--stdin-name", f"sheet.{kind}", "--format", "json", *words]
    told = CliRunner().invoke(main, asked, input=WRITTEN[kind](number, drawn))
    assert told.exit_code in (0, 1), told.output
    ((one,),) = (file["pages"] for file in json.loads(told.stdout)["files"])
    return one  # type: ignore[no-any-return]


def told(finding: Plain) -> tuple[Any, ...]:
    """All of a finding that is no number: words with their numbers taken out, objects by where they stand in the file."""
    objects = tuple(re.sub(r"\d+ op \d+", "", one["ref"]) + str(one["layer"]) for one in finding["objects"])
    words = tuple(re.sub(r"[\d.,]+", "#", finding[key]) for key in ("message", "hint"))
    return (finding["rule"], finding["level"], finding["fix"], *words, objects)


def numbers(finding: Plain) -> list[float]:
    found = [*(finding["bounds_mm"] or ()), *(side for point in finding["points_mm"] for side in point)]
    measured = finding["measured"]
    return found if measured is None else [*found, measured["value"], measured["limit"] or 0.0]


def not_checked(page: Plain) -> set[tuple[str, str]]:
    return {(one["kind"], one["what"]) for one in page["not_checked"]}


def compared(page: Plain) -> list[Plain]:
    """The findings in order, without distances from a contour that lies on itself: which side is inside hangs by a digit."""
    odd = {
        each["ref"] for one in page["findings"] if one["rule"] in LAID_ON_ITSELF for each in one["objects"]
    }
    kept = [
        one
        for one in page["findings"]
        if one["rule"] not in CLEARANCES or not odd & {each["ref"] for each in one["objects"]}
    ]
    return sorted(kept, key=lambda finding: (repr(told(finding)), numbers(finding)))


def agree(one: Plain, other: Plain) -> None:
    ours, its = compared(one), compared(other)
    assert [told(finding) for finding in ours] == [told(finding) for finding in its]
    for mine, yours in zip(ours, its, strict=True):
        if mine["rule"] in CLEARANCES:
            value = yours["measured"]["value"]
            assert mine["measured"]["value"] == pytest.approx(value, abs=CLOSE_TO_ART), told(mine)
        else:
            assert numbers(mine) == pytest.approx(numbers(yours), abs=CLOSE), told(mine)
    assert not_checked(one) == not_checked(other)
    assert one["size_mm"] == pytest.approx(other["size_mm"], abs=CLOSE)


@pytest.mark.parametrize("kind", WRITTEN)
@pytest.mark.parametrize("number", SHEETS)
def test_a_sheet_drawn_at_another_scale_is_judged_as_at_full_size(kind: str, number: int) -> None:
    scale = SCALES[number % len(SCALES)]
    whole = page(kind, number, 1.0, "--scale", "1")
    small = page(kind, number, scale, "--scale", f"{scale}")
    agree(small, whole)
    assert small["scale"] == scale
    for mine, yours in zip(small["production"]["steps"], whole["production"]["steps"], strict=True):
        assert mine.pop("cut_length_mm") == pytest.approx(yours["cut_length_mm"], rel=1e-5, abs=0.02)
        assert mine == {key: value for key, value in yours.items() if key != "cut_length_mm"}


@pytest.mark.parametrize("kind", WRITTEN)
def test_a_width_says_the_same_as_the_scale_that_leads_to_it(kind: str) -> None:
    width = random_sheet(201).width
    agree(page(kind, 201, 10.0, "--width", f"{width:.9f} mm"), page(kind, 201, 10.0, "--scale", "1:10"))


def test_faults_are_found_at_every_scale() -> None:
    """What is compared is not nothing."""
    every = [one["rule"] for number in SHEETS for one in page("svg", number, 1.0, "--scale", "1")["findings"]]
    assert len(every) > 50
    assert len(set(every)) > 8


@pytest.mark.parametrize("kind", WRITTEN)
@pytest.mark.parametrize("rotate", ["90", "180", "-90", "33.3"])
def test_turning_changes_how_copies_lie_and_nothing_else(kind: str, rotate: str) -> None:
    plain, turned = page(kind, 204, 1.0), page(kind, 204, 1.0, "--rotate", rotate)
    assert {key: value for key, value in turned.items() if key != "production"} == {
        key: value for key, value in plain.items() if key != "production"
    }
    assert turned["production"]["steps"] == plain["production"]["steps"]


@pytest.mark.parametrize("kind", WRITTEN)
def test_copies_multiply_the_figures_and_change_no_finding(kind: str) -> None:
    plain, many = page(kind, 204, 1.0), page(kind, 204, 1.0, "--copies", "7")
    assert many["findings"] == plain["findings"]
    assert many["not_checked"] == plain["not_checked"]
    for one, seven in zip(plain["production"]["steps"], many["production"]["steps"], strict=True):
        assert seven["pieces"] == 7 * one["pieces"]
        assert seven["contours"] == 7 * one["contours"]
        assert seven["cut_length_mm"] == pytest.approx(7 * one["cut_length_mm"], abs=0.05)
