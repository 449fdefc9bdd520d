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
# Bytes are looked up by their own method, in a quarter of the time that numpy takes.
_CLASS_OF = _CLASSES.tobytes()
_TO_SPACES = np.where(_CLASSES <= _EXPONENT, np.arange(256), 32).astype(np.uint8).tobytes()
NUMBERS_OF = np.full(256, -1, np.intp)
"""Numbers that each command byte takes; -1 for other bytes."""
for _letter, _count in ARITY.items():
    NUMBERS_OF[ord(_letter)] = NUMBERS_OF[ord(_letter.lower())] = _count


class Scan(msgspec.Struct, frozen=True):
    """The joined text of all paths and what stands where in it.

    ``data``, ``kinds`` (m,) bytes of ``text`` and their classes; ``ends`` (paths,) where each path ends; ``places`` (k,)
    of the commands and their ``letters``; ``number_places`` (n,) where numbers begin; ``first`` (k + 1,) the
    first number of each command.
    """

    text: bytes
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

    def paths_of(self, places: Integers) -> Integers:
        """The path that holds each place, of many places that ascend: the ends are searched, which are fewer."""
        counts = np.diff(np.searchsorted(places, self.ends, "right"), prepend=0)
        return np.repeat(np.arange(len(self.ends)), counts)


def scanned(texts: Sequence[str]) -> Scan:
    """Find commands and numbers of all texts, none of which holds a NUL."""
    text = ("\0".join(texts) + "\0").encode("latin-1", "replace")
    data, kinds = np.frombuffer(text, np.uint8), np.frombuffer(text.translate(_CLASS_OF), np.uint8)
    places = np.flatnonzero(kinds == _COMMAND)
    number_places = _number_places(kinds)
    first = np.searchsorted(number_places, np.append(places, len(data)))
    ends = np.flatnonzero(kinds == _END)
    return Scan(text, data, kinds, ends, places, data[places], number_places, first)


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
    bad = set(scan.path_of(_misplaced(scan)).tolist())
    owner = scan.paths_of(scan.places)
    counts = np.diff(scan.first)
    arity = NUMBERS_OF[scan.letters]
    wrong = np.where(arity > 0, (counts == 0) | (counts % np.maximum(arity, 1) != 0), counts > 0)
    opening = np.ones(len(owner), bool)
    opening[1:] = owner[1:] != owner[:-1]
    wrong |= opening & (scan.letters != ord("M")) & (scan.letters != ord("m"))
    bad.update(owner[wrong].tolist())
    # Numbers that no command of their own path claims.
    claimed = np.concatenate([np.full(scan.first[0], -1), np.repeat(owner, counts)])
    number_path = scan.paths_of(scan.number_places)
    foreign = number_path != claimed
    bad.update(number_path[foreign].tolist())
    # The command that reached into the next path lacks numbers of its own.
    bad.update(claimed[foreign & (claimed >= 0)].tolist())
    return bad | _unclear_arcs(scan)


def _misplaced(scan: Scan) -> Integers:
    """Places of characters that cannot stand where they do; over-eager rather than blind."""
    kinds = scan.kinds
    picky = np.frombuffer(scan.text.translate(_PICKY), np.bool_)
    places = np.flatnonzero(picky)  # a few per number: digits, spaces and commands may stand anywhere
    before, after = kinds[np.maximum(places - 1, 0)], kinds[np.minimum(places + 1, len(kinds) - 1)]
    before[places == 0] = _END
    wrong = _WRONG_BETWEEN[kinds[places], before, after]
    return np.concatenate([places[wrong], _doubled_commas(kinds)])


def _wrong_between() -> Flags:
    """Whether a character of the first class is misplaced between characters of the second and third."""
    kind, before, after = np.ogrid[: _OTHER + 1, : _OTHER + 1, : _OTHER + 1]
    digit_before, digit_after = before == _DIGIT, after == _DIGIT
    sign_fits = digit_after | ((after == _DOT) & (before != _EXPONENT))
    exponent_fits = (digit_before | (before == _DOT)) & (digit_after | (after == _SIGN))
    dot_fits = digit_before | digit_after
    misfits = ((_DOT, dot_fits), (_SIGN, sign_fits), (_EXPONENT, exponent_fits))
    wrong: Flags = np.broadcast_to(kind == _OTHER, (_OTHER + 1,) * 3).copy()
    for one, fits in misfits:
        wrong |= (kind == one) & ~fits
    return wrong


_PICKY = np.isin(_CLASSES, (_SIGN, _DOT, _EXPONENT, _OTHER)).tobytes()
_WRONG_BETWEEN = _wrong_between()


def _doubled_commas(kinds: Bytes) -> Integers:
    """Places of commas that have no number on one side."""
    commas = np.flatnonzero(kinds == _COMMA)
    before, after = kinds[np.maximum(commas - 1, 0)], kinds[np.minimum(commas + 1, len(kinds) - 1)]
    before[commas == 0] = _END
    far = np.flatnonzero((before == _SPACE) | (after == _SPACE))
    if len(far):
        solid = np.flatnonzero(kinds != _SPACE)  # ends with the end of the last path
        row = np.searchsorted(solid, commas[far])
        before[far] = np.where(row > 0, kinds[solid[row - 1]], _END)
        after[far] = kinds[solid[row + 1]]
    return commas[_LONE[before] | _LONE[after]]


_LONE = np.isin(np.arange(_OTHER + 1), (_COMMA, _COMMAND, _END))


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
    at = scan.number_places
    text = np.frombuffer(bytearray(scan.text).translate(_TO_SPACES), np.uint8)
    # Where a number begins right behind another, a space has to come between.
    tight = at[(at > 0) & (scan.kinds[np.maximum(at - 1, 0)] <= _EXPONENT)]
    if len(tight):
        text = np.insert(text, tight, np.uint8(32))
        at = at + np.searchsorted(tight, at, "right")
    text[at[1:] - 1] = ord(",")
    numbers = np.empty(len(at))
    bounds = np.append(at, len(text) + 1)
    for begin in range(0, len(at), _BATCH):  # a batch at a time: the numbers of a whole sheet fill the memory
        end = min(begin + _BATCH, len(at))
        read = _numbers(text[bounds[begin] : bounds[end] - 1].tobytes())
        if len(read) != end - begin:
            raise AssertionError("numbers counted and numbers read differ")
        numbers[begin:end] = read
    return numbers


def _numbers(text: bytes) -> Sequence[float] | Floats:
    """Numbers with commas between. JSON's reader is the fastest at hand, though it does not know ``.5`` or ``+1``."""
    try:
        return _JSON_NUMBERS.decode(b"[" + text + b"]")
    except msgspec.DecodeError:
        return np.fromstring(text.decode("ascii"), dtype=np.float64, sep=",")


_BATCH = 1 << 17
_JSON_NUMBERS = msgspec.json.Decoder(list[float])
