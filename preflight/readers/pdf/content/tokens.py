"""Content stream bytes to instructions: path construction as arrays, the rest as tuples. Knows no meaning of either."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.readers.pdf.content.decimals import DIGIT, DOT, SIGN, decimals
from preflight.readers.pdf.content.inline_data import Search, inline_image_at
from preflight.readers.pdf.content.operands import (
    DELIMITER,
    SPACE,
    DepthError,
    Fault,
    Name,
    comment_end,
    operand_at,
)

__all__ = ["PATH", "PATH_OPERATORS", "Batch", "Instruction", "Name", "batches"]

Bytes = NDArray[np.uint8]

PATH_OPERATORS = ("m", "l", "c", "v", "y", "h", "re")
"""Path construction; a row's code is an index into this."""
PATH = ""
"""Stands for the operator of an instruction that holds a run of path construction: its operands are the first row
of the batch and the one after the last."""

Instruction = tuple[str, list[Any], int]
"""Operator, operands, and the operator's number in the content, from 1.

Operands are float, `Name`, bytes (strings), list, dict, bool and None; ``BI`` stands for a whole inline image and
has its dictionary and its bytes.
"""


class Batch(msgspec.Struct, frozen=True, eq=False):
    """A stretch of content.

    Attributes
    ----------
    instructions : in order.
    codes : (k,) which of `PATH_OPERATORS` each row of path construction is.
    numbers : (k, 6) its operands; NaN beyond those it takes.
    steps : what it took to read, in steps of `preflight.readers.pdf.document.workload.Workload`.
    """

    instructions: list[Instruction]
    codes: Bytes
    numbers: Floats
    steps: int = 0


_TAKES = np.array([2, 2, 6, 4, 4, 0, 4, 0], np.intp)
_NO_PATH = len(PATH_OPERATORS)
_RECTANGLE = PATH_OPERATORS.index("re")
_STANDIN = b"\1"
"""Takes the place of a name, string, array or dictionary while the plain rest is looked at as a whole."""
_STRANGE, _STANDS = 8, 16
_BEFORE, _BEHIND = 8, 4
"""Blanks put about a stretch: numbers are read eight bytes at a time, from their ends."""
_CHUNK = 1 << 18
"""Bytes looked at at once: what the arrays for them take still fits the processor's cache."""
_LONGEST_WORD = 1 << 16
"""Bytes of a number or operator that are looked at."""
_STEPS = {ord("["): 4, ord("<"): 4, ord("B"): 16}
"""What an array, a dictionary and an inline image take to read; names, strings and comments take one step."""
_LOOKED_A_STEP = 64
"""Bytes looked through in one step for the end of an inline image."""
_DEPTH_STEPS = 40
"""What following arrays to beyond all reason takes."""
_BYTES_A_STEP = 6
"""Bytes of an array or dictionary that are read in one step; strings and pictures are found as a whole."""
_MOST_OPERANDS = 4096
"""Operands without an operator that are kept; anything longer is no content."""

_OPENINGS = tuple(bytes((one,)) for one in b"()<>[]{}/%")
_OPENING = re.compile(b"[" + DELIMITER + b"]")
_OPENING_OR_IMAGE = re.compile(
    b"[" + DELIMITER + b"]|(?<![^" + SPACE + DELIMITER + b"])BI(?=[" + SPACE + b"/])"
)
_BOUNDARY = re.compile(b"[" + SPACE + DELIMITER + b"]")


def _kinds() -> bytes:
    kinds = bytearray([_STRANGE]) * 256
    for letters, kind in ((b"\0\t\n\f\r ", 0), (b"0123456789", DIGIT), (b"+-", SIGN), (b".", DOT)):
        for letter in letters:
            kinds[letter] = kind
    kinds[ord(_STANDIN)] = _STANDS
    return bytes(kinds)


def _single_letters() -> NDArray[np.int8]:
    codes = np.full(256, _NO_PATH, np.int8)
    for code, name in enumerate(PATH_OPERATORS):
        if len(name) == 1:
            codes[ord(name)] = code
    return codes


_KINDS = _kinds()
_LETTERS = _single_letters()


def batches(data: bytes, fault: Fault) -> Iterator[Batch]:
    """The instructions of a content stream, in stretches of moderate size.

    Damage is told to ``fault`` and read round: what stands before and after it is kept.
    """
    reader = _Reader(fault)
    for plain, standins, steps in _plain_stretches(data, fault):
        yield msgspec.structs.replace(reader.read(plain, standins), steps=steps)
    yield reader.read(b" ", [], last=True)


