"""The whole way on the demo: every planted fault is found where it is, with its measure, and nothing else."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
NEAR = 0.02
"""mm: how closely a place or a measure must agree."""


def check(name: str, *options: str) -> tuple[int, dict[str, Any]]:
    """Exit code and the file's part of the JSON report."""
    done = subprocess.run(
        [sys.executable, "-m", "preflight", "check", "--format", "json", *options, str(DEMO / name)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert "Traceback" not in done.stderr, done.stderr
    (file,) = json.loads(done.stdout)["files"]
    return done.returncode, file


def findings(file: dict[str, Any]) -> list[dict[str, Any]]:
    return [finding for page in file["pages"] for finding in page["findings"]]


FAULTY = {
    path.relative_to(DEMO).as_posix().removesuffix(".expected.json"): json.loads(path.read_text("utf-8"))
    for path in sorted(DEMO.rglob("*.expected.json"))
}
"""What is planted in each sheet, by its path without the suffix."""
CLEAN = ["summer-season", "roll/window-films", "roll/bow-gull", "colours/colours"]


@pytest.fixture(scope="module")
def checked() -> Callable[[str], dict[str, Any]]:
    """The report of a faulty sheet, each checked once."""
    return cache(lambda name: check(name)[1])


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
@pytest.mark.parametrize("name", CLEAN)
def test_clean_sheet_has_no_finding_and_nothing_unchecked(name: str, suffix: str) -> None:
    code, file = check(f"{name}.{suffix}")
    assert code == 0
    (page,) = file["pages"]
    assert page["findings"] == []
    assert page["not_checked"] == []


def test_clean_sheet_is_as_large_as_it_says() -> None:
    (page,) = check("summer-season.svg")[1]["pages"]
    assert page["size_mm"] == [340, 264]


def test_faults_are_planted() -> None:
    assert set(FAULTY) == {
        "colours/colours-faulty",
        "faulty",
        "roll/bow-gull-at-a-tenth",
        "roll/window-films-faulty",
    }


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
@pytest.mark.parametrize("name", FAULTY)
def test_faulty_sheet_has_each_planted_fault_once_and_no_other(
    checked: Callable[[str], dict[str, Any]], name: str, suffix: str
) -> None:
    file = checked(f"{name}.{suffix}")
    planted = sorted(fault["rule"] for fault in FAULTY[name])
    assert sorted(found["rule"] for found in findings(file)) == planted
    # Where live text is planted its letters are not known: a box stands for it.
    unchecked = [one["what"] for one in file["pages"][0]["not_checked"]]
    assert unchecked == (["text"] if "text-live" in planted else [])


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
@pytest.mark.parametrize(
    ("name", "fault"),
    [pytest.param(name, fault, id=fault["rule"]) for name, faults in FAULTY.items() for fault in faults],
)
def test_planted_fault_is_found_at_its_place_with_its_measure(
    checked: Callable[[str], dict[str, Any]], name: str, fault: dict[str, Any], suffix: str
) -> None:
    (found,) = [one for one in findings(checked(f"{name}.{suffix}")) if one["rule"] == fault["rule"]]
    layers = [one["layer"] for one in found["objects"][:1]]
    assert layers == ([fault["layer"]] if fault["layer"] else [])
    assert found["bounds_mm"] == pytest.approx(fault["bounds_mm"], abs=NEAR)
    for point in fault["points_mm"]:
        assert any(place == pytest.approx(point, abs=NEAR) for place in found["points_mm"]), point
    if fault["measured"] is not None:
        assert found["measured"]["value"] == pytest.approx(fault["measured"], abs=NEAR)
        assert found["measured"]["unit"] == fault["unit"]


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
def test_faulty_sheets_end_with_the_exit_status_of_their_worst_fault(suffix: str) -> None:
    codes = {name: check(f"{name}.{suffix}")[0] for name in FAULTY}
    assert codes == {
        "colours/colours-faulty": 0,
        "faulty": 1,
        "roll/bow-gull-at-a-tenth": 0,
        "roll/window-films-faulty": 1,
    }


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
def test_gull_drawn_at_a_tenth_is_in_order_once_somebody_says_so(suffix: str) -> None:
    code, file = check(f"roll/bow-gull-at-a-tenth.{suffix}", "--scale", "10")
    assert (code, findings(file)) == (0, [])
    (page,), (whole,) = file["pages"], check(f"roll/bow-gull.{suffix}")[1]["pages"]
    ours, its = (one["production"]["steps"][0]["cut_length_mm"] for one in (page, whole))
    # The tenth is written to a tenth of a micrometre: ten times as much at its size, over some thirty segments.
    assert ours == pytest.approx(its, abs=0.05)


def test_sheet_without_cut_line_has_that_one_finding() -> None:
    code, file = check("no-cut-line.svg")
    assert code == 1
    assert [found["rule"] for found in findings(file)] == ["step-missing"]


@pytest.mark.parametrize(
    ("name", "rules"),
    [
        ("honey-tag.svg", []),
        ("salt-tag.svgz", []),
        ("jam-tag-open.svg", ["contour-open"]),
    ],
)
def test_label_of_the_archive(name: str, rules: list[str]) -> None:
    code, file = check(f"archive/{name}")
    assert file["status"] == "checked"
    assert [found["rule"] for found in findings(file)] == rules
    assert code == (1 if rules else 0)


def test_broken_off_file_of_the_archive_is_unreadable() -> None:
    code, file = check("archive/leaf-broken-off.svg")
    assert code == 2
    assert file["status"] == "unreadable"
    assert file["reason"]


def test_live_text_of_the_archive_still_needs_its_font() -> None:
    code, file = check("archive/seal-live-text.svg")
    assert file["status"] == "checked"
    assert code == 1
    assert [(one["rule"], one["level"]) for one in findings(file)] == [("text-live", "error")]
