"""What an operator is: what it does and which operands it takes. Knows none of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from preflight.readers.pdf.content.operands import Name

__all__ = ["Operator", "fitting"]


class Operator(msgspec.Struct, frozen=True):
    """One operator of a content stream.

    Attributes
    ----------
    act : is called with the interpreter and the operands.
    takes : a letter for each operand: ``n`` number, ``N`` name, ``s`` string, ``a`` array, ``d`` dictionary,
        ``p`` name or dictionary; ``*`` alone for any number of any kind.
    """

    act: Callable[..., None]
    takes: str = ""


_KINDS: dict[str, tuple[type, ...]] = {
    "n": (float,),
    "N": (Name,),
    "s": (bytes,),
    "a": (list,),
    "d": (dict,),
    "p": (Name, dict),
}


_NUMBERS = {"n" * count: (float,) * count for count in range(1, 7)}
"""What most operators take, to be compared at once."""


def fitting(operator: Operator, operands: list[Any]) -> list[Any] | None:
    """The operands where they are what the operator takes, else None."""
    takes = operator.takes
    if takes == "*":
        return operands
    if tuple(map(type, operands)) == _NUMBERS.get(takes):
        return operands
    if len(takes) != len(operands):
        return None
    for kind, operand in zip(takes, operands, strict=True):
        if not isinstance(operand, _KINDS[kind]):
            return None
    return operands