def _plain_stretches(data: bytes, fault: Fault) -> Iterator[tuple[bytes, list[Any], int]]:
    """The content with everything that is not a plain word replaced by a stand-in, what they stand for, the steps it took."""
    pattern = _OPENING_OR_IMAGE if b"BI" in data else _OPENING
    parts: list[bytes] = []
    standins: list[Any] = []
    at = size = limit = resume = steps = 0
    plain = False
    search = Search()
    while at < len(data):
        if size >= _CHUNK:
            yield b"".join(parts), standins, steps
            parts, standins, size, steps = [], [], 0, 0
        if at >= limit:
            # A stretch that ended inside a word would tear it apart.
            boundary = _BOUNDARY.search(data, at + _CHUNK)
            resume = boundary.start() if boundary else len(data)
            limit = min(resume, at + _CHUNK + _LONGEST_WORD)
            plain = pattern is _OPENING and _is_plain(data, at, limit + 1)
        found = None if plain else pattern.search(data, at, limit + 1)
        before, at = at, found.start() if found else limit
        piece = data[before:at]
        parts.append(piece.replace(_STANDIN, b"?") if _STANDIN in piece else piece)
        if not found and at < resume:
            fault("A number or operator is longer than any could be; its end is left out.")
            at = resume
        if found:
            start, at = at, _stand_in(data, at, parts, standins, fault, search)
            steps += _STEPS.get(data[start], 1)
            steps += (at - start) // _BYTES_A_STEP if data[start] in b"[<" else 0
            steps += search.looked // _LOOKED_A_STEP
            size, search.looked = size + search.looked, 0
        # What is stood in for counts as well: else a stretch might hold any number of pictures.
        size += at - before
    yield b"".join(parts), standins, steps


def _is_plain(data: bytes, start: int, end: int) -> bool:
    """Whether there is none of the delimiters: to look for each by itself takes a tenth of looking for any of them."""
    return all(data.find(one, start, end) < 0 for one in _OPENINGS)


def _stand_in(
    data: bytes, at: int, parts: list[bytes], standins: list[Any], fault: Fault, search: Search
) -> int:
    """Put one stand-in into ``parts`` for what starts at ``at``; returns where that ends."""
    head = data[at : at + 1]
    if head == b"%":
        parts.append(b" ")
        return comment_end(data, at)
    if head == b"B":
        image, end = inline_image_at(data, at + 2, fault, search)
        standins += image
        parts.append(b" \1 \1 BI ")
        return end
    try:
        operand, end = operand_at(data, at, fault)
    except ValueError as error:
        fault(f"Something in the content makes no sense and is left out ({error}).")
        parts.append(b" ")
        if not isinstance(error, DepthError):
            return at + 1
        search.looked += _LOOKED_A_STEP * _DEPTH_STEPS
        return error.at
    standins.append(operand)
    parts.append(b" \1 ")
    return end


class _Words(msgspec.Struct, eq=False):
    """Plain words of a stretch: where they start and end, which bytes occur in them; ``data`` are the bytes of ``text``."""

    text: bytes
    data: Bytes
    starts: Integers
    ends: Integers
    flags: Bytes


def _words(plain: bytes) -> _Words:
    text = b" " * _BEFORE + plain + b" " * _BEHIND
    kinds = np.frombuffer(text.translate(_KINDS), np.uint8)
    gaps = np.flatnonzero(kinds == 0)
    starts, ends = gaps[_BEFORE - 1 : -_BEHIND] + 1, gaps[_BEFORE : 1 - _BEHIND]
    filled = starts < ends
    if not filled.all():
        starts, ends = starts[filled], ends[filled]
    flags = np.bitwise_or.reduceat(kinds, starts) if len(starts) else np.empty(0, np.uint8)
    return _Words(text, np.frombuffer(text, np.uint8), starts, ends, flags)


