"""Rules of the layout by the whole command: hints that are true, turns, sizes that somebody has confirmed."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from preflight.cli import main
from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile, RuleChoice
from preflight.profile.tables import Cutter, JobTable, Media
from preflight.rule import Finding

FOLDER = Path(__file__).parents[2] / "fixtures" / "rules"
PLUGINS = Plugins()
# 49 in, the working width of a mid-size cutter: common practice, no source. 1 in is 25.4 mm exactly (from memory).
CUTTER = 1244.6


def page(*drawn: str, width: float, height: float) -> bytes:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">'
    return "".join((head, *drawn, "</svg>")).encode()


def art(x: float, y: float, width: float, height: float) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="#f4a261"/>'


def found(
    rule: str, data: bytes, media: Media | None = None, cutter: float | None = None, **job: Any
) -> list[Finding]:
    profile = replace(
        Profile.default(), media=media or Media(), cutter=Cutter(width=cutter), job=JobTable(**job)
    )
    report = Engine(profile, PLUGINS, select=[rule]).check_bytes(data, "sheet.svg").report
    return list(report.findings())


def rules_of(name: str, *words: str) -> dict[str, str]:
    """Rules that find something in a file of the fixtures, with their hints, by the whole command."""
    told = CliRunner().invoke(
        main, ["check", str(FOLDER / name), "--format", "json", "--select", "layout", *words]
    )
    assert told.exit_code in (0, 1), told.output
    ((one,),) = (file["pages"] for file in json.loads(told.stdout)["files"])
    return {finding["rule"]: finding["hint"] for finding in one["findings"]}


def test_turned_as_the_hint_says_it_fits() -> None:
    hint = rules_of("media-overflow/fail-fits-when-turned.svg")["media-overflow"]
    option = re.search(r"--rotate \d+", hint)
    assert option is not None
    assert rules_of("media-overflow/fail-fits-when-turned.svg", *option[0].split()) == {}
    assert "--rotate" not in rules_of("media-overflow/fail-either-way.svg")["media-overflow"]


@pytest.mark.parametrize("rotate", ["90", "270", "-90"])
def test_what_fits_may_not_fit_when_turned(rotate: str) -> None:
    """100 mm by 2 m: a ribbon along the roll."""
    ribbon = page(art(5, 5, 90, 1990), width=100, height=2000)
    assert found("media-overflow", ribbon, Media(width=1370.0)) == []
    (finding,) = found("media-overflow", ribbon, Media(width=1370.0), rotate=float(rotate))
    assert finding.measured is not None
    assert (finding.measured.value, finding.measured.limit) == (1990, 1320)
    assert finding.bounds_mm == (5, 5, 95, 1995)
    assert "--rotate 0" in finding.hint


@given(st.floats(-300, 300).filter(lambda off: abs(off) > 1e-4), st.booleans())
def test_just_under_and_just_over_the_working_width(off: float, turned: bool) -> None:
    width = CUTTER + off
    wide, high = (300.0, width) if turned else (width, 300.0)
    sheet = page(art(7, 7, wide, high), width=wide + 20, height=high + 20)
    findings = found("media-overflow", sheet, None, CUTTER, rotate=90.0 if turned else 0.0)
    assert [one.rule for one in findings] == (["media-overflow"] if off > 0 else [])
    for one in findings:
        assert one.measured is not None
        assert one.measured.value == pytest.approx(width, abs=1e-3)


def test_a_square_that_fits_may_not_fit_on_its_corner() -> None:
    """1000 mm: 1414 mm from corner to corner."""
    square = page(art(0, 0, 1000, 1000), width=1000, height=1000)
    assert found("media-overflow", square, Media(width=1370.0)) == []
    (finding,) = found("media-overflow", square, Media(width=1370.0), rotate=45.0)
    assert finding.measured is not None
    assert finding.measured.value == pytest.approx(1000 * 2**0.5, abs=0.001)
    assert found("media-overflow", square, Media(width=1370.0), rotate=10.0) == []  # 1158.5 mm


MEDIA = Media(width=610.0, side_margin=20.0, lead_margin=40.0, tail_margin=60.0)


@pytest.mark.parametrize(
    ("rotate", "leading"),
    # Turned clockwise by a quarter, the left side of the page leads.
    [(0.0, "top"), (90.0, "left"), (180.0, "bottom"), (270.0, "right"), (-90.0, "right")],
)
def test_the_leading_edge_turns_with_the_page(rotate: float, leading: str) -> None:
    """610 mm square: as wide as the media whichever way it lies. Art stands 39, 38, 37, 36 mm from its sides, clockwise from the left."""
    sheet = page(art(39, 38, 610 - 39 - 37, 610 - 38 - 36), width=610, height=610)
    distances = {"left": 39, "top": 38, "right": 37, "bottom": 36}
    tail = {"top": "bottom", "left": "right", "bottom": "top", "right": "left"}[leading]
    told = {
        (one.measured.limit, one.measured.value): one.message
        for one in found("lead-short", sheet, MEDIA, rotate=rotate)
        if one.measured
    }
    assert set(told) == {(40, distances[leading]), (60, distances[tail])}
    assert f"the page's {leading}" in told[40, distances[leading]]
    assert found("media-overflow", sheet, MEDIA, rotate=rotate) == []
    assert found("lead-short", sheet, MEDIA, rotate=45.0) == []


def test_each_side_of_a_page_as_wide_as_the_media_is_judged_by_itself() -> None:
    sheet = page(art(10, 50, 590, 300), width=610, height=400)
    told = found("media-overflow", sheet, MEDIA)
    assert sorted(one.bounds_mm or () for one in told) == [(10, 50, 20, 350), (590, 50, 600, 350)]
    assert [one.measured.value for one in told if one.measured] == [10, 10]


@pytest.mark.parametrize(
    "name", ["fail-pixels.svg", "fail-points.svg", "near-fail-small.svg", "near-fail-large.svg"]
)
def test_a_size_that_somebody_states_is_not_doubted(name: str) -> None:
    assert "scale-doubtful" in rules_of(f"scale-doubtful/{name}")
    assert rules_of(f"scale-doubtful/{name}", "--scale", "1") == {}
    assert rules_of(f"scale-doubtful/{name}", "--scale", "2:1") == {}
    assert rules_of(f"scale-doubtful/{name}", "--width", "210 mm") == {}


def test_the_width_in_the_hint_is_the_one_it_was_drawn_to_be() -> None:
    hint = rules_of("scale-doubtful/fail-points.svg")["scale-doubtful"]
    width = re.search(r"--width '([\d.]+) mm'", hint)
    assert width is not None
    assert float(width[1]) == pytest.approx(210, abs=0.05)  # A4, ISO 216


@pytest.mark.parametrize("level", ["error", "warning", "note"])
def test_a_size_in_pixels_is_a_note_whatever_the_level(level: str) -> None:
    profile = replace(Profile.default(), rules={"scale-doubtful": RuleChoice(level, {})})
    for name, told in (("fail-pixels.svg", "note"), ("fail-points.svg", level)):
        report = (
            Engine(profile, PLUGINS, select=["layout"]).check_file(FOLDER / "scale-doubtful" / name).report
        )
        assert [one.level for one in report.findings()] == [told]
