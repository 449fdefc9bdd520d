"""What the store of an audit tells: read only, also while an audit is at work on it. Knows no process and no page."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import msgspec

from .store import Judgement, StoreError
from .tables import FORMAT

__all__ = ["FileLine", "FindingLine", "Reading", "RuleCount", "RunLine"]


class FileLine(msgspec.Struct, frozen=True):
    """One file and the counts of its last answer; ``status`` is None where there is no answer yet."""

    path: str
    folder: str
    month: str | None
    format: str | None
    status: str | None
    reason: str | None
    hint: str | None
    pages: int
    error: int
    warning: int
    note: int
    not_checked: int
    waived: int
    picture: str | None
    sha256: str | None


class FindingLine(msgspec.Struct, frozen=True):
    """One finding; ``bounds_mm`` at final size, y down from the top of the page. An unreadable file is one of rule ``unreadable``."""

    path: str
    page: int | None
    rule: str
    level: str
    waived: str | None
    message: str
    hint: str | None
    bounds_mm: tuple[float, float, float, float] | None
    measured: float | None
    limit: float | None
    unit: str | None
    fingerprint: str | None


class RuleCount(msgspec.Struct, frozen=True):
    """How many findings, those waived apart, a rule had at a level in one run, and in how many files."""

    rule: str
    level: str
    findings: int
    files: int


class RunLine(msgspec.Struct, frozen=True):
    """Totals at the end of a run, and how many files came, changed and went since the one before."""

    number: int
    files: int
    unreadable: int
    error: int
    warning: int
    note: int
    not_checked: int
    waived: int
    added: int
    changed: int
    removed: int


class Reading:
    """A store opened for reading.

    Raises
    ------
    StoreError
        There is none at ``path``, or it is no store of this version.
    """

    def __init__(self, path: Path) -> None:
        if not path.is_file():
            raise StoreError(f"{path}: there is no audit yet; run preflight audit on a folder first")
        try:
            self._db = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, isolation_level=None)
            held = dict(self._db.execute("SELECT key, value FROM audit"))
        except sqlite3.Error as error:
            raise StoreError(f"{path} is not the store of an audit: {error}") from None
        if held.get("format") != FORMAT:
            told = f"its format is {held.get('format')}, not {FORMAT}"
            raise StoreError(f"{path} was written by another version of this program: {told}; audit anew")
        self.root = held["root"]

    @property
    def told(self) -> bool:
        """Whether everything was written that tells of the last run."""
        asked = "SELECT value = (SELECT max(number) FROM runs) FROM audit WHERE key = 'told'"
        row = self._db.execute(asked).fetchone()
        return row is not None and bool(row[0])

    def close(self) -> None:
        """Let go of the store."""
        self._db.close()

    def files(self, where: str = "1", values: Sequence[Any] = ()) -> Iterator[FileLine]:
        """Files by path; ``where`` is a condition of SQL on the table ``files``."""
        columns = ", ".join(FileLine.__struct_fields__)
        asked = f"SELECT {columns} FROM files WHERE {where} ORDER BY path"  # noqa: S608 -- of ours; values are bound
        return (FileLine(*row) for row in self._db.execute(asked, values))

    def findings(self) -> Iterator[FindingLine]:
        """Every finding and every unreadable file, by path and number."""
        asked = self._db.execute(
            "SELECT path, 0 AS number, NULL, 'unreadable', 'error', NULL, coalesce(reason, ''), hint, NULL, NULL, NULL, NULL, "
            "NULL, NULL, NULL, NULL FROM files WHERE status = 'unreadable' UNION ALL "
            'SELECT path, number, page, rule, level, waived, message, hint, x0, y0, x1, y1, measured, "limit", unit, '
            "fingerprint FROM findings ORDER BY 1, 2"
        )
        for path, _, page, rule, level, waived, message, hint, x0, y0, x1, y1, *rest in asked:
            box = None if x0 is None else (x0, y0, x1, y1)
            yield FindingLine(path, page, rule, level, waived, message, hint or None, box, *rest)

    def rules_by_file(self) -> Iterator[tuple[str, str, str, int]]:
        """Path, rule, level and number of findings, those waived left out, by path."""
        return iter(
            self._db.execute(
                "SELECT path, rule, level, count(*) FROM findings WHERE waived IS NULL "
                "GROUP BY path, rule, level ORDER BY path, rule, level"
            )
        )

    def runs(self) -> list[RunLine]:
        """The finished runs, the last one last."""
        columns = ", ".join(RunLine.__struct_fields__)
        asked = f"SELECT {columns} FROM runs WHERE finished ORDER BY number"  # noqa: S608 -- of ours
        return [RunLine(*row) for row in self._db.execute(asked)]

    def rules_of_run(self, number: int) -> list[RuleCount]:
        """What each rule found in a run."""
        asked = "SELECT rule, level, findings, files FROM run_rules WHERE run = ? ORDER BY rule, level"
        return [RuleCount(*row) for row in self._db.execute(asked, (number,))]

    def rules(self) -> set[str]:
        """Ids of all rules that ever found something, those of profiles and of plug-ins that are gone among them."""
        return {row[0] for row in self._db.execute("SELECT DISTINCT rule FROM run_rules")}

    def worse_and_better(self) -> Iterator[tuple[str, int, int]]:
        """Path, and unreadable or errors before and now, of each file in which that changed since the run before."""
        return iter(
            self._db.execute(
                "SELECT path, before.error + (before.status IS 'unreadable') AS was, "
                "files.error + (files.status IS 'unreadable') AS now FROM files JOIN before USING (path) "
                "WHERE was <> now ORDER BY path"
            )
        )

    def new_files(self) -> Iterator[str]:
        """Paths of the files that were not there in the run before, in order."""
        asked = self._db.execute(
            "SELECT path FROM files WHERE path NOT IN (SELECT path FROM before) ORDER BY path"
        )
        return (row[0] for row in asked)

    def judgements(self) -> list[Judgement]:
        """What files were judged by, that of most files first."""
        columns = ", ".join(f"judges.{name}" for name in Judgement.__struct_fields__)
        asked = self._db.execute(
            f"SELECT {columns} FROM judges JOIN files USING (judged) "  # noqa: S608 -- of ours
            "GROUP BY judges.judged ORDER BY count(*) DESC, judges.judged"
        )
        return [Judgement(*row) for row in asked]

    def rests_on(self, path: str) -> tuple[str, ...]:
        """What the last answer to a file rests on beside its content: digest of all it was judged by, and of files beside it."""
        asked = "SELECT judged, beside FROM files WHERE path = ?"
        return tuple(self._db.execute(asked, (path,)).fetchone() or ())

    def packed_report(self, path: str) -> bytes:
        """The whole report of a file as the store keeps it: JSON of a report's ``files``, packed with zlib; empty where there is none."""
        row = self._db.execute("SELECT report FROM reports WHERE path = ?", (path,)).fetchone()
        return b"" if row is None else bytes(row[0])
