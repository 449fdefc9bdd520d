"""``check --baseline`` as a person runs it: what is known does not count, what is gone is told, rewriting takes out alone."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest
import resaved
from click.testing import CliRunner, Result

from preflight.cli import main

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"

SHEET = """<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">
<rect x="1" y="1" width="88" height="58" fill="#f4a261"/>
<g id="Kiss_Cut" fill="none" stroke="#000" stroke-width="0.1">
<path d="M10 10H25V30H10V{first}"/><path d="M35 10H50V30H35V{second}"/>{more}</g></svg>"""
THIRD = '<path d="M60 10H75V30H60V13"/>'


def sheet(first: str = "11", second: str = "12", more: str = "") -> str:
    """A sheet with an open contour for each number; ``z`` closes one."""
    closed = {"z": "10z"}
    return SHEET.format(first=closed.get(first, first), second=closed.get(second, second), more=more)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with a sheet that has two open contours, and a baseline that holds them."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "art").mkdir()
    (tmp_path / "art" / "a.svg").write_text(sheet())
    assert check("art/a.svg", "--write-baseline").exit_code == 0
    return tmp_path


def check(*words: str, baseline: str = "known.json") -> Result:
    return CliRunner().invoke(main, ["check", *words, "--baseline", baseline])


def held(path: Path) -> list[dict[str, Any]]:
    return json.loads(path.read_text("utf-8"))["findings"]  # type: ignore[no-any-return]


def report(*words: str) -> dict[str, Any]:
    return json.loads(check(*words, "--format", "json").stdout)  # type: ignore[no-any-return]


def test_a_baseline_is_written_once_and_what_it_holds_does_not_count(shop: Path) -> None:
    assert [(one["path"], one["rule"]) for one in held(shop / "known.json")] == [
        ("art/a.svg", "contour-open"),
        ("art/a.svg", "contour-open"),
    ]
    done = check("art/a.svg")
    assert (done.exit_code, done.stderr) == (0, "")
    told = report("art/a.svg")
    findings = told["files"][0]["pages"][0]["findings"]
    assert [one["known"] for one in findings] == ["baseline", "baseline"]
    assert (told["counts"]["error"], told["counts"]["known"]) == (0, 2)
    assert told["baseline"] == {"path": "known.json", "held": 2, "not_found": []}
    assert CliRunner().invoke(main, ["check", "art/a.svg"]).exit_code == 1


def test_a_new_fault_counts(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(sheet(more=THIRD))
    told = report("art/a.svg")
    assert [one["known"] for one in told["files"][0]["pages"][0]["findings"]] == [
        "baseline",
        "baseline",
        None,
    ]
    assert check("art/a.svg").exit_code == 1


def test_what_is_mended_is_told_and_writing_takes_it_out(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(sheet(first="z"))
    told = report("art/a.svg")
    assert [one["bounds_mm"] for one in told["baseline"]["not_found"]] == [[10.0, 10.0, 10.0, 11.0]]
    done = check("art/a.svg")
    assert "1 is no longer found: take it out with --write-baseline" in " ".join(done.stdout.split())
    assert len(held(shop / "known.json")) == 2
    done = check("art/a.svg", "--write-baseline")
    assert "1 finding taken out" in done.stderr
    assert [one["bounds_mm"] for one in held(shop / "known.json")] == [[35.0, 10.0, 35.0, 12.0]]
    assert report("art/a.svg")["baseline"] == {"path": "known.json", "held": 1, "not_found": []}


def test_writing_again_adds_nothing_and_renewing_does(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(sheet(first="z", more=THIRD))
    assert check("art/a.svg", "--write-baseline").exit_code == 1
    assert [one["bounds_mm"][0] for one in held(shop / "known.json")] == [35.0]
    assert check("art/a.svg", "--renew-baseline").exit_code == 0
    assert [one["bounds_mm"][0] for one in held(shop / "known.json")] == [35.0, 60.0]


def test_a_file_that_needs_no_change_is_left_alone(shop: Path) -> None:
    before = (shop / "known.json").stat().st_mtime_ns
    for option in ("--write-baseline", "--renew-baseline"):
        assert "stays as it is" in check("art/a.svg", option).stderr
    assert (shop / "known.json").stat().st_mtime_ns == before


def test_other_files_keep_what_is_held_of_them(shop: Path) -> None:
    (shop / "art" / "b.svg").write_text(sheet(more=THIRD))
    for option in ("--write-baseline", "--renew-baseline"):
        check("art/b.svg", option)
        assert sum(one["path"] == "art/a.svg" for one in held(shop / "known.json")) == 2
    assert sum(one["path"] == "art/b.svg" for one in held(shop / "known.json")) == 3
    assert report("art/b.svg")["baseline"]["not_found"] == []


def test_a_rule_that_did_not_judge_loses_nothing(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(sheet(first="z", second="z"))
    assert report("art/a.svg", "--ignore", "contour-open")["baseline"]["not_found"] == []
    for option in ("--write-baseline", "--renew-baseline"):
        check("art/a.svg", option, "--select", "corner-tight")
        assert len(held(shop / "known.json")) == 2


def test_a_file_that_cannot_be_read_loses_nothing(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text("<svg")
    for option in ("--write-baseline", "--renew-baseline"):
        assert check("art/a.svg", option).exit_code == 2
        assert len(held(shop / "known.json")) == 2


@pytest.mark.parametrize("to", ["art/renamed.svg", "moved/a.svg", "moved/renamed.svg"])
def test_a_file_that_was_moved_is_known_again(shop: Path, to: str) -> None:
    (shop / to).parent.mkdir(exist_ok=True)
    (shop / "art" / "a.svg").rename(shop / to)
    done = check(to)
    assert done.exit_code == 0
    assert f"{to} is taken for art/a.svg" in done.stderr
    assert report(to)["baseline"]["not_found"] == []
    check(to, "--write-baseline")
    assert [one["path"] for one in held(shop / "known.json")] == [to, to]


def test_a_copy_is_no_move_and_a_deleted_file_is_told(shop: Path) -> None:
    shutil.copyfile(shop / "art" / "a.svg", shop / "art" / "copy.svg")
    assert check("art/copy.svg").exit_code == 1
    (shop / "art" / "a.svg").unlink()
    (shop / "art" / "copy.svg").write_text(sheet("z", "z"))
    assert len(report("art/copy.svg")["baseline"]["not_found"]) == 2
    check("art/copy.svg", "--write-baseline")
    assert held(shop / "known.json") == []


def test_two_files_moved_at_once_are_told_apart(shop: Path) -> None:
    (shop / "art" / "b.svg").write_text(sheet(second="19"))
    check("art/a.svg", "art/b.svg", "--renew-baseline")
    (shop / "art" / "a.svg").rename(shop / "art" / "1.svg")
    (shop / "art" / "b.svg").rename(shop / "art" / "2.svg")
    done = check("art/2.svg", "art/1.svg")
    assert done.exit_code == 0
    assert "art/1.svg is taken for art/a.svg" in done.stderr
    assert "art/2.svg is taken for art/b.svg" in done.stderr


def test_paths_are_written_from_the_baselines_folder(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (shop / "ci").mkdir()
    check("art/a.svg", "--write-baseline", baseline="ci/known.json")
    assert {one["path"] for one in held(shop / "ci" / "known.json")} == {"../art/a.svg"}
    monkeypatch.chdir(shop / "art")
    for name in ("a.svg", str(shop / "art" / "a.svg"), "../art/a.svg"):
        assert check(name, baseline="../ci/known.json").exit_code == 0
    assert check("a.svg", baseline=str(shop / "known.json")).exit_code == 0


def test_a_file_that_is_named_in_two_ways_is_held_once(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(sheet(first="z", more=THIRD))
    names = ["art/a.svg", "art/../art/a.svg"]
    assert len(report(*names)["baseline"]["not_found"]) == 1
    check(*names, "--renew-baseline")
    assert len((shop / "known.json").read_text("utf-8").splitlines()) == 4 + 2 + 2
    assert check(*names).exit_code == 0


def test_a_linked_folder_is_the_folder_it_points_to(shop: Path) -> None:
    (shop / "link").symlink_to(shop / "art", target_is_directory=True)
    assert check("link/a.svg").exit_code == 0


def test_letters_parted_from_their_accents_are_the_same_name(shop: Path) -> None:
    composed, parted = "art/caf\u00e9.svg", "art/cafe\u0301.svg"
    (shop / composed).write_text(sheet())
    check(composed, "--renew-baseline")
    (shop / composed).rename(shop / parted)
    done = check(parted)
    assert (done.exit_code, done.stderr) == (0, "")


def test_a_waived_finding_needs_no_baseline_and_the_baseline_says_so(shop: Path) -> None:
    waived = sheet().replace('d="M10', 'data-preflight-waive="contour-open: slit for the string" d="M10')
    (shop / "art" / "a.svg").write_text(waived)
    told = report("art/a.svg")
    assert (told["counts"]["waived"], told["counts"]["known"]) == (1, 1)
    assert len(told["baseline"]["not_found"]) == 1
    check("art/a.svg", "--renew-baseline")
    assert len(held(shop / "known.json")) == 1


def test_a_waiver_without_a_reason_waives_nothing_and_can_be_known(shop: Path) -> None:
    (shop / "art" / "a.svg").write_text(
        sheet().replace('d="M10', 'data-preflight-waive="contour-open" d="M10')
    )
    findings = report("art/a.svg")["files"][0]["pages"][0]["findings"]
    assert [(one["rule"], one["known"]) for one in findings] == [
        ("contour-open", "baseline"),
        ("contour-open", "baseline"),
        ("waiver-faulty", None),
    ]


@pytest.mark.parametrize("name", ["faulty.svg", "faulty.pdf"])
def test_all_findings_of_the_demo_are_known_again_after_another_program_saved_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    data = (DEMO / name).read_bytes()
    Path(name).write_bytes(data)
    assert check(name, "--write-baseline").exit_code == 0
    Path(name).write_bytes(
        resaved.svg_in_px(resaved.svg_renamed(data), 2)
        if name.endswith("svg")
        else resaved.pdf_rounded(data, 2)
    )
    told = report(name)
    assert (told["counts"]["error"], told["counts"]["warning"], told["counts"]["note"]) == (0, 0, 0)
    assert told["counts"]["known"] == told["baseline"]["held"] == 24
    assert told["baseline"]["not_found"] == []


def test_places_that_jump_over_the_edge_of_a_cell_are_known_again(shop: Path) -> None:
    # Edges of cells lie at 0.3325 mm (preflight/fingerprints.py); the open ends' middle crosses one.
    (shop / "art" / "a.svg").write_text(sheet(first="10.66"))
    check("art/a.svg", "--renew-baseline")
    before = {one["fingerprint"] for one in held(shop / "known.json")}
    (shop / "art" / "a.svg").write_text(sheet(first="10.67"))
    told = report("art/a.svg")
    after = {one["fingerprint"] for one in told["files"][0]["pages"][0]["findings"]}
    assert len(before & after) == 1
    assert told["counts"]["known"] == 2


def test_html_and_text_show_them_apart(shop: Path) -> None:
    done = check("art/a.svg", "--report", "all.html")
    assert "contour-open 2 (in the baseline)" in done.stdout
    assert done.stdout.splitlines()[-1] == "1 file: 0 errors, 0 warnings, 0 notes, 2 known"
    assert 'data-kind="known"' in (shop / "all.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--write-baseline"], "--baseline"),
        (["--renew-baseline"], "--baseline"),
        (["--baseline", "known.json", "--write-baseline", "--renew-baseline"], "one of them"),
        (["--baseline", "known.json", "--write-baseline", "--changed-only"], "--changed-only"),
        (["--baseline", "known.json", "--baseline", "other.json"], "one value"),
        (["--baseline", "other.json"], "--write-baseline"),
        (["--baseline", "art"], "art"),
        (["--baseline", "art", "--write-baseline"], "folder"),
        (["--baseline", "nowhere/known.json", "--write-baseline"], "make it first"),
        (["--baseline", "art/a.svg"], "right file"),
        (["--baseline", "art/a.svg", "--write-baseline"], "right file"),
        (["--baseline", "art/a.svg", "--renew-baseline"], "right file"),
    ],
)
def test_what_cannot_be_done_is_said_before_any_work(shop: Path, words: list[str], told: str) -> None:
    before = {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()}
    done = CliRunner().invoke(main, ["check", "art/a.svg", *words])
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in done.stderr
    assert {path: path.read_bytes() for path in shop.rglob("*") if path.is_file()} == before


def test_a_broken_baseline_is_refused_and_can_be_renewed(shop: Path) -> None:
    path = shop / "known.json"
    path.write_text(path.read_text("utf-8").replace("]\n}", "<<<<<<< HEAD\n]\n}"), encoding="utf-8")
    done = check("art/a.svg", "--write-baseline")
    assert done.exit_code == 2
    assert "merge" in done.stderr
    done = check("art/a.svg", "--renew-baseline")
    assert done.exit_code == 0
    assert "the files of this run alone" in done.stderr
    assert len(held(path)) == 2


@pytest.mark.skipif(os.name == "nt", reason="names on Windows are always text")
@pytest.mark.parametrize("kind", ["json", "text", "html", "sarif", "junit", "gitlab", "github"])
def test_a_file_whose_name_is_no_text_may_be_gone(kind: str, shop: Path) -> None:
    strange = os.fsdecode(b"gull\xff.svg")
    try:
        (shop / strange).write_text(sheet())
    except OSError:
        pytest.skip("this file system takes no such name")
    assert check(strange, "--write-baseline", baseline="strange.json").exit_code == 0
    (shop / strange).unlink()
    (shop / "other.svg").write_text(sheet("z", "z"))
    done = check("other.svg", "--format", kind, baseline="strange.json")
    assert done.exception is None or isinstance(done.exception, SystemExit)
    assert done.exit_code == 0
