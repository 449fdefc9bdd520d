"""Findings and what was not checked in plain sentences, alike in every report that a CI server reads. Knows no format."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from preflight.rule import Finding, ObjectReference

from .alike import Alike, alike
from .report import FileReport, NotCheckedKind, PageReport, Report
from .words import KIND_ADVICE, KIND_WORDS, counted, measure, place, printable, site, where

__all__ = [
    "NOT_CHECKED_LEVELS",
    "RULE_FAILED",
    "UNREADABLE",
    "details",
    "failed_rule",
    "gathered",
    "judged",
    "line_of",
    "on_page",
    "reserve",
    "told",
    "told_unreadable",
]

RULE_FAILED = "rule-failed"
UNREADABLE = "unreadable"

NOT_CHECKED_LEVELS: dict[NotCheckedKind, str] = {
    "not-modelled": "warning",
    "fault": "warning",
    "assumed": "note",
}
"""How loud each kind of what was not checked is told. What no rule has judged, or had to be repaired, asks for a look; what was
assumed asks for a nod."""

_OBJECTS_SHOWN = 2


def on_page(file: FileReport, number: int) -> str | None:
    """``page 2``, where the file has several; None where there is nothing to tell apart."""
    return f"page {number}" if len(file.pages) > 1 else None


def details(finding: Finding, on: str | None) -> list[str]:
    """What a finding says beside its message, a sentence each: the measure, the place and the objects, the mend."""
    parts = []
    if finding.measured is not None:
        words = printable(measure(finding.measured))
        parts.append(f"{words[0].upper()}{words[1:]}.")
    objects = [where(one) for one in finding.objects[:_OBJECTS_SHOWN] if one.kind != "rule"]
    if len(finding.objects) > _OBJECTS_SHOWN:
        objects.append(f"and {counted(len(finding.objects) - _OBJECTS_SHOWN, 'more object')}")
    at = ", ".join(words for words in (on, place(finding)) if words)
    if at or objects:
        parts.append(f"Where: {'; '.join(words for words in (at, *objects) if words)}.")
    if finding.hint:
        parts.append(f"To mend: {printable(finding.hint)}")
    return parts


def told(finding: Finding, on: str | None) -> str:
    """The whole finding in one line; the message comes first and stands for itself."""
    return " ".join([printable(finding.message), *details(finding, on)])


def reserve(finding: Finding) -> str | None:
    """Why a finding does not count, as a sentence; None for one that does."""
    if finding.waived is not None:
        return f"Waived because: {printable(finding.waived)}."
    return None if finding.known is None else f"Known from the {finding.known}."


def told_unreadable(file: FileReport) -> str:
    """Why a file cannot be read, and the mend, in one line."""
    reason = printable(file.reason or "the reason is not known")
    mend = f" To mend: {printable(file.hint)}" if file.hint else ""
    return f"Nothing in the file was checked, for it cannot be read. {reason[0].upper()}{reason[1:]}.{mend}"


def line_of(references: Sequence[ObjectReference]) -> int | None:
    """The first line that the objects name, counted from 1; None where none does, as in PDF."""
    return next((one.line for one in references if one.line is not None and one.line > 0), None)


def failed_rule(finding: Finding) -> str | None:
    """The id of the rule that broke down, where the finding tells of that."""
    if finding.rule != RULE_FAILED:
        return None
    return next((one.ref for one in finding.objects if one.kind == "rule"), None)


def judged(file: FileReport, report: Report) -> list[str]:
    """The ids of the rules that judged a file, in the order of the report; none judged a file that cannot be read."""
    if file.status == "unreadable":
        return []
    off = {one.rule for one in file.rules_off}
    return [rule.id for rule in report.rules if rule.id not in off]


def gathered(page: PageReport, messages: int) -> Iterator[tuple[NotCheckedKind, str, Alike]]:
    """What was not checked on a page, gathered by likeness: kind, a sentence, the entries.

    Parameters
    ----------
    messages : how many messages of one subject stand for themselves; the others are counted together.
    """
    for one in alike(page.not_checked, messages):
        first, number = one.entries[0], len(one.entries)
        topic = f"{KIND_WORDS[first.kind]}: {printable(first.what)}"
        if one.others:
            yield first.kind, f"{topic}: {number:,} more; the JSON report holds all.", one
            continue
        times = f" ({number:,} times)" if number > 1 else ""
        sites = "; ".join(filter(None, map(site, one.entries[:_OBJECTS_SHOWN])))
        first_at = f" Where: {sites}." if sites else ""
        yield (
            first.kind,
            f"{topic}{times}: {printable(first.message)}{first_at} {KIND_ADVICE[first.kind]}",
            one,
        )
