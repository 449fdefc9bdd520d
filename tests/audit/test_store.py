"""The store of an audit: what it holds, who may use it, and that another program reads it."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from preflight.audit.checking import unanswered
from preflight.audit.messages import Answer, FoundFault, Name, Task
from preflight.audit.reading import Reading
from preflight.audit.store import Judgement, Store, StoreError

JUDGEMENT = Judgement("j1", "0.1.0", "preflight_rules 0.1.0", "default", "sha256:0", "")
FAULT = FoundFault(
    1, "contour-open", "error", None, "Open.", "Close it.", (1, 2, 3, 4), 1.5, 0.01, "mm", "f" * 32
)


def answer(path: str, *, findings: tuple[FoundFault, ...] = (FAULT,), sha256: str = "s") -> Answer:
    return Answer(
        path=path,
        stamp="1 2",
        sha256=sha256,
        format="svg",
        report=b"packed",
        pages=1,
        counts=(len(findings), 0, 0, 2, 0),
        findings=findings,
        names=(Name("spot", "Tea Room Red"), Name("step", "kiss")),
    )


def one_run(store: Store, *answers: Answer, gone: tuple[str, ...] = ()) -> None:
    store.begin([(one.path, "2026-11") for one in answers], gone, [JUDGEMENT])
    for one in answers:
        store.keep(one, "j1", None)
    store.finish()


def test_an_answer_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        one_run(store, answer("a.svg"), answer("north/b.svg"))
        one_run(store, answer("a.svg", findings=(), sha256="other"))
    with closing(Reading(tmp_path / "s.sqlite")) as reading:
        assert [(one.path, one.folder, one.error, one.sha256) for one in reading.files()] == [
            ("a.svg", ".", 0, "other"),
            ("north/b.svg", "north", 1, "s"),
        ]
        assert [one.path for one in reading.findings()] == ["north/b.svg"]
        assert list(reading.worse_and_better()) == [("a.svg", 1, 0)]
        first, second = reading.runs()
        assert (first.files, first.error, first.not_checked, first.added, first.changed) == (2, 2, 4, 2, 0)
        assert (second.error, second.added, second.changed, second.removed) == (1, 0, 1, 0)
        (rule,) = reading.rules_of_run(first.number)
        assert (rule.rule, rule.findings, rule.files) == ("contour-open", 2, 2)


def test_what_is_there_no_more_leaves_no_row(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        one_run(store, answer("a.svg"), answer("b.svg"))
        one_run(store, gone=("a.svg",))
    with closing(sqlite3.connect(tmp_path / "s.sqlite")) as db:
        for table in ("files", "reports", "findings", "names"):
            assert {row[0] for row in db.execute(f"SELECT path FROM {table}")} == {"b.svg"}  # noqa: S608
        assert db.execute("SELECT removed FROM runs WHERE number = 2").fetchone() == (1,)


def test_a_run_that_was_not_finished_is_taken_up(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        store.begin([("a.svg", None), ("b.svg", None)], [], [JUDGEMENT])
        store.keep(answer("a.svg"), "j1", None)
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        assert store.open_run() == 1
        assert {path: row.waiting for path, row in store.rows().items()} == {"a.svg": False, "b.svg": True}
        one_run(store, answer("b.svg"))
        assert store.open_run() is None
    with closing(Reading(tmp_path / "s.sqlite")) as reading:
        assert [(one.number, one.files, one.added) for one in reading.runs()] == [(1, 2, 2)]


def test_content_that_is_the_same_keeps_its_answer(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        one_run(store, answer("a.svg"))
        one_run(store, Answer("a.svg", "9 9", same=True))
        row = store.rows()["a.svg"]
        assert (row.stamp, row.sha256, row.waiting) == ("9 9", "s", False)
    with closing(Reading(tmp_path / "s.sqlite")) as reading:
        assert [one.rule for one in reading.findings()] == ["contour-open"]
        assert reading.packed_report("a.svg") == b"packed"


def test_an_unreadable_file_counts_as_a_finding(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        one_run(store, unanswered(Task("a.svg", "1"), "It is empty", "Export it again."))
    with closing(Reading(tmp_path / "s.sqlite")) as reading:
        (one,) = reading.findings()
        assert (one.path, one.rule, one.message, one.hint) == (
            "a.svg",
            "unreadable",
            "It is empty",
            "Export it again.",
        )
        assert reading.runs()[-1].unreadable == 1


HOLDER = """
import sys
from pathlib import Path
from preflight.audit.store import Store
store = Store(Path(sys.argv[1]), "/root")
print("held", flush=True)
sys.stdin.read()
"""


def test_one_audit_at_a_time_and_none_after_a_kill(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    words = [sys.executable, "-c", HOLDER, str(path)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()
        with pytest.raises(StoreError, match="another audit is at work"):
            Store(path, "/root")
        holder.kill()
    Store(path, "/root").close()


@pytest.mark.parametrize(
    ("made", "told"),
    [
        ("something", "something else than an audit"),
        ("other root", "holds the audit of /root, not of /elsewhere"),
        ("other format", "another version"),
        ("no database", "cannot be used as the store"),
        ("folder", "cannot be used|cannot be written|unable to open"),
        ("folder in the place of the lock", "cannot be written"),
    ],
)
def test_what_is_no_store_of_this_audit_is_refused(made: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    if made == "something":
        with closing(sqlite3.connect(path)) as db:
            db.execute("CREATE TABLE orders (number INTEGER)")
    elif made == "no database":
        path.write_text("no database at all, but a text of some length" * 20)
    elif made == "folder":
        path.mkdir()
    elif made == "folder in the place of the lock":
        (tmp_path / "s.sqlite.lock").mkdir()
    else:
        Store(path, "/root").close()
        if made == "other format":
            with closing(sqlite3.connect(path, isolation_level=None)) as db:
                db.execute("UPDATE audit SET value = '99' WHERE key = 'format'")
    with pytest.raises(StoreError, match=told):
        Store(path, "/elsewhere" if made == "other root" else "/root")


def test_a_store_that_is_refused_is_let_go_of(tmp_path: Path) -> None:
    Store(tmp_path / "s.sqlite", "/root").close()
    with pytest.raises(StoreError, match="not of /elsewhere") as refused:
        Store(tmp_path / "s.sqlite", "/elsewhere")
    Store(tmp_path / "s.sqlite", "/root").close()
    assert refused.value  # which holds all that was at work when it was raised


def test_a_disk_that_is_full_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        store.begin([("a.svg", None), ("b.svg", None)], [], [JUDGEMENT])
        store.keep(answer("a.svg"), "j1", None)
        (pages,) = store._db.execute("PRAGMA page_count").fetchone()
        store._db.execute(f"PRAGMA max_page_count = {pages + 1}")
        with pytest.raises(sqlite3.OperationalError, match="full"):
            store.keep(msgspec.structs.replace(answer("b.svg"), report=os.urandom(1_000_000)), "j1", None)
        assert {path: row.waiting for path, row in store.rows().items()} == {"a.svg": False, "b.svg": True}
        store._db.execute("PRAGMA max_page_count = 1000000")
        store.keep(answer("b.svg"), "j1", None)


def test_there_is_nothing_to_read_before_the_first_audit(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="no audit yet"):
        Reading(tmp_path / "s.sqlite")


def test_the_command_line_of_sqlite_reads_it(tmp_path: Path) -> None:
    """Source: sqlite3, the command-line program of the SQLite project."""
    program = shutil.which("sqlite3")
    if program is None:
        told = "no sqlite3 (Debian: apt install sqlite3)"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    with closing(Store(tmp_path / "s.sqlite", "/root")) as store:
        one_run(store, answer("a.svg"), answer("b.svg", findings=()))
        question = "PRAGMA integrity_check; SELECT path FROM findings WHERE rule = 'contour-open'; SELECT count(*) FROM files"
        words = [program, str(tmp_path / "s.sqlite"), question]
        done = subprocess.run(words, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["ok", "a.svg", "2"]
