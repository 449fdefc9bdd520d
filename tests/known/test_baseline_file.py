"""The file of a baseline: what is written comes back, lines merge, and what is wrong with one is told with its mend."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.known.baseline_file import BaselineError, read, written
from preflight.reports.report import HeldFinding

TEXT = st.text(max_size=12)
NUMBER = st.floats(-1e4, 1e4).map(lambda value: round(value, 1) + 0.0)
HELD = st.builds(
    HeldFinding,
    path=TEXT,
    page=st.integers(1, 9),
    rule=TEXT,
    subject=st.none() | TEXT,
    layers=st.lists(TEXT, max_size=3).map(tuple),
    bounds_mm=st.none() | st.tuples(NUMBER, NUMBER, NUMBER, NUMBER),
    fingerprint=st.uuids().map(lambda one: one.hex),
)


def one(number: int, path: str = "sheets/a.svg") -> HeldFinding:
    return HeldFinding(
        path=path,
        page=1,
        rule="contour-open",
        subject=None,
        layers=("Kiss cut",),
        bounds_mm=(float(number), 1.0, 2.0, 3.0),
        fingerprint=f"{number:032x}",
    )


@given(st.lists(HELD, max_size=6, unique_by=lambda held: held.fingerprint))
def test_what_is_written_comes_back_and_the_order_does_not_matter(findings: list[HeldFinding]) -> None:
    data = written(findings)
    assert data == written(findings[::-1])
    document = json.loads(data)
    assert set(document) == {"format", "version", "findings"}
    assert len(data.decode().splitlines()) >= len(findings) + 5 - (not findings)


@given(findings=st.lists(HELD, max_size=4, unique_by=lambda held: held.fingerprint))
def test_reading_gives_the_findings(
    findings: list[HeldFinding], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("held") / "known.json"
    path.write_bytes(written(findings))
    assert sorted(read(path), key=str) == sorted(findings, key=str)


def test_one_finding_more_is_one_line_more() -> None:
    without = written([one(1), one(3)]).splitlines()
    within = written([one(1), one(2), one(3)]).splitlines()
    assert [line for line in within if line not in without] == [within[5]]
    assert [line for line in without if line not in within] == []


def test_git_merges_what_two_branches_did_to_it(tmp_path: Path) -> None:
    base = [one(number, f"{letter}.svg") for letter in "adgj" for number in range(3)]
    ours = [held for held in base if (held.path, held.fingerprint) != ("a.svg", f"{1:032x}")]
    theirs = [*base, one(1, "h.svg"), one(2, "h.svg")]
    for name, findings in (("base", base), ("ours", ours), ("theirs", theirs)):
        (tmp_path / name).write_bytes(written(findings))
    subprocess.run(["git", "merge-file", "ours", "base", "theirs"], cwd=tmp_path, check=True, timeout=60)
    assert set(read(tmp_path / "ours")) == set(ours) | set(theirs[-2:])


def test_a_path_that_is_no_text_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "known.json"
    path.write_bytes(written([one(1, "bad\udcff.svg")]))
    assert read(path)[0].path == "bad\udcff.svg"


def test_windows_line_ends_and_its_mark_of_utf_8_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "known.json"
    path.write_bytes(b"\xef\xbb\xbf" + written([one(1)]).replace(b"\n", b"\r\n"))
    assert read(path) == (one(1),)


def test_what_a_merge_leaves_twice_counts_once(tmp_path: Path) -> None:
    path = tmp_path / "known.json"
    lines = written([one(1), one(2)]).decode().splitlines()
    path.write_text("\n".join([*lines[:5], lines[4], *lines[5:]]), encoding="utf-8")
    assert read(path) == (one(1), one(2))


CONFLICT = written([one(1)]).decode().replace("]\n}", "<<<<<<< HEAD\n=======\n>>>>>>> branch\n]\n}")
ENTRY = json.loads(written([one(1)]))["findings"][0]


def document(**changes: object) -> str:
    return json.dumps({"format": "artwork-preflight baseline", "version": 1, "findings": []} | changes)


@pytest.mark.parametrize(
    ("text", "told", "broken"),
    [
        (CONFLICT, ("known.json:6", "merge", "both sides"), True),
        (written([one(1)]).decode()[:-4], ("known.json:6", "JSON"), True),
        (document(version=2), ("version 2", "version 1"), True),
        (document(version=None), ("version None",), True),
        (document(findings={}), ('"findings"',), True),
        (document(findings=[{}]), ("finding 1", "path"), True),
        (document(findings=[ENTRY, ENTRY | {"page": "one"}]), ("finding 2", "page"), True),
        (document(findings=[ENTRY | {"bounds_mm": [1, 2]}]), ("finding 1", "bounds_mm"), True),
        (document(findings=[ENTRY | {"reason": "old"}]), ("finding 1", "reason"), True),
        (document(findings=[ENTRY | {"bounds_mm": [1, 2, 3, float("inf")]}]), ("finding 1", "finite"), True),
        (document(findings=["x"]), ("finding 1",), True),
        (document(format="another"), ("no baseline", "right file"), False),
        ("[]", ("no baseline", "right file"), False),
        ("", ("not JSON", "right file"), False),
        ("<svg/>", ("not JSON", "right file"), False),
        ("[" * 100_000, ("known.json", "deep"), False),
    ],
)
def test_what_is_no_baseline_is_told_with_its_place_and_mend(
    tmp_path: Path, text: str, told: tuple[str, ...], broken: bool
) -> None:
    path = tmp_path / "known.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BaselineError) as raised:
        read(path)
    message = str(raised.value)
    assert [words for words in (str(path), *told) if words not in message] == []
    assert raised.value.broken is broken
    assert ("--renew-baseline" in message) is broken


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", None])
def test_bytes_that_are_no_text_and_a_file_that_is_not_there(tmp_path: Path, data: bytes | None) -> None:
    path = tmp_path / "known.json"
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(BaselineError, match=r"right file|--write-baseline"):
        read(path)
    with pytest.raises(BaselineError, match="cannot be read"):
        read(tmp_path)
