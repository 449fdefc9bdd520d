"""The JSON report and its schema."""

from __future__ import annotations

import json

import jsonschema
import msgspec
import pytest
from report_samples import gap, report_of

from preflight.reports.json import JsonRenderer
from preflight.reports.report import BaselineUse, FileReport, HeldFinding, PageReport, Report
from preflight.reports.schema import report_schema


def rendered(report: Report) -> bytes:
    return JsonRenderer().render(report, lambda path: ())


def test_keys_stand_in_the_order_of_the_design(everything: Report) -> None:
    document = json.loads(rendered(everything))
    assert list(document) == ["format", "version", "tool", "profile", "rules", "files", "counts", "baseline"]
    assert list(document["files"][0])[:4] == ["path", "sha256", "format", "status"]
    assert list(document["files"][0]["pages"][0]) == [
        "number",
        "size_mm",
        "findings",
        "not_checked",
        "production",
        "scale",
        "colours",
    ]
    assert list(document["files"][0]["pages"][0]["findings"][0]) == [
        "rule", "level", "message", "hint", "page", "bounds_mm", "points_mm",
        "area_mm", "area_shows", "subject", "objects", "measured", "fix",
        "fingerprint", "waived", "waived_in", "known",
    ]  # fmt: skip
    assert document["counts"] == {
        "files": 2, "unreadable": 1, "error": 1, "warning": 1, "note": 1, "not_checked": 2, "waived": 1,
        "known": 1,
    }  # fmt: skip


def test_the_same_report_gives_the_same_bytes(everything: Report) -> None:
    first = rendered(everything)
    assert first == rendered(everything)
    assert first.endswith(b"}\n")
    assert b'\n  "version": 1,' in first


def test_values_come_back_unchanged(everything: Report) -> None:
    finding = json.loads(rendered(everything))["files"][0]["pages"][0]["findings"][0]
    assert finding["measured"] == {"value": 0.3, "limit": 0.01, "unit": "mm"}
    assert finding["points_mm"][0] == [12.34, 45.61]
    assert finding["objects"] == [
        {"ref": "cut-3", "layer": "Kiss cut", "kind": "path", "line": 12, "drawn_at": None}
    ]


def test_a_report_satisfies_its_schema(everything: Report, clean: Report) -> None:
    schema = report_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    for report in (everything, clean):
        jsonschema.validate(json.loads(rendered(report)), schema)


@pytest.mark.parametrize(("key", "value"), [("level", "fatal"), ("fix", "maybe"), ("points_mm", [[1]])])
def test_the_schema_refuses_a_wrong_finding(everything: Report, key: str, value: object) -> None:
    document = json.loads(rendered(everything))
    document["files"][0]["pages"][0]["findings"][0][key] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, report_schema())


def test_hostile_names_and_broken_paths_are_still_json() -> None:
    page = PageReport(number=1, size_mm=(1, 1), findings=(gap(message='"\u2028</script>\x00'),))
    report = report_of(
        FileReport(path="bad\udcff.svg", sha256=None, format="svg", status="checked", pages=(page,))
    )
    gone = HeldFinding(
        path="gone\udcff.svg",
        page=1,
        rule="contour-open",
        subject=None,
        layers=(),
        bounds_mm=None,
        fingerprint="1",
    )
    use = BaselineUse(path="known\udcff.json", held=1, not_found=(gone,))
    document = json.loads(rendered(msgspec.structs.replace(report, baseline=use)))
    assert document["files"][0]["path"] == "bad\\udcff.svg"
    assert document["baseline"]["path"] == "known\\udcff.json"
    assert document["baseline"]["not_found"][0]["path"] == "gone\\udcff.svg"
    assert document["files"][0]["pages"][0]["findings"][0]["message"] == '"\u2028</script>\x00'
