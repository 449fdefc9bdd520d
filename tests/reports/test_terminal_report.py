"""The report on a terminal and in a pipe."""

from __future__ import annotations

import io
import re
import sys

import pytest
from report_samples import gap, report_of

from preflight.reports.report import (
    BaselineUse,
    FileReport,
    HeldFinding,
    NotChecked,
    PageReport,
    Report,
    RuleOff,
)
from preflight.reports.terminal import FILES_SHOWN, SHOWN_PER_RULE, TextRenderer


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def text_of(report: Report, width: int = 80, colour: bool = False) -> str:
    return TextRenderer(width=width, colour=colour).render(report, lambda path: ()).decode()


def one_page(**values: object) -> Report:
    page = PageReport(number=1, size_mm=(10, 10), **values)  # type: ignore[arg-type]
    return report_of(FileReport(path="a.svg", sha256=None, format="svg", status="checked", pages=(page,)))


def test_everything_is_said(everything: Report) -> None:
    text = text_of(everything)
    for words in (
        "ferry.svg", "contour-open", "x 12.3 mm, y 45.6 mm", "Found 0.3 mm, above the limit of 0.01 mm", "Join the two end nodes.",
        "path “cut-3”, layer “Kiss cut”, line 12", "Found 40 nodes, above the limit of 12 nodes", "not modelled: filter",
        "A blur is not modelled.", "the tea room wants it twice", "12 pieces", "14 contours", "1,234.5 mm",
        "25.12 m", "Kiss cut", "torn.svg", "it is not XML: line 3", "Export it again.",
    ):  # fmt: skip
        assert words in text
    assert text.splitlines()[-1] == (
        "2 files: 1 error, 1 warning, 1 note, 2 not checked, 1 known, 1 waived, 1 unreadable"
    )


@pytest.mark.parametrize(
    "level", ["error", "warning", "note", "not checked", "known", "waived", "baseline", "unreadable"]
)
def test_each_entry_begins_with_its_word(everything: Report, level: str) -> None:
    assert re.search(rf"^  {level}  ", text_of(everything), re.MULTILINE)


def test_worst_first(everything: Report) -> None:
    text = text_of(everything)
    order = [
        text.index(rule) for rule in ("contour-open", "step-misspelt", "node-excess", "contour-duplicate")
    ]
    assert order == sorted(order)


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_is_wider_than_the_terminal(everything: Report, width: int) -> None:
    assert max(map(len, text_of(everything, width).splitlines()[:-1])) <= width


def test_a_clean_file_says_so(clean: Report) -> None:
    text = text_of(clean)
    assert "Nothing found." in text
    assert text.splitlines()[-1] == "1 file: 0 errors, 0 warnings, 0 notes"


def test_not_checked_never_looks_clean() -> None:
    text = text_of(one_page(not_checked=(NotChecked(what="filter", message="A blur."),)))
    assert "Nothing found." not in text
    assert "Nothing found, save for what was not checked below." in text
    assert "1 not checked" in text


def test_what_was_known_before_is_counted_by_rule_and_never_looks_clean() -> None:
    findings = (
        *(gap(float(index), known="baseline") for index in range(12)),
        gap(rule="corner-tight", known="baseline"),
        gap(rule="corner-tight", known="earlier version"),
    )
    lines = [line.strip() for line in text_of(one_page(findings=findings)).splitlines()]
    assert "Nothing found, save for what was known below." in lines
    assert "known        contour-open 12, corner-tight 1 (in the baseline)" in lines
    assert "corner-tight 1 (in the earlier version, too)" in lines
    assert lines[-1] == "1 file: 0 errors, 0 warnings, 0 notes, 14 known"


def test_what_a_baseline_holds_in_vain_is_told_by_file_and_rule() -> None:
    gone = tuple(
        HeldFinding(
            path=f"{number}.svg", page=1, rule=rule, subject=None, layers=(), bounds_mm=None, fingerprint=rule
        )
        for number in range(FILES_SHOWN + 2)
        for rule in ("contour-open", "contour-open", "corner-tight")
    )
    report = report_of(baseline=BaselineUse(path="known.json", held=30, not_found=gone))
    lines = [line.strip() for line in text_of(report).splitlines()]
    assert "0.svg: contour-open 2, corner-tight 1" in lines
    assert f"{FILES_SHOWN - 1}.svg: contour-open 2, corner-tight 1" in lines
    assert f"{FILES_SHOWN}.svg: contour-open 2, corner-tight 1" not in lines
    assert "… and in 2 more files" in lines


def test_what_is_waived_counts_as_waived_where_it_is_known_as_well() -> None:
    lines = text_of(one_page(findings=(gap(waived="a slit", known="baseline"),))).splitlines()
    assert lines[-1] == "1 file: 0 errors, 0 warnings, 0 notes, 1 waived"


def test_many_of_a_rule_are_counted() -> None:
    findings = tuple(gap(float(index)) for index in range(2000))
    text = text_of(one_page(findings=findings))
    assert text.count("contour-open  ") == SHOWN_PER_RULE
    assert "… and 1,990 more of contour-open" in text
    assert "2,000 errors" in text


def test_exactly_as_many_as_are_shown_hides_none() -> None:
    text = text_of(one_page(findings=tuple(gap(float(index)) for index in range(SHOWN_PER_RULE))))
    assert "more of" not in text


