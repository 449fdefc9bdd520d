"""Answers of a method that are worked out once for each question, and kept as long as the object that gave them."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

__all__ = ["remembered"]

Owner = TypeVar("Owner")
Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


def remembered(
    method: Callable[Concatenate[Owner, Asked], Answer],
) -> Callable[Concatenate[Owner, Asked], Answer]:
    """The method, working out each answer once for an object; its arguments are hashable.

    `functools.cache` would keep the answers, and with them the object, its page and its file, until the process
    ends: an audit judges thousands of files in one process.
    """
    kept = f"_{method.__name__}_remembered"

    @wraps(method)
    def asked(owner: Owner, /, *arguments: Asked.args, **named: Asked.kwargs) -> Answer:
        answers = owner.__dict__.setdefault(kept, {})
        question = (arguments, tuple(named.items()))
        if question not in answers:
            answers[question] = method(owner, *arguments, **named)
        answer: Answer = answers[question]
        return answer

    return asked
