"""The report as text for a terminal or a pipe. Knows no artwork."""

# Styled by a few escape codes of our own, not by rich: importing rich.console costs over 50 ms, a tenth of a whole
# run on a small file, and all that is needed here is five colours and wrapping, which textwrap does.

from __future__ import annotations

import os
import sys
import textwrap
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import TextIO

from preflight.rule import Finding, Level, Rule

from .alike import MESSAGES_SHOWN, Alike, alike
from .columns import columns, is_terminal
from .making import knife_words, roll_words
from .report import Drawings, FileReport, NotChecked, PageReport, Renderer, Report, StepProduction
from .words import (
    KIND_ADVICE,
    KIND_WORDS,
    baseline_words,
    counted,
    counts_line,
    judged_at,
    known_words,
    left_out,
    left_out_everywhere,
    length,
    measure,
    not_found_words,
    page_size,
    place,
    printable,
    site,
    step_words,
    where,
)

__all__ = ["FILES_SHOWN", "SHOWN_PER_RULE", "SITES_SHOWN", "TextRenderer"]

SHOWN_PER_RULE = 10
"""How many findings of one rule are shown for each page; the rest are counted, and JSON and HTML hold them."""

FILES_SHOWN = 5
"""How many files are named of which a baseline holds what is no longer found."""

SITES_SHOWN = 2
"""How many places of one message are shown."""

_NOT_CHECKED = "not checked"
_UNREADABLE = "unreadable"
_WAIVED = "waived"
_KNOWN = "known"
_LEFT_OUT = "left out"
_INDENT = 2
_LABEL = 13
"""Columns the level word takes, the longest of them and two spaces."""

_STYLES = {
    Level.ERROR: "1;31",
    Level.WARNING: "33",
    Level.NOTE: "36",
    _NOT_CHECKED: "1;35",
    _UNREADABLE: "1;31",
    _WAIVED: "2",
    _KNOWN: "2",
    _LEFT_OUT: "1;35",
    "": "2",
    "to cut": "2",
    "baseline": "2",
    "in all": "2",
    "media": "2",
    "path": "1",
    "quiet": "2",
}
"""Words to parameters of the terminal's "select graphic rendition" sequence (ECMA-48 8.3.117)."""


