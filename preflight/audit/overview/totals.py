"""Totals of an audit as the overview shows them before its script runs, and without it. Knows no HTML."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

import msgspec

from preflight.audit.reading import Reading, RunLine
from preflight.reports.words import counted, printable

from .columns import LEVELS, Columns

__all__ = ["FolderRow", "MonthBar", "RuleRow", "Since", "Tile", "Totals", "WorstRow", "totals_of"]

_RUNS_DRAWN = 24
_RUNS_LISTED = 100
_FOLDERS_LISTED = 50
_WORST_LISTED = 100

_TILES = (
    ("files", "Files"),
    ("unreadable", "Unreadable"),
    ("error", "Errors"),
    ("warning", "Warnings"),
    ("note", "Notes"),
    ("not_checked", "Not checked"),
    ("waived", "Waived"),
)

_KINDS = {"not_checked": "unchecked"}
"""What the page calls an amount, where the store calls it otherwise."""


class Tile(msgspec.Struct, frozen=True):
    """One amount; ``since`` is the difference to the run before, None in the first, ``heights`` those of the last runs, 0 to 1."""

    kind: str
    title: str
    number: int
    since: int | None
    heights: tuple[float, ...]


class Since(msgspec.Struct, frozen=True):
    """Files that got worse, got better or came since the run before, those judged anew, and those gone."""

    worse: int
    better: int
    fresh: int
    anew: int
    gone: int


class RuleRow(msgspec.Struct, frozen=True):
    """What a rule found; ``level`` is the worst at which it did, ``since`` the difference to the run before."""

    rule: str
    level: str
    findings: int
    files: int
    since: int | None


class FolderRow(msgspec.Struct, frozen=True):
    """A folder with all below it; an unreadable file counts as one error."""

    folder: str
    errors: int
    files: int


class MonthBar(msgspec.Struct, frozen=True):
    """Files last changed in a month, and how many of them have errors or cannot be read."""

    month: str
    files: int
    troubled: int

    @property
    def year(self) -> str:
        """Its year; empty where no month is known."""
        return self.month[:4]

    @property
    def told(self) -> str:
        """In words."""
        named = self.month or "Month not known"
        return f"{named}: {counted(self.files, 'file')}, {self.troubled:,} with errors or unreadable"


class WorstRow(msgspec.Struct, frozen=True):
    """One of the files in which most was found."""

    path: str
    told: str
    report: str | None


class Totals(msgspec.Struct, frozen=True):
    """All that the page tells without its script. ``clean`` are files in which nothing was found and all was checked."""

    runs: list[RunLine]
    runs_left_out: int
    tiles: list[Tile]
    clean: int
    since: Since | None
    rules: list[RuleRow]
    folders: list[FolderRow]
    folders_left_out: int
    months: list[MonthBar]
    worst: list[WorstRow]
    files: int


def totals_of(reading: Reading, columns: Columns) -> Totals:
    """The totals of the last run."""
    runs = reading.runs()
    folders = list(_folders(columns))
    return Totals(
        runs=runs[-_RUNS_LISTED:],
        runs_left_out=max(0, len(runs) - _RUNS_LISTED),
        tiles=list(_tiles(runs)),
        clean=sum(1 for _ in _clean(columns)),
        since=_since(runs, columns),
        rules=_rules(reading, columns),
        folders=folders[:_FOLDERS_LISTED],
        folders_left_out=max(0, len(folders) - _FOLDERS_LISTED),
        months=list(_months(columns)),
        worst=list(_worst(columns)),
        files=len(columns.names),
    )


def _tiles(runs: Sequence[RunLine]) -> Iterator[Tile]:
    for name, title in _TILES:
        numbers = [getattr(run, name) for run in runs]
        drawn = numbers[-_RUNS_DRAWN:]
        most = max(drawn) or 1
        since = numbers[-1] - numbers[-2] if len(numbers) > 1 else None
        heights = tuple(round(number / most, 4) for number in drawn)
        yield Tile(_KINDS.get(name, name), title, numbers[-1], since, heights)


def _clean(columns: Columns) -> Iterator[int]:
    told = {*columns.unreadable, *columns.waiting}
    amounts = zip(columns.error, columns.warning, columns.note, columns.unchecked, strict=True)
    return (file for file, found in enumerate(amounts) if not any(found) and file not in told)


def _since(runs: Sequence[RunLine], columns: Columns) -> Since | None:
    if len(runs) < 2:
        return None
    trouble = _trouble(columns)
    worse = sum(trouble[file] > was for file, was in columns.was)
    return Since(
        worse, len(columns.was) - worse, len(columns.fresh), anew=runs[-1].changed, gone=runs[-1].removed
    )


def _trouble(columns: Columns) -> list[int]:
    """Errors of each file; that it cannot be read counts as one."""
    trouble = list(columns.error)
    for file in columns.unreadable:
        trouble[file] += 1
    return trouble


def _rules(reading: Reading, columns: Columns) -> list[RuleRow]:
    """The worst level first, then what most files have."""
    earlier = reading.runs()[-2:-1]
    before: Counter[str] = Counter()
    level: dict[str, int] = {}
    for one in (line for run in earlier for line in reading.rules_of_run(run.number)):
        before[one.rule] += one.findings
        level[one.rule] = min(level.get(one.rule, len(LEVELS)), LEVELS.index(one.level))
    worst = {columns.rules[rule]: rank for rule, rank in reversed(columns.pairs)}
    findings, files = _tallies(columns)
    rows = [
        RuleRow(
            rule,
            LEVELS[worst.get(rule, level.get(rule, 0))],
            findings[place],
            files[place],
            findings[place] - before[rule] if earlier else None,
        )
        for place, rule in enumerate(columns.rules)
    ]
    return sorted(rows, key=lambda row: (LEVELS.index(row.level), -row.files, -row.findings, row.rule))


def _tallies(columns: Columns) -> tuple[list[int], list[int]]:
    """Findings of each rule, and files in which it found something."""
    findings, files = [0] * len(columns.rules), [0] * len(columns.rules)
    for start, end in pairwise((0, *columns.ends)):
        met = set()
        for at in range(start, end):
            rule, _ = columns.pairs[columns.found[at]]
            findings[rule] += columns.times[at]
            met.add(rule)
        for rule in met:
            files[rule] += 1
    return findings, files


def _folders(columns: Columns) -> Iterator[FolderRow]:
    """The folders at the first level at which there is more than one, those with most errors first."""
    shared = _shared(columns.folders)
    errors: defaultdict[str, int] = defaultdict(int)
    files: defaultdict[str, int] = defaultdict(int)
    below = [_below(folder, shared) for folder in columns.folders]
    for place, trouble in zip(columns.folder, _trouble(columns), strict=True):
        errors[below[place]] += trouble
        files[below[place]] += 1
    for folder in sorted(files, key=lambda one: (-errors[one], -files[one], one)):
        yield FolderRow(folder, errors[folder], files[folder])


def _shared(folders: Sequence[str]) -> str:
    """The folder that all files lie in or below, the deepest such."""
    if not folders or "" in folders:
        return ""
    steps = accumulate(folders[0].split("/"), "{}/{}".format)
    return max(
        (step for step in steps if all(f"{one}/".startswith(f"{step}/") for one in folders)), default=""
    )


def _below(folder: str, shared: str) -> str:
    """The folder right below the shared one that leads to a folder; the shared one itself for what lies in it."""
    start = f"{shared}/" if shared else ""
    if folder == shared:
        return folder
    return start + folder[len(start) :].partition("/")[0]


def _months(columns: Columns) -> Iterator[MonthBar]:
    """By month; files of which none is known come first, as ``""``."""
    files = [0] * (len(columns.months) + 1)
    troubled = list(files)
    for place, trouble in zip(columns.month, _trouble(columns), strict=True):
        files[place] += 1
        troubled[place] += trouble > 0
    for place, month in [(-1, ""), *enumerate(columns.months)]:
        if files[place]:
            yield MonthBar(month, files[place], troubled[place])


def _worst(columns: Columns) -> Iterator[WorstRow]:
    """In the order of the list: errors, warnings, notes."""
    trouble, reports = _trouble(columns), dict(columns.reports)
    reasons = {file: columns.reasons[which][0] for file, which in columns.reason}
    found = [at for at in range(len(trouble)) if trouble[at] or columns.warning[at] or columns.note[at]]
    found.sort(key=lambda at: (-trouble[at], -columns.warning[at], -columns.note[at], at))
    for file in found[:_WORST_LISTED]:
        folder = columns.folders[columns.folder[file]]
        path = f"{folder}/{columns.names[file]}" if folder else columns.names[file]
        amounts = ((columns.error, "error"), (columns.warning, "warning"), (columns.note, "note"))
        told = ", ".join(counted(amount[file], word) for amount, word in amounts if amount[file])
        yield WorstRow(printable(path), told or printable(reasons.get(file, "")), reports.get(file))
