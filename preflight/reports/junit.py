"""The report as JUnit XML, for servers that show test results. Knows no artwork.

No standard defines the format. What is written keeps to what both schemas of the Jenkins project accept (``junit-4.xsd``, and
``junit-10.xsd`` of its xUnit plug-in), and says in text whatever it says in an attribute, since GitLab shows the text alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import msgspec

from preflight.rule import Finding, Level

from .annotating import (
    RULE_FAILED,
    UNREADABLE,
    failed_rule,
    gathered,
    judged,
    on_page,
    reserve,
    told,
    told_unreadable,
)
from .report import Drawings, FileReport, Renderer, Report
from .words import baseline_words, cause_of, counted, printable

if TYPE_CHECKING:
    from lxml.etree import _Element

__all__ = ["JunitRenderer"]

_NOT_CHECKED = "not-checked"


class _Case(msgspec.Struct):
    """One test: a rule on a file. Each list holds what is said of it, a line each."""

    name: str
    type: str = ""
    """Of the first thing that makes it err or fail, with its message in ``headline``."""
    headline: str = ""
    errors: list[str] = msgspec.field(default_factory=list)
    failures: list[str] = msgspec.field(default_factory=list)
    below: list[str] = msgspec.field(default_factory=list)
    """Findings that fail nothing."""
    reserved: list[str] = msgspec.field(default_factory=list)
    """Findings that are waived or known from before."""
    unjudged: list[str] = msgspec.field(default_factory=list)

    def ends(self) -> str:
        """How it ends. Where a rule broke down it is not known what else it would have found, so that comes first."""
        if self.errors:
            return "error"
        if self.failures:
            return "failure"
        return "skipped" if self.unjudged or (self.reserved and not self.below) else "passed"


class JunitRenderer(Renderer):
    """A suite for each file, a test for each rule; so a test keeps its name while findings come and go.

    Findings below ``fail_on`` fail no test and are told in its output.
    """

    format = "junit"
    suffix = ".xml"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The document as UTF-8, the same for the same report: no time, no host."""
        from lxml import etree

        suites = [(file, self._cases(file, report)) for file in report.files]
        root = etree.Element("testsuites", name=_clean(report.tool.name))
        _count(root, [case for _, cases in suites for case in cases], _OF_ALL)
        for file, cases in suites:
            suite = etree.SubElement(root, "testsuite", name=_clean(file.path))
            _count(suite, cases, _OF_SUITE)
            properties = etree.SubElement(suite, "properties")
            for name, value in _properties(file, report):
                etree.SubElement(properties, "property", name=name, value=_clean(value))
            for case in cases:
                _write(etree.SubElement(suite, "testcase", name=case.name, classname=_clean(file.path)), case)
        return etree.tostring(root, encoding="UTF-8", xml_declaration=True, pretty_print=True)

    def _cases(self, file: FileReport, report: Report) -> list[_Case]:
        """The tests of a file: every rule that judged it or was left out, in the order of the report, then whatever else there is."""
        if file.status == "unreadable":
            words = told_unreadable(file)
            return [_Case(UNREADABLE, UNREADABLE, words, errors=[words])]
        cases = {id_: _Case(_clean(id_)) for id_ in judged(file, report)}
        for one in file.rules_off:
            cases[one.rule] = _Case(_clean(one.rule), unjudged=[f"Left out: {cause_of(one)}."])
        for page in file.pages:
            on = on_page(file, page.number)
            for finding in page.findings:
                id_ = failed_rule(finding) or finding.rule
                self._add(cases.setdefault(id_, _Case(_clean(id_))), finding, on)
        unjudged = list(_not_checked(file))
        if unjudged:
            cases[_NOT_CHECKED] = _Case(_NOT_CHECKED, unjudged=unjudged)
        order = {rule.id: number for number, rule in enumerate(report.rules)}
        return [cases[id_] for id_ in sorted(cases, key=lambda id_: (order.get(id_, len(order)), id_))]

    def _add(self, case: _Case, finding: Finding, on: str | None) -> None:
        line = f"{finding.level}: {told(finding, on)}"
        why = reserve(finding)
        if finding.rule == RULE_FAILED:
            if not case.errors:
                case.type, case.headline = RULE_FAILED, finding.message
            case.errors.append(line)
        elif why is not None:
            case.reserved.append(f"{why} {line}")
        elif finding.level.rank <= self.fail_on.rank:
            if not case.errors and not case.failures:
                case.type, case.headline = str(finding.level), finding.message
            case.failures.append(line)
        else:
            case.below.append(line)


_OF_ALL = {"failures": "failure", "errors": "error"}
_OF_SUITE = {**_OF_ALL, "skipped": "skipped"}
"""Attributes that count, each with the ending that it counts."""


def _count(element: _Element, cases: Sequence[_Case], counted_ends: Mapping[str, str]) -> None:
    endings = [case.ends() for case in cases]
    element.set("tests", str(len(cases)))
    for attribute, ending in counted_ends.items():
        element.set(attribute, str(endings.count(ending)))


def _write(element: _Element, case: _Case) -> None:
    """What a test ended with, and what else is to be said of it."""
    from lxml import etree

    ending, beside = case.ends(), [*case.below]
    if ending == "passed":
        beside += case.reserved
    elif ending == "skipped":
        # Without attributes, which junit-4.xsd does not know here.
        etree.SubElement(element, ending).text = _text([*case.unjudged, *case.reserved])
    else:
        lines = [*case.errors, *case.failures]
        more = f"{counted(len(lines), 'finding')}, the first: " if len(lines) > 1 else ""
        headline = _clean(more + case.headline)
        etree.SubElement(element, ending, type=_clean(case.type), message=headline).text = _text(lines)
        beside += case.reserved
    if beside:
        etree.SubElement(element, "system-out").text = _text(beside)


def _properties(file: FileReport, report: Report) -> Iterator[tuple[str, str]]:
    """What is known of a file as a whole, by name; findings counted as they are, not as tests."""
    yield "profile", report.profile.name
    if report.baseline is not None:
        yield "baseline", baseline_words(report.baseline)
    yield "status", file.status
    if file.format is not None:
        yield "format", file.format
    if file.sha256 is not None:
        yield "sha256", file.sha256
    found = list(file.findings())
    for level in Level:
        yield str(level), str(sum(one.level is level and one.open for one in found))
    yield "waived", str(sum(one.waived is not None for one in found))
    yield "known", str(sum(one.waived is None and one.known is not None for one in found))
    yield "not_checked", str(sum(len(page.not_checked) for page in file.pages))


def _not_checked(file: FileReport) -> Iterator[str]:
    """Everything in a file that was not checked, a line each."""
    for page in file.pages:
        on = on_page(file, page.number)
        for _, sentence, _ in gathered(page, len(page.not_checked)):
            yield f"{on}, {sentence}" if on else sentence


def _text(lines: Sequence[str]) -> str:
    return "\n".join(map(_clean, lines))


def _clean(text: str) -> str:
    """The text with every character made visible that XML 1.0 (2.2, Char) does not allow, or that steers what is shown."""
    return printable(text).replace("\ufffe", "\\ufffe").replace("\uffff", "\\uffff")
