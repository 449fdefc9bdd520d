"""Whether content that belongs to several layers at once shows. Knows no page and no operator.

ISO 32000-1, 8.11.2.2: optional content membership dictionaries with their policies and visibility expressions.
"""

from __future__ import annotations

from typing import Any

import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, name_text
from preflight.readers.pdf.layers.optional_content import ON, OptionalContent, State

__all__ = ["membership"]

_DEPTH = 50
_TERMS = 10_000
_POLICIES = ("AllOn", "AnyOn", "AnyOff", "AllOff")


class _Hopeless(Exception):  # noqa: N818 - says what the expression is
    """The visibility expression cannot be worked out; the text says why."""


def membership(dictionary: Any, content: OptionalContent, context: Context) -> tuple[State, list[Any]]:
    """State of a membership dictionary, and the groups whose being on lets its content show.

    Returns
    -------
    tuple
        The state, and the optional content groups without those that must be off.
    """
    expression = entry(dictionary, "/VE")
    if isinstance(expression, pikepdf.Array):
        try:
            return _evaluated(expression, content, context)
        except _Hopeless as fault:
            message = f"A layer's visibility expression {fault}; its plain policy is used instead."
            context.note(NoteKind.FAULT, "visibility expression", message)
    return _by_policy(dictionary, content, context)


def _by_policy(dictionary: Any, content: OptionalContent, context: Context) -> tuple[State, list[Any]]:
    groups = entry(dictionary, "/OCGs")
    listed = list(groups) if isinstance(groups, pikepdf.Array) else [groups]
    members = [one for one in listed if isinstance(one, pikepdf.Dictionary)]
    if not members:
        return ON, []  # no effect on the content (Table 99)
    policy = name_text(entry(dictionary, "/P")) or "AnyOn"
    if policy not in _POLICIES:
        message = f"A layer's policy “{policy}” is unknown; the content shows where any of its layers does."
        context.note(NoteKind.FAULT, "layer policy", message)
        policy = "AnyOn"
    context.workload.take(len(members))
    states = [content.state(one) for one in members]
    quantified = all if policy.startswith("All") else any
    wanted = policy.endswith("On")
    state = State(
        quantified(one.shows is wanted for one in states), quantified(one.prints is wanted for one in states)
    )
    return state, members if wanted else []


def _evaluated(expression: Any, content: OptionalContent, context: Context) -> tuple[State, list[Any]]:
    members: list[Any] = []
    terms = 0

    def value(term: Any, depth: int, positive: bool) -> State:
        nonlocal terms
        terms += 1
        context.workload.take(1)
        if depth > _DEPTH or terms > _TERMS:
            raise _Hopeless("is nested too deeply or holds itself")
        if isinstance(term, pikepdf.Dictionary):
            if positive:
                members.append(term)
            return content.state(term)
        if not isinstance(term, pikepdf.Array) or len(term) < 2:
            raise _Hopeless("is malformed")
        operator = name_text(term[0])
        rest = list(term)[1:]
        if operator == "Not" and len(rest) == 1:
            inner = value(rest[0], depth + 1, not positive)
            return State(not inner.shows, not inner.prints)
        if operator not in ("And", "Or"):
            raise _Hopeless("is malformed")
        parts = [value(one, depth + 1, positive) for one in rest]
        quantified = all if operator == "And" else any
        return State(quantified(one.shows for one in parts), quantified(one.prints for one in parts))

    return value(expression, 0, True), members
