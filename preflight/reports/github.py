"""The report as workflow commands, which GitHub Actions turns into notes on the files. Knows no artwork.

Source of the commands and their escapes: GitHub Docs, "Workflow commands for GitHub Actions", and the reader of the same in
actions/runner, ``src/Runner.Common/ActionCommand.cs``.
"""

from __future__ import annotations

from collections.abc import Iterator

from preflight.rule import Finding

from .alike import MESSAGES_SHOWN
from .annotating import (
    NOT_CHECKED_LEVELS,
    RULE_FAILED,
    UNREADABLE,
    details,
    gathered,
    line_of,
    on_page,
    told_unreadable,
)
from .report import Drawings, FileReport, Renderer, Report
from .words import (
    KIND_WORDS,
    baseline_words,
    counts_line,
    known_words,
    left_out,
    left_out_everywhere,
    printable,
)

__all__ = ["GithubRenderer"]

_COMMANDS = {"error": "error", "warning": "warning", "note": "notice"}


class GithubRenderer(Renderer):
    """A command for each finding, and for what keeps a file from being clean; the last line counts and is no command."""

    format = "github"
    suffix = None

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The commands, a line each."""
        everywhere = left_out_everywhere(report)
        lines: list[str] = []
        for file in report.files:
            lines += self._file(file)
            own = [one for one in file.rules_off if one not in everywhere]
            lines += [_command("note", "left out", words, file.path) for words in left_out(own, report)]
        lines += [_command("note", "left out", words) for words in left_out(everywhere, report)]
        if report.baseline is not None:
            lines.append(_command("note", "baseline", baseline_words(report.baseline)))
        lines.append(counts_line(report.counts))
        return ("\n".join(lines) + "\n").encode()

    def _file(self, file: FileReport) -> Iterator[str]:
        if file.status == "unreadable":
            yield _command("error", UNREADABLE, told_unreadable(file), file.path)
        for page in file.pages:
            on = on_page(file, page.number)
            for finding in page.findings:
                if finding.known is None or finding.waived is not None or finding.rule == RULE_FAILED:
                    yield _finding(finding, on, file.path)
            # GitHub shows ten notes of a level for each step: what was known takes one of them, and what was not checked one
            # for each kind.
            known = known_words(
                [one for one in page.findings if one.waived is None and one.rule != RULE_FAILED]
            )
            if known:
                lines = [f"{on}, {words}" if on else words for words in known]
                yield _command("note", "known", "\n".join(lines), file.path)
            by_kind: dict[str, list[str]] = {}
            for kind, sentence, _ in gathered(page, MESSAGES_SHOWN):
                by_kind.setdefault(kind, []).append(f"{on}, {sentence}" if on else sentence)
            for kind, level in NOT_CHECKED_LEVELS.items():
                if kind in by_kind:
                    title = f"not checked ({KIND_WORDS[kind]})"
                    yield _command(level, title, "\n".join(by_kind[kind]), file.path)


def _finding(finding: Finding, on: str | None, path: str) -> str:
    level, title = str(finding.level), finding.rule
    lines = [printable(finding.message), *details(finding, on)]
    if finding.waived is not None:
        level, title = "note", f"waived: {finding.rule}"
        lines.append(f"Waived because: {printable(finding.waived)}")
    return _command(level, title, "\n".join(lines), path, line_of(finding.objects))


def _command(level: str, title: str, message: str, path: str | None = None, line: int | None = None) -> str:
    """One command. ``message`` may have several lines, which are shown as such; the other texts have one."""
    values = {"file": path, "line": None if line is None else str(line), "title": title}
    said = ",".join(f"{name}={_property(value)}" for name, value in values.items() if value)
    return f"::{_COMMANDS[level]} {said}::{_data(message)}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(printable(text)).replace(":", "%3A").replace(",", "%2C")
