"""Questions to the store of an audit: which files have open cuts, which use a named colour. Knows no page."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Collection, Iterator, Sequence
from typing import Any

from preflight.profile.names import normalised
from preflight.profile.settings import nearest

__all__ = ["QuestionError", "condition"]


class QuestionError(ValueError):
    """A question that means nothing, with the mend."""


_Condition = tuple[str, list[Any]]

_BY_ENGINE = {"unreadable": "status = 'unreadable'", "not-checked": "not_checked > 0"}
"""What is asked for as if it were a rule's finding, and is none."""

_ONE_OF_FINDING = ("rule", "level")
_ONE_OF_FILE = ("format", "month", "status")
"""Keys of which there is one value only, without ``*``."""

_WORDS = {"status": ("checked", "unreadable"), "level": ("error", "warning", "note")}


def condition(questions: Sequence[str], rules: Collection[str]) -> _Condition:
    """A condition of SQL on the table ``files``, and its values: files of which all that is asked is true.

    A question is one or several ``key=value``; a value with blanks stands in quotes. ``rule``, ``level`` and ``text`` of one
    question are asked of one and the same finding, those of another may be true of another; waived ones are left out. ``*`` stands
    for anything.

    Parameters
    ----------
    rules : ids of all rules.

    Raises
    ------
    QuestionError
        A question means nothing, or nothing could be true of.
    """
    terms = [_terms(question) for question in questions]
    for one in terms:
        _refuse_two(one, _ONE_OF_FINDING, "a finding has one {key}; ask for each by a --query of its own")
    _refuse_two([term for one in terms for term in one], _ONE_OF_FILE, "a file has one {key}; ask for one")
    return _all([part for one in terms for part in _asked(one, rules)])


def _asked(terms: Sequence[tuple[str, str]], rules: Collection[str]) -> Iterator[_Condition]:
    """What one question asks of a file."""
    of_finding: list[_Condition] = []
    for key, value in terms:
        if key == "rule" and value in _BY_ENGINE:
            yield _BY_ENGINE[value], []
        elif key == "rule" and value not in rules:
            raise QuestionError(_no_rule(value, rules))
        elif key in _OF_FINDING:
            of_finding.append(_OF_FINDING[key](value))
        else:
            yield _OF_FILE[key](value)
    if of_finding:
        text, values = _all(of_finding)
        yield f"path IN (SELECT path FROM findings WHERE waived IS NULL AND {text})", values  # noqa: S608 -- of ours; values are bound


def _refuse_two(terms: Sequence[tuple[str, str]], keys: Collection[str], why: str) -> None:
    for key in keys:
        values = list(dict.fromkeys(value for asked, value in terms if asked == key))
        if len(values) > 1:
            told = " ".join(f"{key}={value}" for value in values)
            raise QuestionError(f"{told!r} is true of nothing: {why.format(key=key)}")


def _all(conditions: Sequence[_Condition]) -> _Condition:
    return " AND ".join(text for text, _ in conditions), [
        value for _, values in conditions for value in values
    ]


def _terms(question: str) -> list[tuple[str, str]]:
    try:
        words = shlex.split(question)
    except ValueError as error:
        raise QuestionError(f"{question!r}: {error}; put a value with blanks in quotes") from None
    if not words:
        raise QuestionError("the question is empty; ask for example rule=contour-open")
    return [_term(word) for word in words]


def _term(word: str) -> tuple[str, str]:
    key, equals, value = word.partition("=")
    known = sorted([*_OF_FILE, *_OF_FINDING])
    if not equals or not value:
        raise QuestionError(f"{word!r} is no question; write key=value, the keys are {', '.join(known)}")
    if key not in known:
        near = nearest(key, known)
        meant = f"did you mean {near!r}?" if near else f"the keys are {', '.join(known)}"
        raise QuestionError(f"{word!r}: there is no key {key!r}; {meant}")
    if key in _WORDS and value not in _WORDS[key]:
        raise QuestionError(f"{word!r}: {key} is one of {', '.join(_WORDS[key])}")
    return key, value


def _no_rule(name: str, rules: Collection[str]) -> str:
    near = nearest(name, sorted(rules))
    return f"there is no rule {name!r}; " + (
        f"did you mean {near!r}?" if near else "preflight explain lists them"
    )


def _like(column: str) -> Callable[[str], _Condition]:
    """The column fits a pattern in which ``*`` stands for anything, whatever the case."""

    def asked(value: str) -> _Condition:
        escaped = value.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_").replace("*", "%")
        return f"{column} LIKE ? ESCAPE '\\'", [escaped]

    return asked


def _name(kind: str) -> Callable[[str], _Condition]:
    """The file uses the name, compared as names are everywhere: without case, space and punctuation."""

    def asked(value: str) -> _Condition:
        return "path IN (SELECT path FROM names WHERE kind = ? AND plain = ?)", [kind, normalised(value)]

    return asked


def _below(value: str) -> _Condition:
    folder = value.strip("/") or "."
    if folder == ".":
        return "1", []
    return "(folder = ? OR substr(folder, 1, ?) = ?)", [folder, len(folder) + 1, folder + "/"]


def _is(column: str) -> Callable[[str], _Condition]:
    return lambda value: (f"{column} = ?", [value])


_OF_FILE: dict[str, Callable[[str], _Condition]] = {
    "folder": _below,
    "format": _is("format"),
    "layer": _name("layer"),
    "month": _is("month"),
    "path": _like("path"),
    "reason": _like("reason"),
    "spot": _name("spot"),
    "status": _is("status"),
    "step": _name("step"),
}

_OF_FINDING: dict[str, Callable[[str], _Condition]] = {
    "level": _is("level"),
    "rule": _is("rule"),
    "text": _like("message"),
}
