"""The HTML report's source: one file, the same each time, escaped, guarded by its policy."""

from __future__ import annotations

import base64
import hashlib
import json
import math
import re

from drawn_samples import RULES, drawings_of, sheet_drawing
from report_samples import gap, report_of

from preflight.reports.html import HtmlRenderer
from preflight.reports.report import FileReport, PageReport, Report


def source(report: Report) -> str:
    return HtmlRenderer(RULES).render(report, drawings_of(ferry=sheet_drawing())).decode()


def test_the_same_report_gives_the_same_bytes(everything: Report) -> None:
    assert source(everything) == source(everything)


def test_the_policy_names_exactly_what_is_inlined(everything: Report) -> None:
    text = source(everything)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)
    assert policy is not None
    assert "default-src &#39;none&#39;; img-src data:;" in policy[1]
    for tag in ("style", "script"):
        inlined = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
        assert len(inlined) == 1
        digest = base64.b64encode(hashlib.sha256(inlined[0].encode()).digest()).decode()
        assert f"{tag}-src &#39;sha256-{digest}&#39;" in policy[1]


def test_nothing_is_loaded_from_elsewhere(everything: Report) -> None:
    text = re.sub(r'src="data:[^"]*"', "", source(everything))
    assert not re.search(r"""(?:src|href|action)=["'](?!#)""", text)
    assert "url(" not in text
    assert "@import" not in text


def test_script_data_is_inert_and_whole() -> None:
    finding = gap(bounds_mm=None, points_mm=((1.0, 2.0),), message="</script><!--\u2028")
    page = PageReport(number=1, size_mm=(1, 1), findings=(finding, gap(bounds_mm=None, points_mm=())))
    report = report_of(
        FileReport(path="ferry.svg", sha256=None, format="svg", status="checked", pages=(page,))
    )
    block = re.search(r'id="report-data">(.*?)</script>', source(report), re.DOTALL)
    assert block is not None
    assert not set(block[1]) & set("<>&\u2028\u2029")
    [sheet] = json.loads(block[1])
    assert sheet["places"] == [
        {"id": "s1-e1", "number": 1, "kind": "error", "at": [1.0, 2.0], "points": [[1.0, 2.0]], "box": None}
    ]


def test_what_a_baseline_holds_in_vain_is_listed(everything: Report) -> None:
    text = source(everything)
    assert "known.json holds 2 findings; 1 is no longer found" in text
    assert "<li>ferry.svg: contour-open 1</li>" in text


def test_rule_pages_are_escaped_prose(everything: Report) -> None:
    text = source(everything)
    assert "<li>&lt;b&gt;Not bold&lt;/b&gt; &amp; not a tag.</li>" in text
    assert "<code>closed_within</code>" in text


def test_an_empty_report_and_a_page_without_size_are_pages_too() -> None:
    assert "No file was checked." in source(report_of())
    page = PageReport(number=1, size_mm=(0.0, 0.0))
    file = FileReport(path="flat.svg", sha256=None, format="svg", status="checked", pages=(page,))
    assert "Nothing found on this page" in source(report_of(file))


def test_a_broken_path_name_does_not_break_the_page() -> None:
    file = FileReport(path="bad\udcff.svg", sha256=None, format="svg", status="checked", pages=())
    unread = FileReport(path="bad\udcff", sha256=None, format=None, status="unreadable", reason="torn")
    assert "bad\\udcff" in source(report_of(file, unread))


def test_a_place_that_is_not_finite_is_no_place() -> None:
    lost = gap(points_mm=((math.nan, 1.0),), bounds_mm=(math.nan, 0.0, math.inf, 1.0))
    page = PageReport(number=1, size_mm=(1, 1), findings=(lost, gap(points_mm=((1.0, 2.0), (math.inf, 2.0)))))
    text = source(
        report_of(FileReport(path="f.svg", sha256=None, format="svg", status="checked", pages=(page,)))
    )
    block = re.search(r'id="report-data">(.*?)</script>', text, re.DOTALL)
    assert block is not None
    assert [(place["id"], place["points"]) for place in json.loads(block[1])[0]["places"]] == [
        ("s1-e2", [[1.0, 2.0]])
    ]
