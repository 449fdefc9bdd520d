"""The stack machine of PDF calculator functions (ISO 32000-1 7.10.5). Knows programs, not their text.

All rows run together, each number of the stack an array with one entry for each row. Where a condition, or a number
that moves the stack, differs between rows, they part and go on in groups.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from preflight.readers.limits import Deadline
from preflight.readers.pdf.functions.calculator_operators import (
    OPERATORS,
    MachineError,
    Number,
    is_condition,
    whole,
)

__all__ = ["STACKING", "Branch", "Machine", "Program", "Step"]

_HIGHEST = 256
"""Numbers on the stack; the standard asks for at least 100 (annex C)."""
_STEPS = 1_000_000
"""Steps of all groups together; a project assumption."""
_CHECKED = 1000
"""Steps after which the time is looked at."""

STACKING = frozenset({"copy", "dup", "exch", "index", "pop", "roll"})
"""Operators that only move what is on the stack."""


class Branch(msgspec.Struct, frozen=True):
    """``if`` and ``ifelse`` with their blocks. No tuple: a tuple is a block."""

    then: Program
    otherwise: Program


Step = float | int | str | Branch
Program = tuple[Step, ...]


class _Group(NamedTuple):
    """Rows that have taken the same way so far; ``frames`` are the blocks to go on in, innermost last."""

    rows: NDArray[np.intp]
    stack: list[Number]
    frames: list[tuple[Program, int]]

    def part(self, chosen: NDArray[np.bool_], following: Program) -> _Group:
        """The chosen rows, to do ``following`` next."""
        return _Group(
            self.rows[chosen], [number[chosen] for number in self.stack], [*self.frames, (following, 0)]
        )


class Machine:
    """Runs one program."""

    def __init__(self, program: Program, deadline: Deadline) -> None:
        self._program = program
        self._deadline = deadline
        self._steps = 0

    def run(self, rows: NDArray[np.float64]) -> Iterator[tuple[NDArray[np.intp], list[Number]]]:
        """Run it over rows (m, inputs): groups of row numbers, and the stack each ended with.

        Raises
        ------
        MachineError
        preflight.readers.errors.Unreadable
            The time for reading the file is over.
        """
        columns: list[Number] = [rows[:, column].copy() for column in range(rows.shape[1])]
        waiting = [_Group(np.arange(len(rows)), columns, [(self._program, 0)])]
        while waiting:
            group = waiting.pop()
            parts = self._advanced(group)
            if parts:
                waiting += parts
            else:
                yield group.rows, group.stack

    def _advanced(self, group: _Group) -> list[_Group]:
        """Run a group to its end, or to where its rows part."""
        frames = group.frames
        while frames:
            program, place = frames.pop()
            if place == len(program):
                continue
            frames.append((program, place + 1))
            self._steps += 1
            if not self._steps % _CHECKED:
                self._deadline.check()
            if self._steps > _STEPS:
                raise MachineError("its program takes too many steps")
            parts = _done(program[place], group)
            if parts:
                return parts
            if len(group.stack) > _HIGHEST:
                raise MachineError(f"its program stacks more than {_HIGHEST} numbers")
        return []


def _done(step: Step, group: _Group) -> list[_Group]:
    """Do one step; the groups that its rows part into, if they do."""
    stack = group.stack
    if isinstance(step, Branch):
        return _branched(step, group)
    if isinstance(step, (int, float)):
        count = len(group.rows)
        stack.append(
            np.full(count, step, np.int64) if isinstance(step, int) else np.full(count, step, np.float64)
        )
    elif step in ("true", "false"):
        stack.append(np.full(len(group.rows), step == "true"))
    elif step in STACKING:
        return _moved(step, group)
    else:
        count, operator = OPERATORS[step]
        operands = _taken(stack, count, step)
        stack.append(operator(*operands))
    return []


def _taken(stack: list[Number], count: int, word: str) -> list[Number]:
    if len(stack) < count:
        raise MachineError(f"“{word}” finds too few numbers on the stack")
    taken = stack[len(stack) - count :]
    del stack[len(stack) - count :]
    return taken


def _branched(branch: Branch, group: _Group) -> list[_Group]:
    (condition,) = _taken(group.stack, 1, "if")
    if not is_condition(condition):
        raise MachineError("“if” finds a number where a condition belongs")
    chosen = condition.astype(np.bool_)
    if chosen.all() or not chosen.any():
        group.frames.append((branch.then if chosen.all() else branch.otherwise, 0))
        return []
    return [group.part(chosen, branch.then), group.part(~chosen, branch.otherwise)]


def _moved(word: str, group: _Group) -> list[_Group]:
    stack = group.stack
    if word in ("dup", "exch", "pop"):
        taken = _taken(stack, 2 if word == "exch" else 1, word)
        stack += {"dup": taken * 2, "exch": taken[::-1], "pop": []}[word]
        return []
    amounts = [whole(one, word) for one in _taken(stack, 2 if word == "roll" else 1, word)]
    for amount in amounts:
        if len(amount) and (amount != amount[0]).any():
            # Rows that move the stack differently part here and do the same word again, each for itself.
            stack += amounts
            return [group.part(amount == one, (word,)) for one in sorted(set(amount.tolist()))]
    first, *more = [int(amount[0]) if len(amount) else 0 for amount in amounts]
    if first < 0 or first > len(stack) - (word == "index"):
        raise MachineError(f"“{word}” reaches beyond the stack")
    if word == "copy":
        stack += stack[len(stack) - first :]
    elif word == "index":
        stack.append(stack[-1 - first])
    elif first:
        turn = more[0] % first
        rolled = stack[len(stack) - first :]
        stack[len(stack) - first :] = rolled[first - turn :] + rolled[: first - turn]
    return []
