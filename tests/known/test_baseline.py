"""What a baseline makes of reports: what is looked for, what is not, and which file is which."""

from __future__ import annotations

from pathlib import Path

from preflight.fingerprints import fingerprinted
from preflight.known.baseline import Baseline, Compared
from preflight.known.matching import held
from preflight.known.moved import MOST_ALIKE
from preflight.reports.report import FileReport, HeldFinding, PageReport
from preflight.rule import Finding, Level, ObjectReference

RULES = ("contour-open", "corner-tight", "step-missing", "rule-failed")


def found(rule: str, x: float | None = None) -> Finding:
    box = None if x is None else (x, 5.0, x + 1.0, 6.0)
    return Finding(rule=rule, level=Level.ERROR, message="", hint="", bounds_mm=box)


def broke_down(rule: str) -> Finding:
    objects = (ObjectReference(rule, None, "rule"),)
    return Finding(rule="rule-failed", level=Level.ERROR, message="", hint="", objects=objects)


def report(path: Path, *findings: Finding) -> FileReport:
    page = PageReport(number=1, size_mm=(90, 60), findings=tuple(fingerprinted(findings)))
    return FileReport(path=str(path), sha256=None, format="svg", status="checked", pages=(page,))


def entries(path: str, *findings: Finding) -> list[HeldFinding]:
    return [held(one, path) for one in fingerprinted(findings)]


def compared(folder: Path, holds: list[HeldFinding], *reports: FileReport) -> Compared:
    return Baseline(folder / "known.json", holds).compared(reports, RULES)


def rules(findings: tuple[HeldFinding, ...]) -> list[str]:
    return sorted(one.rule for one in findings)


def test_of_a_rule_that_broke_down_nothing_is_looked_for(tmp_path: Path) -> None:
    holds = entries("a.svg", found("contour-open", 10.0), found("corner-tight", 20.0))
    answer = compared(tmp_path, holds, report(tmp_path / "a.svg", broke_down("corner-tight")))
    assert rules(answer.not_found) == ["contour-open"]
    assert rules(answer.kept) == rules(answer.fresh) == ["corner-tight"]


def test_of_a_rule_that_is_not_installed_nothing_is_looked_for(tmp_path: Path) -> None:
    holds = entries("a.svg", found("house-wide", 10.0))
    answer = compared(tmp_path, holds, report(tmp_path / "a.svg"))
    assert (answer.not_found, rules(answer.kept), rules(answer.fresh)) == ((), ["house-wide"], ["house-wide"])


def test_that_a_rule_broke_down_is_never_held(tmp_path: Path) -> None:
    answer = compared(tmp_path, [], report(tmp_path / "a.svg", broke_down("corner-tight")))
    assert answer.fresh == ()


def test_a_file_that_keeps_less_than_half_of_what_was_held_is_another_one(tmp_path: Path) -> None:
    holds = entries("old.svg", *(found("contour-open", 10.0 * index) for index in range(4)))
    two = report(tmp_path / "new.svg", found("contour-open", 10.0), found("contour-open", 20.0))
    assert len(compared(tmp_path, holds, two).moved) == 1
    one = report(tmp_path / "new.svg", found("contour-open", 10.0), found("contour-open", 75.0))
    answer = compared(tmp_path, holds, one)
    assert (dict(answer.moved), len(answer.not_found)) == ({}, 4)


def test_of_many_files_with_the_same_fault_the_name_tells_which_was_moved(tmp_path: Path) -> None:
    # All that is held of each is that no cut line was found: the same everywhere.
    names = [f"{number}.svg" for number in range(MOST_ALIKE + 20)]
    holds = [one for name in names for one in entries(f"old/{name}", found("step-missing"))]
    reports = [report(tmp_path / "new" / name, found("step-missing")) for name in names]
    answer = compared(tmp_path, holds, *reports)
    assert {new.removeprefix("new/"): old for new, old in answer.moved.items()} == {
        name: f"old/{name}" for name in names
    }
    assert answer.not_found == ()
    stranger = report(tmp_path / "stranger.svg", found("step-missing"))
    assert dict(compared(tmp_path, holds, stranger).moved) == {}


def test_each_file_that_went_is_found_again_once(tmp_path: Path) -> None:
    holds = entries("old.svg", found("contour-open", 10.0))
    reports = [report(tmp_path / name, found("contour-open", 10.0)) for name in ("1.svg", "2.svg")]
    answer = compared(tmp_path, holds, *reports)
    assert dict(answer.moved) == {"1.svg": "old.svg"}
    assert [next(one.findings()).known for one in answer.reports] == ["baseline", None]


def test_what_a_hostile_baseline_names_is_only_asked_for(tmp_path: Path) -> None:
    holds = [
        one for name in ("x" * 5000, "a\0b", "/", "..") for one in entries(name, found("contour-open", 1.0))
    ]
    answer = compared(tmp_path, holds, report(tmp_path / "a.svg"))
    assert {one.path for one in answer.not_found} == {"x" * 5000, "a\0b"}