class TextRenderer(Renderer):
    """Text that reads well at 80 columns and in a pipe.

    Parameters
    ----------
    rules : the rules in use.
    width : columns; what `columns` finds if left out.
    colour : whether to colour; if left out, only on a terminal, and neither under ``NO_COLOR`` nor ``TERM=dumb``.
    shown_per_rule : findings of one rule shown for each page; the rest are counted.
    """

    format = "text"
    suffix = None

    def __init__(
        self,
        rules: Mapping[str, type[Rule]] | None = None,
        width: int | None = None,
        colour: bool | None = None,
        shown_per_rule: int = SHOWN_PER_RULE,
    ) -> None:
        super().__init__(rules)
        self._width = columns(sys.stdout, width)
        self._colour = _takes_colour(sys.stdout) if colour is None else colour
        self._shown = shown_per_rule

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The findings file by file, worst first; the last line counts."""
        everywhere = left_out_everywhere(report)
        lines: list[str] = []
        for file in report.files:
            own = [one for one in file.rules_off if one not in everywhere or len(report.files) == 1]
            lines += [*self._file(file), *self._left_out(left_out(own, report)), ""]
        if len(report.files) > 1 and everywhere:
            lines += [*self._left_out(left_out(everywhere, report)), ""]
        if report.baseline is not None:
            lines += [
                *self._entry(
                    "baseline",
                    "",
                    None,
                    baseline_words(report.baseline),
                    not_found_words(report.baseline, FILES_SHOWN),
                ),
                "",
            ]
        lines.append(counts_line(report.counts))
        return ("\n".join(lines) + "\n").encode("utf-8", "backslashreplace")

    def _file(self, file: FileReport) -> Iterator[str]:
        yield self._styled(printable(file.path), "path")
        if file.status == "unreadable":
            yield from self._entry(
                _UNREADABLE, "", None, printable(file.reason or "the reason is not known"), ()
            )
            if file.hint:
                yield from self._wrapped(f"To mend: {printable(file.hint)}")
            return
        for page in file.pages:
            yield from self._page(page, len(file.pages) > 1, bool(file.rules_off))

    def _left_out(self, lines: Sequence[str]) -> Iterator[str]:
        for number, line in enumerate(lines):
            yield from self._entry(_LEFT_OUT if number == 0 else "", "", None, line, ())

    def _page(self, page: PageReport, several: bool, rules_off: bool) -> Iterator[str]:
        on = f"page {page.number}" if several else None
        head = ", ".join(words for words in (on, page_size(*page.size_mm), judged_at(page.scale)) if words)
        yield self._styled(f"{' ' * _INDENT}{head}", "quiet")
        open_findings = [finding for finding in page.findings if finding.open]
        known = known_words([finding for finding in page.findings if finding.waived is None])
        waived = [finding for finding in page.findings if finding.waived is not None]
        if not open_findings:
            yield f"{' ' * _INDENT}Nothing found{_save_for(page, bool(known), bool(waived), rules_off)}."
        yield from self._findings(open_findings, on)
        yield from self._not_checked(page.not_checked, on)
        for number, line in enumerate(known):
            yield from self._entry(_KNOWN if number == 0 else "", "", None, line, ())
        for finding in waived:
            yield from self._entry(
                _WAIVED, finding.rule, _at(finding, on), finding.message, [f"Because: {finding.waived}"]
            )
        yield from self._production(page)

    def _findings(self, findings: Sequence[Finding], on: str | None) -> Iterator[str]:
        ordered = sorted(findings, key=lambda finding: finding.level.rank)  # stable: keeps the engine's order
        shown: Counter[str] = Counter()
        totals = Counter(finding.rule for finding in findings)
        for finding in ordered:
            shown[finding.rule] += 1
            if shown[finding.rule] <= self._shown:
                yield from self._finding(finding, on)
            elif shown[finding.rule] == self._shown + 1:
                more = totals[finding.rule] - self._shown
                yield from self._wrapped(
                    f"… and {more:,} more of {finding.rule}: {self._shown} of a rule are shown for each page here, "
                    "the JSON and HTML reports hold all."
                )

    def _finding(self, finding: Finding, on: str | None) -> Iterator[str]:
        objects = [where(reference) for reference in finding.objects[:2]]
        if len(finding.objects) > 2:
            objects.append(f"and {counted(len(finding.objects) - 2, 'more object')}")
        details = ["; ".join(objects)] if objects else []
        if finding.measured is not None:
            told = measure(finding.measured)
            details.insert(0, f"{told[0].upper()}{told[1:]}.")
        if finding.hint:
            details.append(f"To mend: {printable(finding.hint)}")
        yield from self._entry(finding.level, finding.rule, _at(finding, on), finding.message, details)

    def _not_checked(self, entries: Sequence[NotChecked], on: str | None) -> Iterator[str]:
        for kind, of_kind in groupby(alike(entries, MESSAGES_SHOWN), key=lambda one: one.entries[0].kind):
            for one in of_kind:
                yield from self._alike(one, on)
            yield from self._wrapped(KIND_ADVICE[kind])

    def _alike(self, one: Alike, on: str | None) -> Iterator[str]:
        first, number = one.entries[0], len(one.entries)
        topic = f"{KIND_WORDS[first.kind]}: {printable(first.what)}"
        if one.others:
            yield from self._wrapped(
                f"… and {number:,} more, {topic}: {MESSAGES_SHOWN} messages of a kind are shown for each page here, the JSON "
                "report holds all."
            )
        elif number == 1:
            details = [] if first.object is None else [where(first.object)]
            yield from self._entry(_NOT_CHECKED, topic, _at(first, on), first.message, details)
        else:
            times = ", ".join(words for words in (on, f"{number:,} times") if words)
            sites = list(filter(None, map(site, one.entries)))
            more = [f"and {len(sites) - SITES_SHOWN:,} more"] if len(sites) > SITES_SHOWN else []
            details = ["; ".join([*sites[:SITES_SHOWN], *more])] if sites else []
            yield from self._entry(_NOT_CHECKED, topic, times, first.message, details)

    def _production(self, page: PageReport) -> Iterator[str]:
        steps = page.production.steps
        if steps:
            yield from self._to_cut(steps)
        for label, told in (("in all", knife_words(page.production)), ("media", roll_words(page.production))):
            if told is not None:
                yield from self._entry(label, "", None, told, ())

    def _to_cut(self, steps: Sequence[StepProduction]) -> Iterator[str]:
        rows = [
            (
                step_words(step.step),
                counted(step.pieces, "piece"),
                counted(step.contours, "contour"),
                length(step.cut_length_mm),
            )
            for step in steps
        ]
        widths = [max(len(row[column]) for row in rows) for column in range(4)]
        for number, row in enumerate(rows):
            label = "to cut" if number == 0 else ""
            cells = "  ".join(
                [row[0].ljust(widths[0]), *(row[column].rjust(widths[column]) for column in (1, 2, 3))]
            )
            line = f"{' ' * _INDENT}{label.ljust(_LABEL)}{cells}"
            if len(line) <= self._width:
                yield line
            else:
                yield from self._entry("to cut", "", None, ", ".join(row), ())

    def _entry(
        self, label: str, rule: str, place_words: str | None, message: str, details: Sequence[str]
    ) -> Iterator[str]:
        """Level word and rule, the place at the right edge or on a line of its own, then the text."""
        head = f"{' ' * _INDENT}{self._styled(label, label)}{' ' * (_LABEL - len(label))}"
        taken = _INDENT + _LABEL
        if rule:
            room = self._width - taken - len(rule) - len(place_words or "")
            if place_words and room >= 2:
                yield f"{head}{rule}{' ' * room}{place_words}"
            else:
                yield f"{head}{rule}"
                if place_words:
                    yield from self._wrapped(place_words)
            yield from self._wrapped(printable(message))
        else:
            first, *rest = self._wrapped(printable(message))
            yield head + first[taken:]
            yield from rest
        for detail in details:
            yield from self._wrapped(printable(detail))

    def _wrapped(self, text: str) -> Iterator[str]:
        margin = " " * (_INDENT + _LABEL)
        yield from textwrap.wrap(
            text, self._width, initial_indent=margin, subsequent_indent=margin, break_on_hyphens=False
        ) or [margin]

    def _styled(self, text: str, style: str) -> str:
        return f"\x1b[{_STYLES[style]}m{text}\x1b[0m" if self._colour else text


def _at(entry: Finding | NotChecked, on: str | None) -> str | None:
    """Where an entry is: the page, where there are several, and the place on it; None where neither is to be said."""
    return ", ".join(words for words in (on, place(entry)) if words) or None


def _save_for(page: PageReport, known: bool, waived: bool, rules_off: bool) -> str:
    """What keeps a page without open findings from being wholly clean, in words."""
    reserves = []
    if page.not_checked:
        reserves.append("what was not checked")
    if known:
        reserves.append("what was known")
    if waived:
        reserves.append("what was waived")
    if rules_off:
        reserves.append("what was left out")
    return f", save for {_listed(reserves)} below" if reserves else ""


def _listed(parts: Sequence[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _takes_colour(stream: TextIO) -> bool:
    """Whether to colour: on a terminal that can, unless NO_COLOR (https://no-color.org) is set and not empty."""
    return is_terminal(stream) and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
