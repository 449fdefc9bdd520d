"""The store of an audit: one SQLite file that holds every answer as it comes, and survives being killed. Knows no process."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path, PurePosixPath
from typing import Any

import msgspec

from preflight.profile.names import normalised

from .messages import Answer
from .tables import FORMAT, TABLES

__all__ = ["FileRow", "Judgement", "Store", "StoreError"]


class StoreError(Exception):
    """The store cannot be used, with the mend."""


class Judgement(msgspec.Struct, frozen=True):
    """What files were judged by, as people and other programs read it; ``judged`` is the digest of it all."""

    judged: str
    tool: str
    plugins: str
    profile: str
    profile_digest: str
    chosen: str


class FileRow(msgspec.Struct, frozen=True):
    """What a run needs to know of a file that was there before."""

    path: str
    stamp: str
    judged: str
    waiting: bool
    sha256: str | None
    beside: tuple[tuple[str, str], ...]
    by_limit: str | None


class Store:
    """Opened for writing by one audit at a time; other programs may read it meanwhile.

    Every method that writes does so wholly or not at all.

    Parameters
    ----------
    path : the file; made where there is none.
    root : what is audited, as written into a new store; a store of something else is refused.

    Raises
    ------
    StoreError
        The file is no such store, another audit is at work on it, or it cannot be written.
    """

    def __init__(self, path: Path, root: str) -> None:
        with ExitStack() as held:
            self._lock = held.enter_context(closing(_locked(path)))
            try:
                self._db = held.enter_context(closing(_opened(path)))
                self._made_ready(path, root)
            except sqlite3.Error as error:
                raise StoreError(f"{path} cannot be used as the store of an audit: {error}") from None
            held.pop_all()

    def _made_ready(self, path: Path, root: str) -> None:
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = NORMAL")
        if not self._db.execute("SELECT 1 FROM sqlite_master WHERE name = 'audit'").fetchone():
            if self._db.execute("SELECT 1 FROM sqlite_master").fetchone():
                raise StoreError(
                    f"{path} holds something else than an audit; name another folder with --into"
                )
            with self._whole():
                for statement in TABLES:
                    self._db.execute(statement)
                self._db.execute("INSERT INTO audit VALUES ('format', ?), ('root', ?)", (FORMAT, root))
            return
        held = dict(self._db.execute("SELECT key, value FROM audit"))
        if held.get("format") != FORMAT:
            raise StoreError(
                f"{path} was written by another version of this program (its format is {held.get('format')}, not {FORMAT}); "
                "name another folder with --into"
            )
        if held["root"] != root:
            raise StoreError(
                f"{path} holds the audit of {held['root']}, not of {root}; name another folder with --into"
            )

    def close(self) -> None:
        """Let others have it."""
        self._db.close()
        self._lock.close()

    @contextmanager
    def _whole(self) -> Iterator[None]:
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:  # a full disk has ended it already
                self._db.execute("ROLLBACK")
            raise

    def open_run(self) -> int | None:
        """Number of the run that was begun and not finished, or None."""
        row = self._db.execute("SELECT number FROM runs WHERE NOT finished").fetchone()
        return None if row is None else int(row[0])

    @property
    def settled(self) -> bool:
        """Whether there was a run, and none is open."""
        return self.open_run() is None and self._db.execute("SELECT 1 FROM runs").fetchone() is not None

    def rows(self) -> dict[str, FileRow]:
        """Every file of the store by its path."""
        asked = self._db.execute("SELECT path, stamp, judged, waiting, sha256, beside, by_limit FROM files")
        return {
            path: FileRow(path, stamp, judged, bool(waiting), sha256, _pairs(beside), by_limit)
            for path, stamp, judged, waiting, sha256, beside, by_limit in asked
        }

    def begin(
        self, due: Iterable[tuple[str, str | None]], gone: Iterable[str], judgements: Iterable[Judgement]
    ) -> None:
        """Begin a run, or take up the one that was not finished.

        Parameters
        ----------
        due : path and month of each file that must be looked at.
        gone : paths of files that are there no more.
        """
        with self._whole():
            if self.open_run() is None:
                self._db.execute("INSERT INTO runs (number) SELECT coalesce(max(number), 0) + 1 FROM runs")
                self._db.execute("DELETE FROM before")
                self._db.execute(
                    "INSERT INTO before SELECT path, sha256, judged, status, error, warning, note FROM files"
                )
            told = map(msgspec.structs.astuple, judgements)
            self._db.executemany("INSERT OR IGNORE INTO judges VALUES (?, ?, ?, ?, ?, ?)", told)
            for path in gone:
                self._forget(path)
                self._db.execute("DELETE FROM files WHERE path = ?", (path,))
            self._db.executemany(
                "INSERT INTO files (path, folder, month, stamp, judged, waiting) VALUES (?, ?, ?, '', '', 1) "
                "ON CONFLICT (path) DO UPDATE SET month = excluded.month, waiting = 1",
                [(path, _folder(path), month) for path, month in due],
            )

    def keep(self, answer: Answer, judged: str, picture: str | None) -> None:
        """Put an answer in the place of the one before it.

        Parameters
        ----------
        picture : name of the file that its picture was written to.
        """
        settled = {"stamp": answer.stamp, "judged": judged, "waiting": 0}
        with self._whole():
            if answer.same:
                self._set(answer.path, settled)
                return
            self._forget(answer.path)
            error, warning, note, not_checked, waived = answer.counts
            self._set(
                answer.path,
                settled
                | {"sha256": answer.sha256, "format": answer.format, "status": answer.status}
                | {"reason": answer.reason, "hint": answer.hint, "pages": answer.pages}
                | {
                    "error": error,
                    "warning": warning,
                    "note": note,
                    "not_checked": not_checked,
                    "waived": waived,
                }
                | {"beside": msgspec.json.encode(answer.beside).decode(), "picture": picture}
                | {"by_limit": answer.by_limit},
            )
            self._db.execute("INSERT INTO reports VALUES (?, ?)", (answer.path, answer.report))
            self._db.executemany(
                "INSERT INTO findings VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [
                    (answer.path, number, one.page, one.rule, one.level, one.waived, one.message, one.hint)
                    + (one.bounds_mm or (None,) * 4)
                    + (one.measured, one.limit, one.unit, one.fingerprint)
                    for number, one in enumerate(answer.findings, 1)
                ],
            )
            names = [(answer.path, one.kind, one.name, normalised(one.name)) for one in answer.names]
            self._db.executemany("INSERT INTO names VALUES (?, ?, ?, ?)", names)

    def _set(self, path: str, values: dict[str, Any]) -> None:
        columns = ", ".join(f"{name} = :{name}" for name in values)  # names of ours, not of a file
        self._db.execute(f"UPDATE files SET {columns} WHERE path = :path", values | {"path": path})  # noqa: S608

    def _forget(self, path: str) -> None:
        for table in ("reports", "findings", "names"):
            self._db.execute(f"DELETE FROM {table} WHERE path = ?", (path,))  # noqa: S608 -- ours

    def finish(self) -> None:
        """Close the run: everything has its answer. Writes its totals."""
        with self._whole():
            number = self.open_run()
            self._db.execute(
                "INSERT INTO run_rules SELECT ?, rule, level, count(*), count(DISTINCT path) FROM findings "
                "WHERE waived IS NULL GROUP BY rule, level",
                (number,),
            )
            self._db.execute(
                "UPDATE runs SET (files, unreadable, error, warning, note, not_checked, waived) = (SELECT count(*), "
                "coalesce(sum(status = 'unreadable'), 0), coalesce(sum(error), 0), coalesce(sum(warning), 0), "
                "coalesce(sum(note), 0), coalesce(sum(not_checked), 0), coalesce(sum(waived), 0) FROM files), "
                "added = (SELECT count(*) FROM files WHERE path NOT IN (SELECT path FROM before)), "
                "removed = (SELECT count(*) FROM before WHERE path NOT IN (SELECT path FROM files)), "
                "changed = (SELECT count(*) FROM files JOIN before USING (path) "
                "WHERE files.sha256 IS NOT before.sha256 OR files.judged <> before.judged), finished = 1 "
                "WHERE number = ?",
                (number,),
            )
            self._db.execute(
                "DELETE FROM judges WHERE judged NOT IN (SELECT judged FROM files UNION SELECT judged FROM before)"
            )

    def mark_told(self) -> None:
        """Note that everything is written that tells of the last run."""
        with self._whole():
            self._db.execute("INSERT OR REPLACE INTO audit SELECT 'told', max(number) FROM runs")

    def pictures(self) -> set[str]:
        """Names of the pictures that belong to an answer."""
        asked = self._db.execute("SELECT picture FROM files WHERE picture IS NOT NULL")
        return {row[0] for row in asked}


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def _locked(path: Path) -> sqlite3.Connection:
    """Something that only one process can hold, and that falls free when that ends, however it does.

    Raises
    ------
    StoreError
    """
    lock = None
    try:
        lock = sqlite3.connect(path.with_name(path.name + ".lock"), timeout=0, isolation_level=None)
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error as error:
        if lock is not None:
            lock.close()
        if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_BUSY:
            raise StoreError(f"another audit is at work on {path}: wait for its end") from None
        raise StoreError(f"{path} cannot be written: {error}") from None
    return lock


def _folder(path: str) -> str:
    return str(PurePosixPath(path).parent)


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    return msgspec.json.decode(text, type=tuple[tuple[str, str], ...])