class _Reader:
    """Turns stretch after stretch into instructions; operands left over wait for their operator."""

    def __init__(self, fault: Fault) -> None:
        self._fault = fault
        self._count = 0
        self._rest = b""
        self._waiting: list[Any] = []

    def read(self, plain: bytes, standins: list[Any], last: bool = False) -> Batch:
        standins = [*self._waiting, *standins]
        words = _words(self._rest + plain)
        is_operator = (words.flags & _STRANGE) != 0
        operators = np.flatnonzero(is_operator)
        values = self._values(words, is_operator)
        used = self._keep(words, int(operators[-1]) + 1 if len(operators) else 0, standins, last)
        return self._batch(words, operators, values, standins[:used])

    def _values(self, words: _Words, is_operator: Flags) -> Floats:
        """Numbers of all words; NaN where a word is none."""
        number = ~is_operator & ((words.flags & _STANDS) == 0)
        values = np.full(len(words.starts), np.nan)
        where = np.flatnonzero(number)
        if len(where):
            found, odd = decimals(words.data, words.starts[where], words.ends[where], words.flags[where])
            values[where] = found
            if len(odd):
                self._fault(
                    "Numbers are written in a way that the standard does not know; read as viewers do."
                )
        return values

    def _keep(self, words: _Words, used: int, standins: list[Any], last: bool) -> int:
        """Keep what follows the last operator for the next stretch; returns how many stand-ins come before that."""
        waiting = int(np.count_nonzero(words.flags[used:] & _STANDS))
        read = len(standins) - waiting
        left = len(words.starts) - used
        if left and (last or left > _MOST_OPERANDS):
            self._fault("Operands stand without an operator and are left out.")
            left = 0
        self._rest, self._waiting = b"", []
        if left:
            self._rest = words.text[int(words.starts[used]) :]
            self._waiting = standins[read:]
        return read

    def _batch(self, words: _Words, operators: Integers, values: Floats, standins: list[Any]) -> Batch:
        codes = _codes(words, operators)
        # How many operands an operator has: the words since the operator before.
        counts = np.diff(operators, prepend=-1) - 1
        need = _TAKES[codes]
        known = np.concatenate([np.zeros(1, np.intp), np.cumsum(~np.isnan(values))])
        fine = (codes != _NO_PATH) & (counts == need)
        fine &= known[operators] - known[operators - counts] == counts
        rows, sizes = operators[fine], need[fine]
        numbers = np.full((len(rows), 6), np.nan)
        for size in (2, 4, 6):
            chosen = np.flatnonzero(sizes == size)
            numbers[chosen, :size] = values[rows[chosen, None] - size + np.arange(size)]
        first = self._count + 1
        self._count += len(operators)
        # Path construction that fits takes numbers alone, and takes them as arrays.
        taken = np.repeat(~fine, counts + 1)
        taken[operators] = False
        places = np.flatnonzero(taken)
        operands: list[Any] = values[places].tolist()
        stands = np.flatnonzero(words.flags[places] & _STANDS).tolist()
        for place, standin in zip(stands, standins, strict=True):
            operands[place] = standin
        instructions = _listed(words, operators, counts, fine, operands, first)
        return Batch(instructions, codes[fine].astype(np.uint8), numbers)


def _codes(words: _Words, operators: Integers) -> Integers:
    """Index of each operator in `PATH_OPERATORS`, or the number of those."""
    starts = words.starts[operators]
    sizes = words.ends[operators] - starts
    heads = words.data[starts]
    codes = np.where(sizes == 1, _LETTERS[heads], _NO_PATH)
    codes[(sizes == 2) & (heads == ord("r")) & (words.data[starts + 1] == ord("e"))] = _RECTANGLE
    return codes.astype(np.intp)


def _listed(
    words: _Words, operators: Integers, counts: Integers, fine: Flags, operands: list[Any], first: int
) -> list[Instruction]:
    """Every operator in order, runs of path construction as one.

    Parameters
    ----------
    operands : of all operators but that path construction.
    """
    begins = fine.copy()
    begins[1:] &= ~fine[:-1]
    steps = np.flatnonzero(begins | ~fine)
    rows = np.concatenate([np.zeros(1, np.intp), np.cumsum(fine)])
    # A run of path construction lasts until the next step.
    lasts = rows[np.append(steps[1:], len(operators))] if len(steps) else steps
    places = operators[steps]
    text = words.text.decode("latin-1")
    instructions: list[Instruction] = []
    at = 0
    for step, is_path, row, last, count, start, end in zip(
        steps.tolist(),
        fine[steps].tolist(),
        rows[steps].tolist(),
        lasts.tolist(),
        counts[steps].tolist(),
        words.starts[places].tolist(),
        words.ends[places].tolist(),
        strict=True,
    ):
        if is_path:
            instructions.append((PATH, [row, last], first + step))
        else:
            instructions.append((text[start:end], operands[at : at + count], first + step))
            at += count
    return instructions
