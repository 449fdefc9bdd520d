"""Stores of audits with any number of files, filled without checking any: what the overview is tried on."""

from __future__ import annotations

import hashlib
import random
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, NamedTuple

from preflight.audit.own_folder import STORE
from preflight.audit.store import Judgement, Store

JUDGEMENT = Judgement("j1", "0.1.0", "preflight_rules 0.1.0", "default", "sha256:0", "")

RULES = (
    *(
        ("contour-open", "error"),
        ("bleed-short", "error"),
        ("step-printed", "error"),
        ("cut-off-page", "error"),
    ),
    *(("art-near-cut", "warning"), ("corner-tight", "warning"), ("step-misspelt", "warning")),
    *(("text-live", "note"), ("node-excess", "note")),
)
CUSTOMERS = ("ferry-timetables", "harbour-kiosk", "island-museum", "lifeboat-day", "tea-room", "winter-fair")
THINGS = (
    "deck-sign",
    "door-label",
    "menu-board",
    "scone-sticker",
    "summer-season",
    "teapot-decal",
    "ticket-window",
)
PICTURE = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40"><circle cx="30" cy="20" r="{r}" fill="{fill}"/></svg>'
FILLS = ("#e69f00", "#56b4e9", "#009e73", "#cc79a7", "#d55e00")


class Row(NamedTuple):
    """One file as the store has it; ``found`` are rules, each with its level and how many findings it has."""

    path: str
    month: str | None = "2026-11"
    found: tuple[tuple[str, str, int], ...] = ()
    reason: str | None = None
    hint: str | None = None
    picture: str | None = None
    not_checked: int = 0
    waived: int = 0


def filled(into: Path, *runs: Sequence[Row], root: str = "/archive") -> Path:
    """The audit's folder, with a store that went through runs in each of which these were the files."""
    into.mkdir(parents=True, exist_ok=True)
    with closing(Store(into / STORE, root)) as store:
        before: dict[str, Row] = {}
        for rows in runs:
            there = {row.path: row for row in rows}
            due = [(row.path, row.month) for row in rows if before.get(row.path) != row]
            store.begin(due, sorted(before.keys() - there.keys()), [JUDGEMENT])
            with closing(sqlite3.connect(into / STORE)) as db, db:
                _answered(db, [there[path] for path, _ in due])
            store.finish()
            before = there
    return into


def _answered(db: sqlite3.Connection, rows: Sequence[Row]) -> None:
    paths = [(row.path,) for row in rows]
    db.executemany("DELETE FROM findings WHERE path = ?", paths)
    db.executemany("DELETE FROM reports WHERE path = ?", paths)
    db.executemany("INSERT INTO reports VALUES (?, ?)", [(row.path, repr(row).encode()) for row in rows])
    db.executemany(
        "UPDATE files SET waiting = 0, judged = 'j1', sha256 = ?, format = ?, status = ?, reason = ?, hint = ?, pages = 1, "
        "error = ?, warning = ?, note = ?, not_checked = ?, waived = ?, picture = ? WHERE path = ?",
        [_settled(row) for row in rows],
    )
    db.executemany(
        "INSERT INTO findings VALUES (?, ?, 1, ?, ?, NULL, 'Told.', '', 1, 1, 2, 2, NULL, NULL, NULL, ?)",
        [finding for row in rows for finding in _findings(row)],
    )


def _settled(row: Row) -> tuple[Any, ...]:
    amounts = [
        sum(times for _, at, times in row.found if at == level) for level in ("error", "warning", "note")
    ]
    status = "checked" if row.reason is None else "unreadable"
    digest = hashlib.sha256(repr(row).encode()).hexdigest()
    form = row.path.rpartition(".")[2].lower() if row.reason is None else None
    told = (digest, form, status, row.reason, row.hint)
    return (*told, *amounts, row.not_checked, row.waived, row.picture, row.path)


def _findings(row: Row) -> Iterator[tuple[Any, ...]]:
    number = 0
    for rule, level, times in row.found:
        for _ in range(times):
            number += 1
            yield row.path, number, rule, level, f"{number:032d}"


def archive(count: int, seed: int = 1) -> list[Row]:
    """So many files of an archive as a shop has it, the same each time: some three in ten with findings, some unreadable."""
    rng = random.Random(seed)  # noqa: S311 -- made up, not secret
    return sorted(_one(rng, number) for number in range(count))


def _one(rng: random.Random, number: int) -> Row:
    year, customer = rng.randint(2017, 2026), rng.choice(CUSTOMERS)
    suffix = rng.choices(["svg", "pdf", "ai"], [5, 4, 1])[0]
    path = f"customers/{customer}/{year}/order-{number // 12:05d}/{rng.choice(THINGS)}-{number:06d}.{suffix}"
    month = f"{year}-{rng.randint(1, 12):02d}"
    lot = rng.random()
    if lot < 0.01:
        return Row(path, month, reason="It ends in the middle of line 3.", hint="Export it again.")
    if lot < 0.7:
        return Row(path, month, not_checked=rng.choice([0, 0, 0, 2]))
    met = sorted(rng.sample(RULES, rng.choice([1, 1, 2, 3])))
    found = tuple((rule, level, min(400, int(rng.paretovariate(1)))) for rule, level in met)
    return Row(path, month, found, picture=picture_name(number), waived=rng.choice([0, 0, 1]))


def picture_of(number: int) -> bytes:
    """One of few pictures."""
    return PICTURE.format(r=6 + number % 13, fill=FILLS[number % len(FILLS)]).encode()


def picture_name(number: int) -> str:
    """Its name, as the audit has it."""
    digest = hashlib.sha256(picture_of(number)).hexdigest()
    return f"pictures/{digest[:2]}/{digest}.svg"


def with_pictures(into: Path) -> Path:
    """The folder, with the pictures in it that `archive` names."""
    for number in range(13 * len(FILLS)):
        path = into / picture_name(number)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(picture_of(number))
    return into