def test_a_name_cannot_steer_the_terminal() -> None:
    hostile = "\x1b]0;title\x07\x9b31m\u202eevil\nforged  error"
    finding = gap(message=hostile, hint=hostile, waived=None)
    report = report_of(
        FileReport(
            path=hostile, sha256=None, format="svg", status="checked",
            pages=(PageReport(number=1, size_mm=(1, 1), findings=(finding,),
                              not_checked=(NotChecked(what=hostile, message=hostile),)),),
        ),
        FileReport(path="bad\udcff", sha256=None, format=None, status="unreadable", reason=hostile, hint=hostile),
    )  # fmt: skip
    text = text_of(report)
    assert not set(text) & set("\x1b\x07\x9b\u202e")
    assert "\nforged" not in text
    assert "\\u001b" in text
    assert "bad\\udcff" in text


def test_colour_is_added_only_when_asked(everything: Report) -> None:
    plain, coloured = text_of(everything), text_of(everything, colour=True)
    assert "\x1b" not in plain
    assert "\x1b[1;31merror\x1b[0m" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


@pytest.mark.parametrize(
    ("stream", "environment", "coloured"),
    [
        (Terminal(), {"TERM": "xterm"}, True),
        (Terminal(), {"TERM": "xterm", "NO_COLOR": ""}, True),
        (Terminal(), {"TERM": "xterm", "NO_COLOR": "1"}, False),
        (Terminal(), {"TERM": "dumb"}, False),
        (io.StringIO(), {"TERM": "xterm"}, False),
    ],
)
def test_colour_by_terminal_and_environment(
    monkeypatch: pytest.MonkeyPatch,
    everything: Report,
    stream: io.StringIO,
    environment: dict[str, str],
    coloured: bool,
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", stream)
    assert (b"\x1b[" in TextRenderer().render(everything, lambda path: ())) is coloured


def test_a_pipe_is_80_columns_unless_the_environment_says_otherwise(
    monkeypatch: pytest.MonkeyPatch, everything: Report
) -> None:
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    for said, width in (("", 80), ("100", 100)):
        monkeypatch.setenv("COLUMNS", said)
        text = TextRenderer(colour=False).render(everything, lambda path: ()).decode()
        assert text == text_of(everything, width)


def test_an_empty_report_still_counts() -> None:
    assert text_of(report_of()) == "0 files: 0 errors, 0 warnings, 0 notes\n"


def file_without(path: str, *off: RuleOff) -> FileReport:
    page = PageReport(number=1, size_mm=(10, 10))
    return FileReport(path=path, sha256=None, format="svg", status="checked", rules_off=off, pages=(page,))


IGNORED = RuleOff(rule="contour-open", because="ignored")
OVERRIDDEN = RuleOff(rule="corner-tight", because="override", reason="cut on the old machine")


def test_rules_left_out_are_said_with_who_left_them_out() -> None:
    text = text_of(report_of(file_without("a.svg", IGNORED, OVERRIDDEN)))
    assert "Nothing found." not in text
    assert "Nothing found, save for what was left out below." in text
    assert "  left out     contour-open (--ignore)\n" in text
    assert "               corner-tight (off for this file: cut on the old machine)\n" in text


def test_what_is_left_out_of_all_files_is_said_once() -> None:
    text = text_of(report_of(file_without("a.svg", IGNORED), file_without("b.svg", IGNORED, OVERRIDDEN)))
    assert text.count("contour-open (--ignore)") == 1
    first, second = text.index("b.svg"), text.index("contour-open (--ignore)")
    assert first < text.index("corner-tight (off for this file") < second


def test_a_selection_names_what_was_kept() -> None:
    off = tuple(RuleOff(rule=rule, because="not selected") for rule in ("corner-tight", "node-excess"))
    assert "all rules but contour-open (--select)" in text_of(report_of(file_without("a.svg", *off)))


def test_nothing_is_said_of_rules_when_all_judged(clean: Report) -> None:
    assert "left out" not in text_of(clean)


def test_kinds_of_what_was_not_checked_are_told_apart_gravest_first() -> None:
    text = text_of(
        one_page(
            not_checked=(
                NotChecked(kind="assumed", what="size", message="96 px to the inch."),
                NotChecked(kind="fault", what="path", message="It breaks off."),
                NotChecked(kind="not-modelled", what="mask", message="A mask."),
                NotChecked(kind="not-modelled", what="filter", message="A blur."),
            )
        )
    )
    told = ["not modelled: filter", "not modelled: mask", "Look at it yourself", "fault in the file: path",
            "read as its standard says", "assumed: size", "Confirm that it is so."]  # fmt: skip
    places = [text.index(words) for words in told]
    assert places == sorted(places)
    assert text.count("Look at it yourself") == 1


def test_every_entry_of_a_file_of_several_pages_says_its_page() -> None:
    pages = tuple(
        PageReport(
            number=number,
            size_mm=(10, 10),
            findings=(gap(page=number), gap(page=number, bounds_mm=None, points_mm=(), rule="step-missing")),
            not_checked=(NotChecked(what="mask", message="A mask."),),
        )
        for number in (1, 2)
    )
    file = FileReport(path="a.pdf", sha256=None, format="pdf", status="checked", pages=pages)
    text = text_of(report_of(file))
    for number in (1, 2):
        assert re.search(rf"contour-open +page {number}, x 12.3 mm, y 45.6 mm$", text, re.MULTILINE)
        assert re.search(rf"step-missing +page {number}$", text, re.MULTILINE)
        assert re.search(rf"mask +page {number}$", text, re.MULTILINE)
    assert "page" not in text_of(one_page(findings=(gap(),)))
