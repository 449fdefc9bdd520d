"""PostScript calculator functions, type 4 (ISO 32000-1 7.10.5): the program's text, as a function over rows.

Knows no colour. The language has no loop, so a program's length bounds the work.
"""

from __future__ import annotations

import re

import numpy as np
import pikepdf

from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.functions.calculator_machine import STACKING, Branch, Machine, Program, Step
from preflight.readers.pdf.functions.calculator_operators import OPERATORS, MachineError
from preflight.readers.pdf.functions.reading import Floats, Function, FunctionError

__all__ = ["Calculator"]

_LONGEST = 20_000
"""Words of a program; a project assumption."""
_DEEPEST = 100
"""Braces inside one another; a project assumption."""


class Calculator(Function):
    """A small program over a stack of numbers."""

    def __init__(self, value: pikepdf.Object, domain: Floats, range_: Floats, streams: Streams) -> None:
        super().__init__(domain, range_, len(range_))
        found = streams.unpacked(value)
        if found.fault:
            raise FunctionError(f"its program cannot be read ({found.fault})")
        self._program = _parsed(found.data)
        self._deadline = streams.deadline

    def _rows(self, rows: Floats) -> Floats:
        result = np.empty((len(rows), self.outputs))
        try:
            for chosen, stack in Machine(self._program, self._deadline).run(rows):
                if len(stack) < self.outputs:
                    raise MachineError(f"its program leaves {len(stack)} numbers where {self.outputs} belong")
                # Numbers left below the results are of no account, as viewers have it.
                for column, number in enumerate(stack[-self.outputs :]):
                    result[chosen, column] = number
        except MachineError as error:
            raise FunctionError(str(error)) from None
        return result


def _parsed(text: bytes) -> Program:
    """The program between the outermost braces.

    Raises
    ------
    FunctionError
    """
    words = _words(text)
    if not words or words[0] != "{":
        raise FunctionError("its program does not begin with a brace")
    open_: list[list[Step | Program]] = []
    for place, word in enumerate(words):
        if word == "{":
            open_.append([])
            if len(open_) > _DEEPEST:
                raise FunctionError(f"its program nests deeper than {_DEEPEST} braces")
        elif word == "}":
            done = _without_loose_braces(open_.pop())
            if open_:
                open_[-1].append(done)
            elif place + 1 < len(words):
                raise FunctionError("something follows the end of its program")
            else:
                return done
        else:
            _add(open_[-1], word)
    raise FunctionError("its program ends inside a brace")


def _words(text: bytes) -> list[str]:
    # Comments, braces, and runs of what is neither blank nor one of these (7.2.2).
    found = re.findall(rb"%[^\r\n]*|[{}]|[^\x00\t\n\f\r {}%]+", text)
    words = [word.decode("latin-1") for word in found if not word.startswith(b"%")]
    if len(words) > _LONGEST:
        raise FunctionError(f"its program is longer than {_LONGEST:,} words")
    return words


def _add(block: list[Step | Program], word: str) -> None:
    """Add one word to a block; ``if`` and ``ifelse`` take the blocks in braces before them with them."""
    if word in ("if", "ifelse"):
        count = 1 if word == "if" else 2
        blocks = [step for step in block[-count:] if isinstance(step, tuple)]
        if len(blocks) != count:
            raise FunctionError(f"“{word}” has no braces before it")
        del block[-count:]
        block.append(Branch(blocks[0], blocks[1] if count == 2 else ()))
    elif word in OPERATORS or word in STACKING or word in ("true", "false"):
        block.append(word)
    elif re.fullmatch(r"[+-]?[0-9]{1,300}", word):
        value = int(word)
        block.append(value if -(2**31) <= value < 2**31 else float(value))
    elif re.fullmatch(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?", word):
        block.append(float(word))
    else:
        raise FunctionError(f"its program holds the word “{word[:20]}”, which is no operator")


def _without_loose_braces(block: list[Step | Program]) -> Program:
    steps = tuple(step for step in block if not isinstance(step, tuple))
    if len(steps) != len(block):
        raise FunctionError("its program holds braces that belong to no “if” or “ifelse”")
    return steps
