"""Questions to the store: which files fit, and what is no question."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing

import pytest

from preflight.audit.messages import Answer, FoundFault, Name
from preflight.audit.questions import QuestionError, condition
from preflight.audit.reading import Reading
from preflight.audit.store import Store

RULES = ["contour-open", "text-live"]


def fault(rule: str, level: str, waived: str | None = None, message: str = "Gap of 1 mm.") -> FoundFault:
    return FoundFault(1, rule, level, waived, message, "", None, None, None, None, "0")


ANSWERS = [
    Answer("a.svg", "1", sha256="a", format="svg", findings=(fault("contour-open", "error"),)),
    Answer(
        "north/b_1.pdf",
        "1",
        sha256="b",
        format="pdf",
        findings=(fault("contour-open", "warning"), fault("text-live", "error", message="Live text.")),
        names=(Name("spot", "Tea Room Red"), Name("layer", "Kiss cut"), Name("step", "kiss")),
    ),
    Answer(
        "north/deep/c.svg", "1", sha256="c", format="svg", findings=(fault("text-live", "error", "agreed"),)
    ),
    Answer("northern.svg", "1", status="unreadable", reason="The file is empty", counts=(0, 0, 0, 0, 0)),
    Answer("south/bx1.pdf", "1", sha256="d", format="pdf", counts=(0, 0, 0, 3, 0)),
]


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Reading]:
    path = tmp_path_factory.mktemp("store") / "s.sqlite"
    with closing(Store(path, "/root")) as store:
        store.begin([(one.path, f"2026-0{number}") for number, one in enumerate(ANSWERS, 1)], [], [])
        for one in ANSWERS:
            store.keep(one, "j", None)
        store.finish()
    with closing(Reading(path)) as opened:
        yield opened


@pytest.mark.parametrize(
    ("questions", "paths"),
    [
        (["rule=contour-open"], ["a.svg", "north/b_1.pdf"]),
        (["rule=contour-open level=error"], ["a.svg"]),
        (["rule=contour-open", "level=error"], ["a.svg", "north/b_1.pdf"]),
        (["rule=contour-open", "rule=text-live"], ["north/b_1.pdf"]),
        (["rule=contour-open rule=contour-open"], ["a.svg", "north/b_1.pdf"]),
        (["rule=contour-open level=warning", "rule=text-live level=error"], ["north/b_1.pdf"]),
        (["rule=contour-open level=error", "rule=text-live"], []),
        (["rule=text-live"], ["north/b_1.pdf"]),
        (["rule=unreadable"], ["northern.svg"]),
        (["rule=not-checked"], ["south/bx1.pdf"]),
        (["status=unreadable"], ["northern.svg"]),
        (["spot='TEA-ROOM red'"], ["north/b_1.pdf"]),
        (["layer=kisscut step=kiss"], ["north/b_1.pdf"]),
        (["folder=north"], ["north/b_1.pdf", "north/deep/c.svg"]),
        (["folder=north/"], ["north/b_1.pdf", "north/deep/c.svg"]),
        (["folder=. format=svg"], ["a.svg", "north/deep/c.svg"]),
        (["month=2026-05"], ["south/bx1.pdf"]),
        (["path=*b_1*"], ["north/b_1.pdf"]),
        (["text='*live TEXT*'"], ["north/b_1.pdf"]),
        (["reason=*empty"], ["northern.svg"]),
        (['spot="\'; DROP TABLE files --"'], []),
    ],
)
def test_files_that_fit(questions: list[str], paths: list[str], reading: Reading) -> None:
    assert [one.path for one in reading.files(*condition(questions, RULES))] == paths


@pytest.mark.parametrize(
    ("question", "told"),
    [
        ("", "empty"),
        ("contour-open", "key=value"),
        ("rule=", "key=value"),
        ("rul=contour-open", "did you mean 'rule'"),
        ("colour=red", "the keys are"),
        ("rule=contour-opn", "did you mean 'contour-open'"),
        ("level=fatal", "error, warning, note"),
        ("spot='Tea", "in quotes"),
    ],
)
def test_what_is_no_question_is_told(question: str, told: str) -> None:
    with pytest.raises(QuestionError, match=told):
        condition([question], RULES)


@pytest.mark.parametrize(
    ("questions", "told"),
    [
        (["rule=contour-open rule=text-live"], "a finding has one rule"),
        (["level=error level=note"], "--query of its own"),
        (["rule=unreadable rule=contour-open"], "a finding has one rule"),
        (["format=svg format=pdf"], "a file has one format"),
        (["status=checked", "status=unreadable"], "a file has one status"),
        (["month=2026-01", "month=2026-02"], "a file has one month"),
    ],
)
def test_what_could_be_true_of_nothing_is_refused(questions: list[str], told: str) -> None:
    with pytest.raises(QuestionError, match=told):
        condition(questions, RULES)
