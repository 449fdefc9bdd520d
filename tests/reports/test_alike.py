"""What was not checked is gathered by likeness on display: none is lost, none buries the findings."""

from __future__ import annotations

import re

import pytest
from report_samples import gap, report_of

from preflight.reports.alike import MESSAGES_SHOWN, alike
from preflight.reports.html import HtmlRenderer
from preflight.reports.html.sheets import MESSAGES_LISTED, sheets_of
from preflight.reports.json import JsonRenderer
from preflight.reports.report import FileReport, NotChecked, PageReport, Report
from preflight.reports.terminal import TextRenderer
from preflight.rule import ObjectReference


def fault(message: str, number: int = 0, what: str = "operand", kind: str = "fault") -> NotChecked:
    return NotChecked(
        kind=kind,  # type: ignore[arg-type]
        what=what,
        message=message,
        bounds_mm=(number, number, number + 1, number + 1),
        object=ObjectReference(f"p1 op {number}", None, "path"),
    )


DAMAGED = (
    *(fault(f"Token {number} is unknown.", number, "operator") for number in range(30)),
    *(fault("c lacks operands.", number) for number in range(40)),
    fault("m lacks operands."),
    NotChecked(kind="not-modelled", what="filter", message="A blur."),
)


@pytest.fixture
def damaged() -> Report:
    page = PageReport(number=1, size_mm=(100, 100), findings=(gap(),), not_checked=DAMAGED)
    return report_of(FileReport(path="a.pdf", sha256=None, format="pdf", status="checked", pages=(page,)))


def test_every_entry_is_in_one_gathering_the_gravest_and_commonest_first() -> None:
    gathered = list(alike(DAMAGED, 2))
    assert sorted(map(id, (entry for one in gathered for entry in one.entries))) == sorted(map(id, DAMAGED))
    told = [(one.entries[0].what, len(one.entries), one.others) for one in gathered]
    assert told == [
        ("filter", 1, False), ("operand", 40, False), ("operand", 1, False),
        ("operator", 1, False), ("operator", 1, False), ("operator", 28, True),
    ]  # fmt: skip
    assert list(alike((), 2)) == []


def test_kinds_are_not_mixed_though_their_words_are_the_same() -> None:
    pair = (fault("It is so.", kind="fault"), fault("It is so.", kind="assumed"))
    assert [[one.entries[0].kind, len(one.entries)] for one in alike(pair, 2)] == [
        ["fault", 1],
        ["assumed", 1],
    ]


def test_the_terminal_shows_a_few_and_says_how_many_it_leaves_out(damaged: Report) -> None:
    text = " ".join(TextRenderer(width=80, colour=False).render(damaged, lambda path: ()).decode().split())
    assert re.search(
        r"operand +40 times c lacks operands\. path “p1 op 0”, x 0\.5 mm, y 0\.5 mm; .* and 38 more", text
    )
    assert text.count("is unknown.") == MESSAGES_SHOWN
    assert f"… and {30 - MESSAGES_SHOWN} more, fault in the file: operator" in text
    assert text.count("m lacks operands.") == 1
    assert "72 not checked" in text
    assert len(text) < 2000


def test_exactly_as_many_messages_as_are_shown_leave_none_out() -> None:
    entries = tuple(fault(f"Token {number}.", number) for number in range(MESSAGES_SHOWN))
    page = PageReport(number=1, size_mm=(9, 9), not_checked=entries)
    file = FileReport(path="a.pdf", sha256=None, format="pdf", status="checked", pages=(page,))
    text = TextRenderer(width=80, colour=False).render(report_of(file), lambda path: ()).decode()
    assert all(entry.message in text for entry in entries)
    assert "more" not in text


def test_the_page_gathers_them_counts_them_all_and_marks_every_place(damaged: Report) -> None:
    (sheet,) = sheets_of(damaged, lambda path: ())
    (group,) = (group for group in sheet.groups if group.kind == "unchecked")
    assert sheet.count("unchecked") == group.total == 72
    assert len(group.entries) == 1 + 2 + MESSAGES_LISTED + 1
    common = next(entry for entry in group.entries if entry.times == 40)
    assert len(common.points) == len(common.objects) == 40
    assert common.box == (0, 0, 40, 40)
    rest = group.entries[-1]
    assert (rest.times, len(rest.points)) == (20, 20)
    html = HtmlRenderer().render(damaged, lambda path: ()).decode()
    assert "c lacks operands. Met 40 times." in html
    assert "And 20 more of this kind in other words" in html
    assert "72</b> Not checked" in html


def test_json_keeps_all(damaged: Report) -> None:
    data = JsonRenderer().render(damaged, lambda path: ()).decode()
    assert data.count('"what"') == 72
