"""Workflow commands, read as the runner reads them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from failed_reports import checked
from hostile_reports import NAMES, hostile_report
from report_samples import report_of

from preflight.reports.github import GithubRenderer
from preflight.reports.report import FileReport, PageReport, Report, RuleOff
from preflight.reports.words import printable

KNOWN = {"error", "warning", "notice"}
PROPERTIES = {"file", "line", "title"}
DATA = {"%0D": "\r", "%0A": "\n", "%25": "%"}
PROPERTY = {"%0D": "\r", "%0A": "\n", "%3A": ":", "%2C": ",", "%25": "%"}

Command = tuple[str, dict[str, str], str]


def unescaped(text: str, escapes: dict[str, str]) -> str:
    for escape, character in escapes.items():
        text = text.replace(escape, character)
    return text


def read(line: str) -> Command | None:
    """One line as the runner takes it.

    Source: actions/runner, ``src/Runner.Common/ActionCommand.cs``, ``TryParseV2``, told in Python: the last escape is undone
    last, properties are split at every comma.
    """
    line = line.lstrip()
    end = line.find("::", 2)
    if not line.startswith("::") or end < 0:
        return None
    name, _, properties = line[2:end].partition(" ")
    pairs = (one.partition("=") for one in properties.strip().split(",") if one)
    values = {key: unescaped(value, PROPERTY) for key, _, value in pairs if value}
    return name, values, unescaped(line[end + 2 :], DATA)


def lines(report: Report) -> list[str]:
    document = GithubRenderer().render(report, lambda path: ()).decode()
    assert document.endswith("\n")
    return document[:-1].split("\n")


def commands(report: Report) -> list[Command]:
    return [one for line in lines(report) if (one := read(line)) is not None]


def test_a_command_says_what_where_and_how_bad(everything: Report) -> None:
    name, properties, message = commands(everything)[0]
    assert (name, properties) == ("error", {"file": "ferry.svg", "line": "12", "title": "contour-open"})
    assert message.split("\n") == [
        "The ends of a cut contour are 0.3 mm apart.",
        "Found 0.3 mm, above the limit of 0.01 mm.",
        "Where: x 12.3 mm, y 45.6 mm; path “cut-3”, layer “Kiss cut”, line 12.",
        "To mend: Join the two end nodes.",
    ]
    assert [(name, properties["title"]) for name, properties, _ in commands(everything)] == [
        ("error", "contour-open"),
        ("warning", "step-misspelt"),
        ("notice", "node-excess"),
        ("notice", "waived: contour-duplicate"),
        ("notice", "known"),
        ("warning", "not checked (not modelled)"),
        ("notice", "not checked (assumed)"),
        ("error", "unreadable"),
        ("notice", "baseline"),
    ]
    assert (
        "notice",
        {"file": "ferry.svg", "title": "known"},
        "corner-tight 1 (in the baseline)",
    ) in commands(everything)


def test_the_last_line_counts_and_is_no_command(everything: Report, clean: Report) -> None:
    for report in (everything, clean, report_of()):
        assert read(lines(report)[-1]) is None
    assert lines(clean) == ["1 file: 0 errors, 0 warnings, 0 notes"]
    assert lines(report_of()) == ["0 files: 0 errors, 0 warnings, 0 notes"]


def test_no_text_of_a_file_becomes_a_command_or_leaves_its_property() -> None:
    report = hostile_report()
    for line in lines(report)[:-1]:
        command = read(line)
        assert command is not None
        name, properties, message = command
        assert name in KNOWN
        assert properties.keys() <= PROPERTIES
        assert properties["file"] in {printable(file.path) for file in report.files}
        assert properties["title"]
        assert message
    assert lines(report)[-1].startswith("40 files: ")
    found = {properties["file"] for _, properties, _ in commands(report)}
    assert found >= set(map(printable, NAMES))


def test_the_counts_come_back(everything: Report) -> None:
    for report in (everything, hostile_report()):
        told = Counter((name, properties["title"]) for name, properties, _ in commands(report))
        waived = sum(number for (_, title), number in told.items() if title.startswith("waived: "))
        loud = sum(
            number for (name, title), number in told.items() if name == "error" and title != "unreadable"
        )
        assert (loud, waived) == (report.counts.error, report.counts.waived)
        assert told["error", "unreadable"] == report.counts.unreadable


def test_broken_rules_and_unreadable_files_are_errors(tmp_path: Path) -> None:
    report, _ = checked(tmp_path)
    loud = {properties["title"] for name, properties, _ in commands(report) if name == "error"}
    assert {"rule-failed", "unreadable", "contour-open"} <= loud


def test_rules_left_out_of_all_files_are_told_once() -> None:
    everywhere = RuleOff(rule="corner-tight", because="ignored")
    here = RuleOff(rule="node-excess", because="override", reason="cut, years: ago")
    page = PageReport(number=1, size_mm=(9, 9))
    first, second = (
        FileReport(path=path, sha256=None, format="svg", status="checked", rules_off=off, pages=(page,))
        for path, off in (("a.svg", (everywhere, here)), ("b.svg", (everywhere,)))
    )
    told = [
        (properties.get("file"), message) for _, properties, message in commands(report_of(first, second))
    ]
    assert told == [
        ("a.svg", "node-excess (off for this file: cut, years: ago)"),
        (None, "corner-tight (--ignore)"),
    ]
