"""SVG path data to curves, all paths of a document at once. Knows the path grammar, no XML and no units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .arcs import arcs_to_cubics
from .outlines import Flags, Floats, Integers, Outlines
from .pathtext import ARITY, valid_prefix

__all__ = ["ParsedPaths", "PathError", "parse"]

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
_ARITY = np.full(256, -1, np.intp)
for _letter, _count in ARITY.items():
    _ARITY[ord(_letter)] = _ARITY[ord(_letter.lower())] = _count


@dataclass(frozen=True, slots=True)
class PathError:
    """Where the path data of one path breaks off, as a character offset, and why."""

    path: int
    offset: int
    message: str


@dataclass(frozen=True, slots=True)
class ParsedPaths:
    """Curves of each path (one object per text) and the errors met."""

    outlines: Outlines
    errors: tuple[PathError, ...]


def parse(texts: Sequence[str]) -> ParsedPaths:
    """Read the path data of a whole document.

    Parameters
    ----------
    texts : the ``d`` attributes, one per path; empty and ``none`` give an object without contours.

    Returns
    -------
    ParsedPaths
        One object per text, in user units. Of a path with an error, what stands before it is kept, as SVG 2
        (9.5.4) says. A contour that ``z`` closes gets a closing line unless its ends coincide already.
    """
    texts = ["" if text.strip() == "none" else text for text in texts]
    errors: dict[int, PathError] = {}

    def reread(paths: Iterable[int]) -> None:
        for path in paths:
            texts[path], offset, message = valid_prefix(texts[path])
            if offset is not None:
                errors.setdefault(path, PathError(path, offset, message))

    scan = _scanned(texts)
    doubtful = _doubtful(scan) | _with_arcs(scan)
    if doubtful:
        reread(doubtful)
        scan = _scanned(texts)
    numbers = _values(scan)
    if not np.isfinite(numbers).all():
        reread(set(scan.path_of(scan.number_places[~np.isfinite(numbers)]).tolist()))
        scan = _scanned(texts)
        numbers = _values(scan)
    outlines = (
        _outlines(_steps(scan, numbers), len(texts)) if len(scan.letters) else Outlines.empty(len(texts))
    )
    return ParsedPaths(outlines, tuple(errors[path] for path in sorted(errors)))


@dataclass(frozen=True, slots=True)
class _Scan:
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


def _scanned(texts: Sequence[str]) -> _Scan:
    data = np.frombuffer(("\0".join(texts) + "\0").encode("latin-1", "replace"), np.uint8)
    kinds = _CLASSES[data]
    places = np.flatnonzero(kinds == _COMMAND)
    number_places = _number_places(kinds)
    first = np.searchsorted(number_places, np.append(places, len(data)))
    ends = np.flatnonzero(kinds == _END)
    return _Scan(data, kinds, ends, places, data[places], number_places, first)


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
    return np.union1d(runs, extra) if len(extra) else runs


def _doubtful(scan: _Scan) -> set[int]:
    """Paths that are malformed, or may be: the careful reader decides."""
    places = np.flatnonzero(_misplaced(scan.kinds))
    bad = set(scan.path_of(places).tolist())
    owner = scan.path_of(scan.places)
    counts = np.diff(scan.first)
    arity = _ARITY[scan.letters]
    wrong = np.where(arity > 0, (counts == 0) | (counts % np.maximum(arity, 1) != 0), counts > 0)
    opening = np.ones(len(owner), bool)
    opening[1:] = owner[1:] != owner[:-1]
    wrong |= opening & (scan.letters != ord("M")) & (scan.letters != ord("m"))
    bad.update(owner[wrong].tolist())
    # Numbers that no command of their own path claims.
    claimed = np.concatenate([np.full(scan.first[0], -1), np.repeat(owner, counts)])
    number_path = scan.path_of(scan.number_places)
    bad.update(number_path[number_path != claimed].tolist())
    return bad


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


def _with_arcs(scan: _Scan) -> set[int]:
    """Paths with arcs: their flags may stand without a separator, which only the careful reader knows."""
    arcs = (scan.letters == ord("A")) | (scan.letters == ord("a"))
    return set(scan.path_of(scan.places[arcs]).tolist())


def _values(scan: _Scan) -> Floats:
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


@dataclass(frozen=True, slots=True)
class _Steps:
    """One row per drawn step: moveto, line, curve, arc, close.

    ``name`` upper-case letter; ``path`` whose; ``end`` (k, 2) absolute end; ``controls`` (k, 4) absolute
    control points of C, S, Q; ``arc`` (k, 5) radii, turn and flags; ``contour`` number; ``close`` flags Z.
    """

    name: Bytes
    path: Integers
    end: Floats
    start: Floats
    controls: Floats
    arc: Floats
    contour: Integers


def _steps(scan: _Scan, numbers: Floats) -> _Steps:
    arity = _ARITY[scan.letters]
    counts = np.diff(scan.first)
    repeats = np.where(arity > 0, counts // np.maximum(arity, 1), 1)
    row = np.repeat(np.arange(len(repeats)), repeats)
    within = np.arange(len(row)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
    letters = scan.letters[row]
    relative = letters >= ord("a")
    name = np.where(relative, letters - 32, letters).astype(np.uint8)
    first = scan.first[:-1][row] + within * arity[row]
    path = scan.path_of(scan.places)[row]
    # Further pairs of a moveto are linetos.
    name = np.where((name == ord("M")) & (within > 0), np.uint8(ord("L")), name)
    name, relative, first, path = _with_implied_movetos(name, relative, first, path)
    return _placed(name, relative, first, path, numbers)


def _with_implied_movetos(
    name: Bytes, relative: Flags, first: Integers, path: Integers
) -> tuple[Bytes, Flags, Integers, Integers]:
    """After ``z``, any command but a moveto starts a contour at the point the last one started from."""
    after_close = np.concatenate([[False], (name[:-1] == ord("Z")) & (path[1:] == path[:-1])])
    implied = np.flatnonzero(after_close & (name != ord("M")))
    if not len(implied):
        return name, relative, first, path
    return (
        np.insert(name, implied, np.uint8(ord("M"))),
        np.insert(relative, implied, True),
        np.insert(first, implied, -1),
        np.insert(path, implied, path[implied]),
    )


def _placed(name: Bytes, relative: Flags, first: Integers, path: Integers, numbers: Floats) -> _Steps:
    """Absolute places of every step. Each coordinate is a chain of 'set to' and 'add' steps, solved by sums."""
    count = len(name)
    padded = np.concatenate([numbers, np.zeros(8)])
    moves = name == ord("M")
    contour = np.cumsum(moves) - 1
    opens = np.concatenate([[True], path[1:] != path[:-1]])
    given, adds = _end_steps(name, relative, first, padded)
    move_rows = np.flatnonzero(moves)

    # Within a contour, relative to its start: first where every step is an addition, then absolute steps reset.
    inner = given.copy()
    inner[moves] = 0.0
    inner_adds = adds.copy()
    inner_adds[moves] = False
    local = _scan(inner, ~inner_adds)
    absolute_since = _any_since(~inner_adds & ~moves[:, None], contour, move_rows)

    starts = _contour_starts(given, adds, name, opens, move_rows, local, absolute_since)
    end = np.where(absolute_since, local, local + starts[contour])
    closes = name == ord("Z")
    end[closes] = starts[contour[closes]]
    start = np.zeros((count, 2))
    start[1:] = end[:-1]
    start[moves] = end[moves]
    base = np.where(relative[:, None], start, 0.0)
    controls = _controls(name, first, padded, base, start, end)
    arcs = name == ord("A")
    arc = np.zeros((count, 5))
    arc[arcs] = padded[first[arcs, None] + np.arange(5)]
    return _Steps(name, path, end, start, controls, arc, contour)


def _end_steps(name: Bytes, relative: Flags, first: Integers, padded: Floats) -> tuple[Floats, Flags]:
    """(k, 2) what each step gives for its end, and whether it is added to the current point."""
    arity = _ARITY[name]
    given = np.zeros((len(name), 2))
    adds = np.repeat(relative[:, None], 2, axis=1)
    pairs = (arity >= 2) & (first >= 0)
    given[pairs] = padded[(first + arity)[pairs, None] + np.array([-2, -1])]
    for letter, axis in ((ord("H"), 0), (ord("V"), 1)):
        rows = np.flatnonzero(name == letter)
        given[rows, axis] = padded[first[rows]]
        given[rows, 1 - axis] = 0.0
        adds[rows, 1 - axis] = True
    adds[name == ord("Z")] = True
    return given, adds


def _scan(values: Floats, sets: Flags) -> Floats:
    """Running value per column: where ``sets``, the value itself; elsewhere the value before plus this one."""
    rows = np.arange(len(values))[:, None]
    total = np.cumsum(np.where(sets, 0.0, values), axis=0)
    last = np.maximum.accumulate(np.where(sets, rows, 0), axis=0)
    running: Floats = np.take_along_axis(values, last, 0) + total - np.take_along_axis(total, last, 0)
    return running


def _any_since(flags: Flags, contour: Integers, move_rows: Integers) -> Flags:
    """Whether a flag was raised since the contour began, this row included."""
    total = np.cumsum(flags, axis=0)
    return total > total[move_rows[contour]]


def _contour_starts(
    given: Floats,
    adds: Flags,
    name: Bytes,
    opens: Flags,
    move_rows: Integers,
    local: Floats,
    absolute_since: Flags,
) -> Floats:
    """(c, 2) first point of each contour: given, or counted from where the contour before ended."""
    values = given[move_rows].copy()
    sets = ~adds[move_rows] | opens[move_rows][:, None]
    last = np.maximum(move_rows - 1, 0)
    closed_before = (name[last] == ord("Z"))[:, None]
    # A closed contour ends where it started; an open one at its last step.
    ended = np.where(closed_before, 0.0, local[last])
    fixed = absolute_since[last] & ~closed_before
    values = np.where(sets, values, values + ended)
    return _scan(values, sets | (fixed & ~sets))


def _controls(
    name: Bytes, first: Integers, padded: Floats, base: Floats, start: Floats, end: Floats
) -> Floats:
    """(k, 4) absolute control points of cubic steps; quadratic steps are raised to cubics."""
    controls = np.zeros((len(name), 4))
    cubic, smooth = name == ord("C"), name == ord("S")
    controls[cubic] = padded[first[cubic, None] + np.arange(4)] + np.tile(base[cubic], 2)
    controls[smooth, 2:] = padded[first[smooth, None] + np.arange(2)] + base[smooth]
    before = np.concatenate([[0], name[:-1]])
    reflects = smooth & np.isin(before, (ord("C"), ord("S")))
    rows = np.flatnonzero(reflects)
    controls[rows, :2] = 2 * start[rows] - controls[rows - 1, 2:]
    alone = smooth & ~reflects
    controls[alone, :2] = start[alone]

    quadratic, smooth_quadratic = name == ord("Q"), name == ord("T")
    if (quadratic | smooth_quadratic).any():
        middle = np.zeros((len(name), 2))
        middle[quadratic] = padded[first[quadratic, None] + np.arange(2)] + base[quadratic]
        middle = _reflected_chain(name, middle, start)
        rows = np.flatnonzero(quadratic | smooth_quadratic)
        controls[rows, :2] = start[rows] + (middle[rows] - start[rows]) * (2 / 3)
        controls[rows, 2:] = end[rows] + (middle[rows] - end[rows]) * (2 / 3)
    return controls


def _reflected_chain(name: Bytes, middle: Floats, start: Floats) -> Floats:
    """Control points of T: each mirrors the one before about the current point.

    With the sign alternating along the chain, mirroring becomes an addition, so a chain of any length is
    one running sum.
    """
    smooth = name == ord("T")
    before = np.concatenate([[0], name[:-1]])
    head = smooth & ~np.isin(before, (ord("Q"), ord("T")))
    middle[head] = start[head]
    sets = ~smooth | head
    rows = np.arange(len(name))
    depth = rows - np.maximum.accumulate(np.where(sets, rows, 0))
    sign = np.where(depth % 2 == 0, 1.0, -1.0)[:, None]
    values = np.where(sets[:, None], middle, sign * 2 * start)
    chained = _scan(values, np.repeat(sets[:, None], 2, axis=1))
    return np.where(smooth[:, None], sign * chained, middle)


def _outlines(steps: _Steps, paths: int) -> Outlines:
    name = steps.name
    moves, closes, arcs = name == ord("M"), name == ord("Z"), name == ord("A")
    straight = np.isin(name, (ord("L"), ord("H"), ord("V"))) | closes
    counts = np.ones(len(name), np.intp)
    counts[moves] = 0
    gaps_at_close = np.hypot(*(steps.start - steps.end).T)
    counts[closes & (gaps_at_close == 0)] = 0
    arc_rows = np.flatnonzero(arcs)
    arc_arguments = np.concatenate([steps.arc[arc_rows], steps.end[arc_rows]], axis=1)
    arc_segments, arc_counts = arcs_to_cubics(steps.start[arc_rows], arc_arguments)
    counts[arc_rows] = arc_counts

    owner = np.repeat(np.arange(len(name)), counts)
    segments = np.empty((len(owner), 4, 2))
    segments[:, 0] = steps.start[owner]
    segments[:, 1:3] = steps.controls[owner].reshape(-1, 2, 2)
    segments[:, 3] = steps.end[owner]
    is_straight = straight[owner]
    for index, share in ((1, 1 / 3), (2, 2 / 3)):
        line = segments[is_straight, 0] * (1 - share) + segments[is_straight, 3] * share
        segments[is_straight, index] = line
    segments[arcs[owner]] = arc_segments
    radii_zero = arcs & (steps.arc[:, :2] == 0).any(axis=1)
    is_straight = is_straight | radii_zero[owner]

    contours = int(moves.sum())
    per_contour = np.bincount(steps.contour[owner], minlength=contours)
    move_rows = np.flatnonzero(moves)
    closed = np.zeros(contours, bool)
    closed[steps.contour[closes]] = True
    last = np.append(move_rows[1:], len(name)) - 1
    drawn_end = np.where(closes[last][:, None], steps.start[last], steps.end[last])
    starts = steps.end[move_rows]
    objects = np.bincount(steps.path[move_rows], minlength=paths)
    return Outlines(
        segments=segments,
        straight=is_straight,
        contour_offsets=np.concatenate([[0], np.cumsum(per_contour)]).astype(np.intp),
        object_offsets=np.concatenate([[0], np.cumsum(objects)]).astype(np.intp),
        starts=starts,
        closed=closed,
        gaps=np.hypot(*(drawn_end - starts).T),
    )
