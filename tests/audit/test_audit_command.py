"""`preflight audit` as a person runs it: answers for every file, only what changed is looked at again, clear refusals."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import zipfile
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from audit_archive import BROKEN, TROUBLE, audit, clean, faulty, with_trouble, written
from PIL import Image

from preflight.audit.checking import Checker
from preflight.audit.messages import Answer, Setup, Task
from preflight.audit.source import Away, LocalFolder, source_of
from preflight.audit.store import Store
from preflight.readers.errors import Unreadable

FILES: dict[str, str | bytes] = {
    "2025/tea-room.svg": clean(),
    "2026/gull.svg": faulty(),
    "2026/gull copy.svg": faulty(),
    "2026/torn.svg": BROKEN,
    "2026/empty.pdf": b"",
    "readme.txt": "no artwork",
}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return written(tmp_path / "archive", FILES)


def contents(into: Path) -> dict[str, list[Any]]:
    """Every row of every table of the store."""
    with closing(sqlite3.connect(into / "audit.sqlite")) as db:
        tables = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {table: sorted(map(repr, db.execute(f'SELECT * FROM "{table}"'))) for table in tables}  # noqa: S608


def looked_at(done: subprocess.CompletedProcess[str]) -> int:
    """How many files the command says it had to check."""
    (line,) = [line for line in done.stderr.splitlines() if "to check" in line] or ["preflight: 0 of"]
    return int(line.removeprefix("preflight: ").split()[0])


def test_every_file_has_an_answer(root: Path, tmp_path: Path) -> None:
    done = audit(root, "--into", tmp_path / "kept", "-j", "2")
    assert done.returncode == 1
    assert looked_at(done) == 5
    assert "5 files: 2 errors" in done.stdout
    assert "2 unreadable" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines() if not line.startswith("Overview")) <= 80
    lines = [json.loads(line) for line in (tmp_path / "kept/findings.jsonl").read_text().splitlines()]
    assert [(one["path"], one["rule"]) for one in lines] == [
        ("2026/empty.pdf", "unreadable"),
        ("2026/gull copy.svg", "contour-open"),
        ("2026/gull.svg", "contour-open"),
        ("2026/torn.svg", "unreadable"),
    ]
    with (tmp_path / "kept/findings.csv").open(newline="", encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    assert [(row["path"], row["rule"]) for row in table] == [(one["path"], one["rule"]) for one in lines]
    assert float(table[1]["measured"]) == pytest.approx(lines[1]["measured"])
    assert len(list((tmp_path / "kept/reports").glob("*.html"))) == 2


def test_nothing_is_done_twice(root: Path, tmp_path: Path) -> None:
    audit(root, "--into", tmp_path / "kept")
    before = contents(tmp_path / "kept")
    again = audit(root, "--into", tmp_path / "kept")
    assert looked_at(again) == 0
    assert again.returncode == 1
    assert contents(tmp_path / "kept") == before


def test_a_run_that_was_ended_before_it_told_of_itself_is_told_the_next_time(
    root: Path, tmp_path: Path
) -> None:
    audit(root, "--into", tmp_path / "kept")
    whole = (tmp_path / "kept/findings.csv").read_bytes()
    (tmp_path / "kept/findings.csv").write_text("of an earlier run")
    with closing(sqlite3.connect(tmp_path / "kept/audit.sqlite", isolation_level=None)) as db:
        db.execute("UPDATE audit SET value = 0 WHERE key = 'told'")
    audit(root, "--into", tmp_path / "kept")
    assert (tmp_path / "kept/findings.csv").read_bytes() == whole


def change_nothing(root: Path) -> None:
    os.utime(root / "2025/tea-room.svg", (1, 1))


def change_content(root: Path) -> None:
    (root / "2025/tea-room.svg").write_text(faulty())


def add_waivers(root: Path) -> None:
    text = '[[waivers]]\nrule = "contour-open"\nreason = "slit for the string"\n'
    (root / "2026/gull.waivers.toml").write_text(text)


def add_file(root: Path) -> None:
    shutil.copy(root / "2026/gull.svg", root / "2026/third.svg")


def take_away(root: Path) -> None:
    (root / "2026/gull.svg").unlink()


def add_profile(root: Path) -> None:
    (root / "preflight.toml").write_text('[rules.contour-open]\nlevel = "warning"\n')


def add_profile_below(root: Path) -> None:
    (root / "2025/preflight.toml").write_text('[rules.contour-open]\nlevel = "warning"\n')


@pytest.mark.parametrize(
    ("change", "due", "errors"),
    [
        (change_nothing, 1, 2),
        (change_content, 1, 3),
        (add_waivers, 1, 1),
        (add_file, 1, 3),
        (take_away, 0, 1),
        (add_profile, 5, 0),
        (add_profile_below, 1, 2),
    ],
)
def test_only_what_changed_is_looked_at_again(
    change: Any, due: int, errors: int, root: Path, tmp_path: Path
) -> None:
    audit(root, "--into", tmp_path / "kept")
    change(root)
    done = audit(root, "--into", tmp_path / "kept", "--format", "json")
    assert looked_at(done) == due
    assert json.loads(done.stdout)["run"]["error"] == errors
    fresh = audit(root, "--into", tmp_path / "fresh", "--format", "json")
    assert json.loads(fresh.stdout)["run"]["error"] == errors
    assert contents(tmp_path / "kept")["files"] == contents(tmp_path / "fresh")["files"]


def test_a_linked_image_that_comes_or_goes_brings_its_artwork_back(tmp_path: Path) -> None:
    art = clean().replace("</svg>", '<image href="photo.png" x="9" y="9" width="9" height="9"/></svg>')
    root = written(tmp_path / "archive", {"a.svg": art, "b.svg": clean()})
    audit(root, "--into", tmp_path / "kept")
    shutil.copy(Path(__file__), root / "photo.png")  # some file, if no picture
    assert looked_at(audit(root, "--into", tmp_path / "kept")) == 1
    (root / "photo.png").unlink()
    assert looked_at(audit(root, "--into", tmp_path / "kept")) == 1


def test_a_file_that_took_too_long_has_another_try_when_it_may_take_longer(tmp_path: Path) -> None:
    root = with_trouble(written(tmp_path / "archive", {"a.svg": clean("sleep"), "b.svg": clean()}))
    words = (root, "--into", tmp_path / "kept")
    assert "1 unreadable" in audit(*words, "--time-limit", "4").stdout
    assert looked_at(audit(*words, "--time-limit", "4")) == 0
    assert looked_at(audit(*words, "--time-limit", "3")) == 1


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux holds a process to a limit")
def test_a_file_that_took_too_much_memory_has_another_try_when_it_may_take_more(tmp_path: Path) -> None:
    root = with_trouble(written(tmp_path / "archive", {"a.svg": clean("eat"), "b.svg": clean()}))
    words = (root, "--into", tmp_path / "kept")
    assert "1 unreadable" in audit(*words, "--memory-limit", "1 GB").stdout
    assert looked_at(audit(*words, "--memory-limit", "1 GB", "--time-limit", "100")) == 0
    more = audit(*words, "--memory-limit", "8 GB")
    assert looked_at(more) == 1
    assert "0 unreadable" in more.stdout


def draw_another_image(root: Path) -> None:
    Image.new("RGB", (30, 20), "#2a9d8f").save(root / "photo.png")


def judge_by_another_profile(root: Path) -> None:
    (root / "preflight.toml").write_text('[rules.text-small]\npositive = "5.1 pt"\n')


@pytest.mark.parametrize("change", [draw_another_image, judge_by_another_profile, add_waivers])
def test_reports_of_single_files_are_made_anew_when_what_they_tell_changed(
    change: Any, tmp_path: Path
) -> None:
    """Also where the findings are the same: a page draws linked images, and tells the profile and its limits."""
    art = faulty().replace("</svg>", '<image href="photo.png" x="9" y="9" width="9" height="9"/></svg>')
    root = written(tmp_path / "archive", {"2026/gull.svg": art})
    Image.new("RGB", (30, 20), "#f4a261").save(root / "2026/photo.png")
    audit(root, "--into", tmp_path / "kept")
    (before,) = (tmp_path / "kept/reports").iterdir()
    change(root if change is not draw_another_image else root / "2026")
    audit(root, "--into", tmp_path / "kept")
    (after,) = (tmp_path / "kept/reports").iterdir()
    assert after.name != before.name
    assert after.name in (tmp_path / "kept/overview.html").read_text("utf-8")


def test_what_kept_a_file_from_being_read_and_does_not_lie_in_it_is_tried_again(tmp_path: Path) -> None:
    """The file itself looks the same to a run under which it can be had."""
    root = written(tmp_path / "archive", {"a.svg": clean(), "b.svg": clean()})
    audit(root, "--into", tmp_path / "kept")
    stamp = source_of(str(root)).stamp("a.svg")
    with closing(Store(tmp_path / "kept/audit.sqlite", str(root.resolve()))) as store:
        store.begin([("a.svg", "2026-11")], [], [])
        away = Away("It cannot be opened: Input/output error")
        store.keep(refused(away, Task("a.svg", stamp or ""), root), store.rows()["b.svg"].judged, None)
        store.finish()
    done = audit(root, "--into", tmp_path / "kept")
    assert looked_at(done) == 1
    assert "0 unreadable" in done.stdout


def refused(problem: Unreadable, task: Task, root: Path) -> Answer:
    """The answer to a file whose place refuses it."""
    checker = Checker(Setup(str(root), str(root)))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(LocalFolder, "read", lambda *_: (_ for _ in ()).throw(problem))
        return checker.answer(task)


def test_an_archive_is_audited_where_it_lies(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "2026.zip", "w") as archive:
        for name, content in FILES.items():
            archive.writestr(name, content)
    done = audit(tmp_path / "2026.zip", "--into", tmp_path / "kept", "-j", "1")
    assert (done.returncode, looked_at(done)) == (1, 5)
    assert "5 files: 2 errors" in done.stdout
    assert looked_at(audit(tmp_path / "2026.zip", "--into", tmp_path / "kept")) == 0


def test_patterns_of_a_profile_are_compared_with_paths_from_its_folder(root: Path, tmp_path: Path) -> None:
    override = (
        '[[overrides]]\nfiles = ["2026/*"]\nrules = ["contour-open"]\nlevel = "note"\nreason = "old work"\n'
    )
    (root / "preflight.toml").write_text(override)
    done = audit(root, "--into", tmp_path / "kept", "--format", "json")
    assert (json.loads(done.stdout)["run"]["error"], json.loads(done.stdout)["run"]["note"]) == (0, 2)


OF_2026 = """[[overrides]]
files = ["{}"]
rules = ["contour-open"]
level = "note"
reason = "old work"
"""


@pytest.mark.parametrize(("glob", "due", "notes"), [("2026/*", 5, 2), ("gull*", 0, 2)])
def test_a_profile_that_is_moved_fits_other_files(
    glob: str, due: int, notes: int, root: Path, tmp_path: Path
) -> None:
    """Paths are written from its folder; names are the same from everywhere."""
    (tmp_path / "shop.toml").write_text(OF_2026.format(glob))
    audit(root, "--into", tmp_path / "kept", "--profile", tmp_path / "shop.toml")
    (tmp_path / "shop.toml").rename(root / "shop.toml")
    done = audit(root, "--into", tmp_path / "kept", "--profile", root / "shop.toml", "--format", "json")
    assert looked_at(done) == due
    assert json.loads(done.stdout)["run"]["note"] == notes


def test_paths_in_an_archive_begin_where_the_audit_was_started(tmp_path: Path) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / "preflight.toml").write_text(OF_2026.format("2026/*"))
    with zipfile.ZipFile(tmp_path / "2026.zip", "w") as archive:
        archive.writestr("2026/gull.svg", faulty())
    words = (tmp_path / "2026.zip", "--into", tmp_path / "kept", "--format", "json")
    assert json.loads(audit(*words, folder=tmp_path).stdout)["run"]["note"] == 1
    elsewhere = audit(*words, folder=tmp_path / "inner")
    assert (looked_at(elsewhere), json.loads(elsewhere.stdout)["run"]["note"]) == (1, 0)


def test_what_the_profile_leaves_out_is_left_out_and_said(root: Path, tmp_path: Path) -> None:
    audit(root, "--into", tmp_path / "kept")
    (root / "preflight.toml").write_text('[files]\nexclude = ["2025/**", "torn.svg"]\n')
    done = audit(root, "--into", tmp_path / "kept")
    assert "2 files left out" in done.stderr
    assert "3 files: 2 errors" in done.stdout


def test_questions_are_answered_without_checking(root: Path, tmp_path: Path) -> None:
    audit(root, "--into", tmp_path / "kept")
    done = audit("--into", tmp_path / "kept", "--query", "rule=contour-open")
    assert (done.returncode, done.stdout, done.stderr) == (0, "2026/gull copy.svg\n2026/gull.svg\n", "")
    asked = audit("--into", tmp_path / "kept", "--query", "colour")
    assert (asked.returncode, "key=value" in asked.stderr) == (2, True)
    told = audit(root, "--into", tmp_path / "kept", "--query", "status=unreadable", "--format", "json")
    assert [one["path"] for one in json.loads(told.stdout)] == ["2026/empty.pdf", "2026/torn.svg"]


def test_questions_know_the_rules_of_a_profile_and_roots_that_are_no_folder(tmp_path: Path) -> None:
    rule = TROUBLE.replace("return ()", "return [self.finding('Found.', 'Mend it.')]")
    written(tmp_path / "shop", {"preflight.toml": '[plugins]\nrule_files = ["t.py"]\n', "t.py": rule})
    with zipfile.ZipFile(tmp_path / "2026.zip", "w") as archive:
        archive.writestr("a.svg", clean())
    url = f"zip://::{(tmp_path / '2026.zip').as_uri()}"
    words = (url, "--into", tmp_path / "kept")
    assert audit(*words, folder=tmp_path / "shop").returncode == 0
    done = audit(*words, "--query", "rule=harbour-trouble", folder=tmp_path)
    assert (done.stdout, done.stderr) == ("a.svg\n", "")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "Name what to audit"),
        (["absent"], "no such folder"),
        (["archive/2026/gull.svg"], "is a file"),
        (["archive", "--profile", "absent.toml"], "absent.toml"),
        (["archive", "--select", "contour-opn"], "contour-open"),
        (["archive", "--memory-limit", "much"], "'2 GB'"),
        (["archive", "--scheduler", "a", "--cluster", "local:2"], "give one of them"),
        (["archive", "--cluster", "local:none"], "local:4"),
        (["archive", "--cluster", "local:0"], "local:4"),
        (["archive", "--cluster", "local:-1"], "local:4"),
        (["archive", "--cluster", "local:"], "local:4"),
        (["archive", "--cluster", "local:257"], "256"),
        (["archive", "--cluster", "127.0.0.1:8786"], "--scheduler"),
        (["--query", "rule=contour-open"], "no audit yet"),
        (["--query", "colour"], "no audit yet"),
        (["archive", "--time-limit", "inf"], "--time-limit"),
        (["archive", "--into", "archive/readme.txt"], "readme.txt"),
    ],
)
def test_what_cannot_be_done_ends_with_2_and_says_why(
    words: list[str], told: str, root: Path, tmp_path: Path
) -> None:
    done = audit(*words, folder=tmp_path)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="names on Windows are always text")
@pytest.mark.parametrize("strange", ["archive", "profile", "here"])
def test_a_name_that_is_no_text_is_refused(strange: str, tmp_path: Path) -> None:
    name = os.fsdecode(b"july\xff")
    try:
        root = written(tmp_path / name / "archive", {"a.svg": clean(), "shop.toml": ""})
    except OSError:
        pytest.skip("this file system takes no such name")
    written(tmp_path / "plain", {"a.svg": clean()})
    words = {
        "archive": [root],
        "profile": [tmp_path / "plain", "--profile", root / "shop.toml"],
        "here": [tmp_path / "plain"],
    }[strange]
    folder = root if strange == "here" else tmp_path
    done = audit(*words, "--into", tmp_path / "kept", folder=folder)
    assert done.returncode == 2
    assert "july\\udcff" in done.stderr
    assert "rename it" in done.stderr
    assert "Traceback" not in done.stderr


def test_the_audit_of_another_folder_is_not_written_over(root: Path, tmp_path: Path) -> None:
    audit(root, "--into", tmp_path / "kept")
    written(tmp_path / "other", {"a.svg": clean()})
    done = audit(tmp_path / "other", "--into", tmp_path / "kept")
    assert done.returncode == 2
    assert "--into" in done.stderr


@pytest.mark.parametrize(
    "name", ["reports/offer.html", "pictures/2026/gull.png", "findings.csv", "overview.html"]
)
def test_what_somebody_else_put_there_is_neither_written_over_nor_taken_away(
    name: str, root: Path, tmp_path: Path
) -> None:
    mine = written(tmp_path / "mine", {name: "mine"}) / name
    done = audit(root, "--into", tmp_path / "mine")
    assert done.returncode == 2
    assert "no audit wrote it" in done.stderr
    assert mine.read_text() == "mine"


def test_the_folder_audited_is_not_the_audits_own(root: Path) -> None:
    done = audit(".", "--into", ".", folder=root)
    assert done.returncode == 2
    assert "is the folder that is audited" in done.stderr


def test_a_folder_without_artwork_is_in_order(tmp_path: Path) -> None:
    (tmp_path / "archive").mkdir()
    done = audit(tmp_path / "archive", "--into", tmp_path / "kept")
    assert done.returncode == 0
    assert "0 files" in done.stdout


def begun(root: Path, into: Path) -> subprocess.Popen[str]:
    """A shell that runs the tests behind `&` has them ignore Ctrl-C, and what they start after them: not here."""
    words = [sys.executable, "-m", "preflight", "audit", str(root), "--into", str(into), "-j", "2"]
    heeding = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    return subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=heeding
    )


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_ctrl_c_keeps_what_was_answered(tmp_path: Path) -> None:
    root = with_trouble(written(tmp_path / "archive", {"a.svg": faulty(), "b.svg": clean("sleep")}))
    with begun(root, tmp_path / "kept") as process:
        wait_for_answers(tmp_path / "kept", 1)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "goes on from there" in told
    assert "Traceback" not in told
    done = audit("--into", tmp_path / "kept", "--query", "rule=contour-open")
    assert done.stdout == "a.svg\n"


def wait_for_answers(into: Path, number: int) -> None:
    """Until so many answers are kept, or minutes are over."""
    for _ in range(3000):
        time.sleep(0.1)
        try:
            with closing(sqlite3.connect(f"{(into / 'audit.sqlite').as_uri()}?mode=ro", uri=True)) as db:
                if db.execute("SELECT count(*) FROM files WHERE NOT waiting").fetchone()[0] >= number:
                    return
        except sqlite3.Error:
            continue
    pytest.fail("no answer came")


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_killed_at_any_moment_it_ends_as_if_undisturbed(tmp_path: Path) -> None:
    """Moments at which so and so many answers are kept; ``tests/audit/kill_runs.py`` takes random ones."""
    files: dict[str, str | bytes] = {
        f"{n % 5}/{n}.svg": faulty(f"c{n}") if n % 2 else clean(f"c{n}") for n in range(60)
    }
    root = written(tmp_path / "archive", files | FILES)
    audit(root, "--into", tmp_path / "whole")
    for answered in (0, 1, 20, 45):
        with begun(root, tmp_path / "kept") as process:
            wait_for_answers(tmp_path / "kept", answered)
            process.kill()
    done = audit(root, "--into", tmp_path / "kept")
    assert looked_at(done) <= 65 - 45
    assert contents(tmp_path / "kept") == contents(tmp_path / "whole")
    assert (tmp_path / "kept/findings.csv").read_bytes() == (tmp_path / "whole/findings.csv").read_bytes()
