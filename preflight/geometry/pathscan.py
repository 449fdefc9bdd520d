"""Where commands and numbers stand in the joined text of many paths. Knows characters and counts, no curves."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from .distinct import distinct
from .outlines import Flags, Floats, Integers
from .pathtext import ARITY

__all__ = ["NUMBERS_OF", "Bytes", "Scan", "doubtful", "scanned", "values"]

Bytes = NDArray[np.uint8]

# What a character can be; those up to _EXPONENT make up numbers.
_DIGIT, _SIGN, _DOT, _EXPONENT, _SPACE, _COMMAND, _END, _COMMA, _OTHER = range(9)


def _character_classes() -> Bytes:
    classes = np.full(256, _OTHER, np.uint8)
    for characters, kind in (
        (b" \t\r\n\f", _SPACE),
        (b"0123456789", _DIGIT),
        (b"+-", _SIGN),
        (b".", _DOT),
        (b"eE", _EXPONENT),
        (b"MmZzLlHhVvCcSsQqTtAa", _COMMAND),
        (b"\0", _END),
        (b",", _COMMA),
    ):
        classes[list(characters)] = kind
    return classes


_CLASSES = _character_classes()
_TO_SPACES = np.where(_CLASSES <= _EXPONENT, np.arange(256), 32).astype(np.uint8)
NUMBERS_OF = np.full(256, -1, np.intp)
"""Numbers that each command byte takes; -1 for other bytes."""
for _letter, _count in ARITY.items():
    NUMBERS_OF[ord(_letter)] = NUMBERS_OF[ord(_letter.lower())] = _count


class Scan(msgspec.Struct, frozen=True):
    """The joined text of all paths and what stands where in it.

    ``data``, ``kinds`` (m,) bytes and their classes; ``ends`` (paths,) where each path ends; ``places`` (k,)
    of the commands and their ``letters``; ``number_places`` (n,) where numbers begin; ``first`` (k + 1,) the
    first number of each command.
    """

    data: Bytes
    kinds: Bytes
    ends: Integers
    places: Integers
    letters: Bytes
    number_places: Integers
    first: Integers

    def path_of(self, places: Integers) -> Integers:
        """The path that holds each place."""
        return np.searchsorted(self.ends, places)


def scanned(texts: Sequence[str]) -> Scan:
    """Find commands and numbers of all texts, none of which holds a NUL."""
    data = np.frombuffer(("\0".join(texts) + "\0").encode("latin-1", "replace"), np.uint8)
    kinds = _CLASSES[data]
    places = np.flatnonzero(kinds == _COMMAND)
    number_places = _number_places(kinds)
    first = np.searchsorted(number_places, np.append(places, len(data)))
    ends = np.flatnonzero(kinds == _END)
    return Scan(data, kinds, ends, places, data[places], number_places, first)


def _number_places(kinds: Bytes) -> Integers:
    """(n,) where numbers begin, compact forms such as ``1.5.5-2`` included."""
    part = kinds <= _EXPONENT
    run = part.copy()
    run[1:] &= ~part[:-1]
    # A sign begins a number unless it belongs to an exponent.
    sign = kinds == _SIGN
    sign[1:] &= kinds[:-1] != _EXPONENT
    runs = np.flatnonzero(run | sign)
    marks = np.flatnonzero((kinds == _DOT) | (kinds == _EXPONENT))
    owner = np.searchsorted(runs, marks, "right")
    # A dot begins a number if its run has had a dot or an exponent already.
    again = np.zeros(len(marks), bool)
    again[1:] = owner[1:] == owner[:-1]
    extra = marks[again & (kinds[marks] == _DOT)]
    return distinct(np.concatenate([runs, extra])) if len(extra) else runs


def doubtful(scan: Scan) -> set[int]:
    """Paths that are malformed, or may be: the careful reader decides."""
    places = np.flatnonzero(_misplaced(scan.kinds))
    bad = set(scan.path_of(places).tolist())
    owner = scan.path_of(scan.places)
    counts = np.diff(scan.first)
    arity = NUMBERS_OF[scan.letters]
    wrong = np.where(arity > 0, (counts == 0) | (counts % np.maximum(arity, 1) != 0), counts > 0)
    opening = np.ones(len(owner), bool)
    opening[1:] = owner[1:] != owner[:-1]
    wrong |= opening & (scan.letters != ord("M")) & (scan.letters != ord("m"))
    bad.update(owner[wrong].tolist())
    # Numbers that no command of their own path claims.
    claimed = np.concatenate([np.full(scan.first[0], -1), np.repeat(owner, counts)])
    number_path = scan.path_of(scan.number_places)
    foreign = number_path != claimed
    bad.update(number_path[foreign].tolist())
    # The command that reached into the next path lacks numbers of its own.
    bad.update(claimed[foreign & (claimed >= 0)].tolist())
    return bad | _unclear_arcs(scan)


def _misplaced(kinds: Bytes) -> Flags:
    """(m,) characters that cannot stand where they do; over-eager rather than blind."""
    before = np.concatenate([np.full(1, _END, np.uint8), kinds[:-1]])
    after = np.concatenate([kinds[1:], np.full(1, _END, np.uint8)])
    digit_before, digit_after = before == _DIGIT, after == _DIGIT
    wrong: Flags = kinds == _OTHER
    wrong |= (kinds == _DOT) & ~digit_before & ~digit_after
    sign = kinds == _SIGN
    wrong |= sign & ~digit_after & ((after != _DOT) | (before == _EXPONENT))
    exponent = kinds == _EXPONENT
    wrong |= exponent & ~((digit_before | (before == _DOT)) & (digit_after | (after == _SIGN)))
    if (kinds == _COMMA).any():
        solid = np.flatnonzero(kinds != _SPACE)
        row = kinds[solid]
        comma = row == _COMMA
        lone = comma | (row == _COMMAND) | (row == _END)
        doubled = comma & (np.concatenate([[True], lone[:-1]]) | np.concatenate([lone[1:], [True]]))
        wrong[solid[doubled]] = True
    return wrong


def _unclear_arcs(scan: Scan) -> set[int]:
    """Paths with an arc whose flags do not stand alone, which only the careful reader takes apart."""
    arcs = (scan.letters == ord("A")) | (scan.letters == ord("a"))
    sets = np.diff(scan.first)[arcs] // 7
    within = np.arange(sets.sum()) - np.repeat(np.cumsum(sets) - sets, sets)
    numbers = np.repeat(scan.first[:-1][arcs], sets) + 7 * within
    unclear: set[int] = set()
    for index in (3, 4):
        places = scan.number_places[numbers + index]
        flag = (scan.data[places] == ord("0")) | (scan.data[places] == ord("1"))
        # With both flags alone in every set so far, the next set begins where it seems to.
        alone = flag & (scan.kinds[places + 1] > _EXPONENT)
        unclear.update(scan.path_of(places[~alone]).tolist())
    return unclear


def values(scan: Scan) -> Floats:
    """(n,) all numbers, infinite where too large."""
    if not len(scan.number_places):
        return np.empty(0)
    text = _TO_SPACES[scan.data]
    # Where a number begins right behind another, a space has to come between.
    at = scan.number_places
    tight = at[(at > 0) & (scan.kinds[np.maximum(at - 1, 0)] <= _EXPONENT)]
    if len(tight):
        text = np.insert(text, tight, np.uint8(32))
    numbers = np.fromstring(text.tobytes().decode("ascii"), dtype=np.float64, sep=" ")
    if len(numbers) != len(scan.number_places):
        raise AssertionError("numbers counted and numbers read differ")
    return numbers
