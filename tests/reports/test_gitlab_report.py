"""The GitLab code quality report.

Source of what is asked of each entry: GitLab Docs, "Code Quality", "Implement a custom tool"; that one entry that is not so ends the
reading: gitlabhq/gitlabhq, ``lib/gitlab/ci/parsers/codequality/code_climate.rb``; that one fingerprint is one entry: the same,
``lib/gitlab/ci/reports/codequality_reports.rb``.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from failed_reports import checked
from hostile_reports import hostile_report
from report_samples import gap, report_of

from preflight.reports.gitlab import GitlabRenderer
from preflight.reports.report import FileReport, PageReport, Report

ENTRIES = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "additionalProperties": False,
        "properties": {
            "description": {"type": "string", "minLength": 1},
            "check_name": {"type": "string", "minLength": 1},
            "fingerprint": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "properties": {
                    "path": {"type": "string", "minLength": 1},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}


def rendered(report: Report) -> bytes:
    return GitlabRenderer().render(report, lambda path: ())


def entries(report: Report) -> list[dict[str, Any]]:
    return list(json.loads(rendered(report)))


def test_every_entry_is_as_gitlab_asks(everything: Report, clean: Report, tmp_path: Path) -> None:
    for report in (everything, clean, report_of(), hostile_report(), checked(tmp_path, waivers=True)[0]):
        document = rendered(report)
        assert not document.startswith(b"\xef\xbb\xbf")
        jsonschema.validate(json.loads(document), ENTRIES)


def test_an_entry_says_what_where_and_how_bad(everything: Report) -> None:
    first = entries(everything)[0]
    assert (first["check_name"], first["severity"]) == ("contour-open", "critical")
    assert first["location"] == {"path": "ferry.svg", "lines": {"begin": 12}}
    assert first["description"].startswith("The ends of a cut contour are 0.3 mm apart. Found 0.3 mm")
    assert [one["severity"] for one in entries(everything)] == [
        *("critical", "minor", "info", "info", "info"),  # error, warning, note, waived, known
        *("minor", "info"),  # not modelled, assumed
        *("blocker", "info"),  # unreadable, baseline
    ]


def test_what_is_waived_or_not_checked_or_left_out_is_told(everything: Report, tmp_path: Path) -> None:
    told = [one["description"] for one in entries(everything)]
    assert any(one.startswith("Waived because: the tea room wants it twice.") for one in told)
    assert any(one.startswith("Known from the baseline.") for one in told)
    assert "1 is no longer found" in told[-1]
    assert sum(one.startswith("Not checked, ") for one in told) == 2
    report, _ = checked(tmp_path)
    (left_out,) = [one for one in entries(report) if one["check_name"] == "left-out"]
    assert "node-excess (off in the profile)" in left_out["description"]
    severities = {one["check_name"]: one["severity"] for one in entries(report)}
    assert severities["rule-failed"] == severities["unreadable"] == "blocker"


def test_fingerprints_are_their_own_in_all_files_and_stay(everything: Report) -> None:
    for report in (everything, hostile_report()):
        prints = [one["fingerprint"] for one in entries(report)]
        assert len(prints) == len(set(prints))
    page = PageReport(number=1, size_mm=(9, 9), findings=(gap(fingerprint=""), gap(fingerprint="")))
    same = [
        FileReport(path=f"{name}.svg", sha256=None, format="svg", status="checked", pages=(page,))
        for name in ("a", "b")
    ]
    prints = [one["fingerprint"] for one in entries(report_of(*same))]
    assert len(set(prints)) == 4
    assert prints[2:] == [one["fingerprint"] for one in entries(report_of(same[1]))]


def test_the_counts_come_back(everything: Report) -> None:
    for report in (everything, hostile_report()):
        counts, told = report.counts, Counter(one["severity"] for one in entries(report))
        assert (told["critical"], told["blocker"]) == (counts.error, counts.unreadable)
        assert sum(one["description"].startswith("Waived ") for one in entries(report)) == counts.waived


@pytest.mark.parametrize("number", [1, 3])
def test_an_empty_report_and_a_clean_file_have_no_entry(clean: Report, number: int) -> None:
    assert rendered(report_of(*clean.files * number)) == rendered(report_of()) == b"[]\n"
