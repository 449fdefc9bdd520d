"""The whole way on the demo: every planted fault is found where it is, with its measure, and nothing else."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
NEAR = 0.02
"""mm: how closely a place or a measure must agree."""


def check(name: str) -> tuple[int, dict[str, Any]]:
    """Exit code and the file's part of the JSON report."""
    done = subprocess.run(
        [sys.executable, "-m", "preflight", "check", "--format", "json", str(DEMO / name)],
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


@pytest.fixture(scope="module", params=["svg", "pdf"])
def faulty(request: pytest.FixtureRequest) -> dict[str, Any]:
    code, file = check(f"faulty.{request.param}")
    assert code == 1
    return file


EXPECTED = json.loads((DEMO / "faulty.expected.json").read_text("utf-8"))


def test_clean_sheet_has_no_finding_and_nothing_unchecked() -> None:
    code, file = check("summer-season.svg")
    assert code == 0
    (page,) = file["pages"]
    assert page["findings"] == []
    assert page["not_checked"] == []
    assert page["size_mm"] == [340, 264]


def test_faulty_sheet_has_each_planted_fault_once_and_no_other(faulty: dict[str, Any]) -> None:
    assert sorted(found["rule"] for found in findings(faulty)) == sorted(fault["rule"] for fault in EXPECTED)
    # Live text is planted, and its letters are not known: a box stands for it.
    assert [one["what"] for one in faulty["pages"][0]["not_checked"]] == ["text"]


@pytest.mark.parametrize("fault", EXPECTED, ids=lambda fault: fault["rule"])
def test_planted_fault_is_found_at_its_place_with_its_measure(
    faulty: dict[str, Any], fault: dict[str, Any]
) -> None:
    (found,) = [found for found in findings(faulty) if found["rule"] == fault["rule"]]
    assert found["objects"][0]["layer"] == fault["layer"]
    assert found["bounds_mm"] == pytest.approx(fault["bounds_mm"], abs=NEAR)
    for point in fault["points_mm"]:
        assert any(place == pytest.approx(point, abs=NEAR) for place in found["points_mm"]), point
    if fault["measured"] is not None:
        assert found["measured"]["value"] == pytest.approx(fault["measured"], abs=NEAR)
        assert found["measured"]["unit"] == fault["unit"]


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
