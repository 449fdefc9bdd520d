"""The report as a GitLab code quality report. Knows no artwork.

Source of the properties: GitLab Docs, "Code Quality", "Implement a custom tool".
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from typing import Any

import msgspec

from preflight.rule import ObjectReference

from .alike import MESSAGES_SHOWN
from .annotating import (
    NOT_CHECKED_LEVELS,
    RULE_FAILED,
    UNREADABLE,
    gathered,
    line_of,
    on_page,
    reserve,
    told,
    told_unreadable,
)
from .report import Drawings, FileReport, Renderer, Report
from .words import baseline_words, left_out, printable

__all__ = ["GitlabRenderer"]

_SEVERITIES = {"error": "critical", "warning": "minor", "note": "info"}
_UNKNOWN = "blocker"
"""Where nothing is known of a file, or a rule broke down on it."""


class GitlabRenderer(Renderer):
    """One entry for each finding, each file that cannot be read and whatever else keeps a file from being clean.

    GitLab reads the entries up to the first that is not as it should be and drops the rest, and shows one where several have the
    same fingerprint. It knows no waiving: what is waived or known from before is told as ``info``, with the reason first.
    """

    format = "gitlab"
    suffix = None

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The entries as UTF-8, without a byte order mark."""
        entries = [entry for file in report.files for entry in _file(file, report)]
        if report.baseline is not None and report.baseline.not_found:
            words = baseline_words(report.baseline)
            entries.append(_entry(report.baseline.path, "baseline", "info", words, ()))
        return msgspec.json.format(msgspec.json.encode(_numbered(entries)), indent=2) + b"\n"


def _file(file: FileReport, report: Report) -> Iterator[dict[str, Any]]:
    if file.status == "unreadable":
        yield _entry(file.path, UNREADABLE, _UNKNOWN, told_unreadable(file), ())
    for page in file.pages:
        on = on_page(file, page.number)
        for finding in page.findings:
            key = (finding.fingerprint or f"{page.number} {finding.message}",)
            why = reserve(finding)
            if finding.rule == RULE_FAILED:
                yield _entry(file.path, finding.rule, _UNKNOWN, told(finding, on), key, finding.objects)
            elif why is None:
                severity = _SEVERITIES[finding.level]
                yield _entry(file.path, finding.rule, severity, told(finding, on), key, finding.objects)
            else:
                words = f"{why} {told(finding, on)}"
                yield _entry(file.path, finding.rule, "info", words, (*key, why), finding.objects)
        for kind, sentence, one in gathered(page, MESSAGES_SHOWN):
            first = one.entries[0]
            same = (str(page.number), kind, first.what, "" if one.others else first.message)
            words = f"Not checked{f' on {on}' if on else ''}, {sentence}"
            severity = _SEVERITIES[NOT_CHECKED_LEVELS[kind]]
            objects = () if first.object is None or one.others else (first.object,)
            yield _entry(file.path, "not-checked", severity, words, same, objects)
    for words in left_out(file.rules_off, report):
        yield _entry(file.path, "left-out", "info", f"Left out: {words}.", (words,))


def _entry(
    path: str,
    check: str,
    severity: str,
    description: str,
    key: tuple[str, ...],
    objects: tuple[ObjectReference, ...] = (),
) -> dict[str, Any]:
    """One entry; its fingerprint is made from the file's path, the check and the key."""
    joined = "\x1f".join([path, check, *key])
    return {
        "description": description,
        "check_name": printable(check),
        "fingerprint": hashlib.sha256(joined.encode("utf-8", "surrogatepass")).hexdigest()[:32],
        "severity": severity,
        "location": {"path": printable(path), "lines": {"begin": line_of(objects) or 1}},
    }


def _numbered(entries: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The entries, each with a fingerprint of its own."""
    seen: Counter[str] = Counter()
    for entry in entries:
        own = entry["fingerprint"]
        seen[own] += 1
        if seen[own] > 1:
            entry["fingerprint"] = hashlib.sha256(f"{own}\x1f{seen[own]}".encode()).hexdigest()[:32]
    return entries
