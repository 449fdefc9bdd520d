"""The files of an audit column by column, as the script of the overview reads them. Knows no HTML."""

from __future__ import annotations

from collections.abc import Collection
from itertools import groupby
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

import msgspec

from preflight.audit.own_reports import own_report
from preflight.audit.reading import FileLine, Reading

__all__ = ["LEVELS", "Columns", "columns_of", "parted"]

LEVELS = ("error", "warning", "note")
"""The worst first."""


class Columns(msgspec.Struct, frozen=True):
    """One entry a file in each list, files by path, unless said otherwise; -1 where there is none.

    Attributes
    ----------
    root : what was audited. ``kind`` tells how its files are reached: "folder", "drive" (a folder named as Windows does), "away".
    folders, formats, months : texts that `folder`, `format` and `month` point to; the folder of the root is "".
    names : what follows the folder in the path.
    unreadable, waiting, fresh : files (their places in the lists) that cannot be read, have no answer yet, are new.
    error, warning, note, unchecked, waived : how many.
    reasons : ``[reason, mend]``, to which ``reason`` points as ``[file, which]``.
    rules : ids of rules; those that found nothing now but did in the run before are among them.
    pairs : ``[rule, level]``, as found together; ``found`` points to them, as often as there are ``times``;
        those of a file end before its entry in ``ends``.
    pictures : name of the picture's file, without its folder, or 0.
    reports : ``[file, address]`` of those that have a report of their own.
    was : ``[file, errors]`` of those that had more or fewer in the run before; an unreadable file counts as one error.
    profile, chosen : the profile that was named for all files, "" where each has that of its folder; the choice of rules, in
        words of a command.
    """

    root: str
    kind: str
    folders: list[str]
    folder: list[int]
    names: list[str]
    formats: list[str]
    format: list[int]
    months: list[str]
    month: list[int]
    unreadable: list[int]
    waiting: list[int]
    error: list[int]
    warning: list[int]
    note: list[int]
    unchecked: list[int]
    waived: list[int]
    reasons: list[tuple[str, str]]
    reason: list[tuple[int, int]]
    rules: list[str]
    pairs: list[tuple[int, int]]
    ends: list[int]
    found: list[int]
    times: list[int]
    pictures: list[str | int]
    reports: list[tuple[int, str]]
    was: list[tuple[int, int]]
    fresh: list[int]
    profile: str
    chosen: str


def columns_of(reading: Reading, reports: Collection[str], profile: str | None) -> Columns:
    """The columns; ``reports`` are paths of files that have a report of their own, ``profile`` was named for all files."""
    files = list(reading.files())
    at = {one.path: place for place, one in enumerate(files)}
    folders, folder = _pointed([parted(one.path)[0] for one in files])
    formats, format_ = _pointed([one.format for one in files])
    months, month = _pointed([one.month for one in files])
    told, reason = _pointed([_told(one) for one in files])
    return Columns(
        root=reading.root,
        kind=_kind(reading.root),
        folders=folders,
        folder=folder,
        names=[parted(one.path)[1] for one in files],
        formats=formats,
        format=format_,
        months=months,
        month=month,
        unreadable=[place for place, one in enumerate(files) if one.status == "unreadable"],
        waiting=[place for place, one in enumerate(files) if one.status is None],
        error=[one.error for one in files],
        warning=[one.warning for one in files],
        note=[one.note for one in files],
        unchecked=[one.not_checked for one in files],
        waived=[one.waived for one in files],
        reasons=told,
        reason=[(place, which) for place, which in enumerate(reason) if which >= 0],
        pictures=[0 if one.picture is None else PurePosixPath(one.picture).name for one in files],
        reports=[(at[path], own_report(reading, path)) for path in sorted(reports) if path in at],
        **_changes(reading, at),
        **_rules(reading, at),
        profile=profile or "",
        chosen=next((one.chosen for one in reading.judgements()), ""),
    )


def parted(path: str) -> tuple[str, str]:
    """Folder and name; the folder of the root is empty."""
    folder, _, name = path.rpartition("/")
    return folder, name


def _pointed(values: list[Any]) -> tuple[list[Any], list[int]]:
    """What there is, in order, and for each value where it stands there; -1 for None."""
    texts = sorted({value for value in values if value is not None})
    places = {text: place for place, text in enumerate(texts)}
    return texts, [places.get(value, -1) for value in values]


def _told(one: FileLine) -> tuple[str, str] | None:
    return None if one.reason is None else (one.reason, one.hint or "")


def _kind(root: str) -> str:
    """How the files below a root are reached, told by its words alone: the page must not differ from machine to machine."""
    if "://" in root or "::" in root or root.lower().endswith(".zip"):
        return "away"
    return "drive" if PureWindowsPath(root).drive else "folder"


def _changes(reading: Reading, at: dict[str, int]) -> dict[str, Any]:
    """Nothing in the first run: all files are new there, which tells nobody anything."""
    if len(reading.runs()) < 2:
        return {"was": [], "fresh": []}
    return {
        "was": [(at[path], was) for path, was, _ in reading.worse_and_better()],
        "fresh": [at[path] for path in reading.new_files()],
    }


def _rules(reading: Reading, at: dict[str, int]) -> dict[str, Any]:
    lines = list(reading.rules_by_file())
    before = {one.rule for run in reading.runs()[-2:-1] for one in reading.rules_of_run(run.number)}
    rules = sorted({rule for _, rule, _, _ in lines} | before)
    place = {rule: number for number, rule in enumerate(rules)}
    pairs = sorted({(place[rule], LEVELS.index(level)) for _, rule, level, _ in lines})
    which = {pair: number for number, pair in enumerate(pairs)}
    by_file = {at[path]: list(group) for path, group in groupby(lines, key=lambda line: line[0])}
    return {"rules": rules, "pairs": pairs} | _run_together(
        [
            [
                (which[place[rule], LEVELS.index(level)], times)
                for _, rule, level, times in by_file.get(file, ())
            ]
            for file in range(len(at))
        ]
    )


def _run_together(by_file: list[list[tuple[int, int]]]) -> dict[str, list[int]]:
    ends, total = [], 0
    for found in by_file:
        total += len(found)
        ends.append(total)
    return {
        "ends": ends,
        "found": [pair for found in by_file for pair, _ in found],
        "times": [times for found in by_file for _, times in found],
    }
