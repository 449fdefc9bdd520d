"""What an audit says in the end, and what its store answers, as text and as JSON. Knows no process and no page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path

import msgspec

from preflight.reports.words import counted, printable

from .reading import FileLine, Reading, RuleCount, RunLine

__all__ = ["files_json", "files_text", "summary_json", "summary_text"]

_MOST_RULES = 10


class _Summary(msgspec.Struct, frozen=True):
    root: str
    run: RunLine
    rules: list[RuleCount]


def summary_json(reading: Reading) -> bytes:
    """The totals of the last run."""
    last = reading.runs()[-1]
    return msgspec.json.encode(_Summary(reading.root, last, reading.rules_of_run(last.number))) + b"\n"


def summary_text(reading: Reading, into: Path, columns: int) -> str:
    """The totals of the last run, the rules that found most, and where to read on."""
    *earlier, last = reading.runs()
    lines = [_totals(last), *_since(earlier[-1] if earlier else None, last)]
    rules = sorted(reading.rules_of_run(last.number), key=lambda one: (-one.files, one.rule, one.level))
    wide = max((len(one.rule) for one in rules), default=0)
    for one in rules[:_MOST_RULES]:
        found = f"{counted(one.findings, one.level)} in {counted(one.files, 'file')}"
        lines.append(f"  {one.rule:<{wide}}  {found}")
    if len(rules) > _MOST_RULES:
        lines.append(f"  and {len(rules) - _MOST_RULES} more in the overview")
    folded = [part for line in lines for part in _folded(line, columns)]
    return "\n".join([*folded, f"Overview: {printable(str(into / 'overview.html'))}", ""])


def _folded(line: str, columns: int) -> list[str]:
    return textwrap.wrap(
        line, columns, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False
    )


def _totals(last: RunLine) -> str:
    amounts = [(last.error, "error"), (last.warning, "warning"), (last.note, "note")]
    found = ", ".join(counted(number, word) for number, word in amounts)
    return (
        f"{counted(last.files, 'file')}: {found}, {last.not_checked:,} not checked, {last.waived:,} waived, "
        f"{last.unreadable:,} unreadable"
    )


def _since(before: RunLine | None, last: RunLine) -> Iterator[str]:
    if before is not None:
        yield (
            f"Since the run before: {counted(last.added, 'file')} new, {last.changed:,} judged anew, {last.removed:,} gone; "
            f"errors {before.error:,} -> {last.error:,}, unreadable {before.unreadable:,} -> {last.unreadable:,}"
        )


def files_text(files: Iterable[FileLine]) -> str:
    """One path a line."""
    return "".join(f"{printable(one.path)}\n" for one in files)


def files_json(files: Iterable[FileLine]) -> bytes:
    """A list of files with their counts."""
    return msgspec.json.encode(list(files)) + b"\n"
