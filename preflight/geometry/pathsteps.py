"""Commands to absolute places, all paths in one pass. Knows what the commands mean, no characters, no cubics."""

from __future__ import annotations

import msgspec
import numpy as np

from .distinct import distinct
from .outlines import Flags, Floats, Integers
from .pathscan import NUMBERS_OF, Bytes, Scan

__all__ = ["Steps", "steps_of"]

_ROUNDING = 1e-12
"""Share of a contour's largest coordinate below which two of its points differ by rounding alone."""


class Steps(msgspec.Struct, frozen=True):
    """One row per drawn step: moveto, line, curve, arc, close.

    ``name`` upper-case letter; ``path`` whose; ``end`` (k, 2) absolute end; ``controls`` (k, 4) absolute
    control points of C, S, Q; ``arc`` (k, 5) radii, turn and flags; ``contour`` number; ``first`` index of
    its first number, -1 for a moveto that the file left out.
    """

    name: Bytes
    path: Integers
    end: Floats
    start: Floats
    controls: Floats
    arc: Floats
    contour: Integers
    first: Integers


def steps_of(scan: Scan, numbers: Floats) -> Steps:
    """Every step of all paths at its absolute place; the scan holds well-formed paths only."""
    arity = NUMBERS_OF[scan.letters]
    counts = np.diff(scan.first)
    repeats = np.where(arity > 0, counts // np.maximum(arity, 1), 1)
    row = np.repeat(np.arange(len(repeats)), repeats)
    within = np.arange(len(row)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
    letters = scan.letters[row]
    relative = letters >= ord("a")
    name = np.where(relative, letters - 32, letters).astype(np.uint8)
    first = scan.first[:-1][row] + within * arity[row]
    path = scan.paths_of(scan.places)[row]
    # Further pairs of a moveto are linetos.
    name = np.where((name == ord("M")) & (within > 0), np.uint8(ord("L")), name)
    name, relative, first, path = _with_implied_movetos(name, relative, first, path)
    return _placed(name, relative, first, path, numbers)


def _with_implied_movetos(
    name: Bytes, relative: Flags, first: Integers, path: Integers
) -> tuple[Bytes, Flags, Integers, Integers]:
    """After ``z``, any command but a moveto starts a contour at the point the last one started from.

    A second ``z`` closes what is closed: it is dropped.
    """
    after_close = np.concatenate([[False], (name[:-1] == ord("Z")) & (path[1:] == path[:-1])])
    again = after_close & (name == ord("Z"))
    if again.any():
        name, relative, first, path = (array[~again] for array in (name, relative, first, path))
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


def _placed(name: Bytes, relative: Flags, first: Integers, path: Integers, numbers: Floats) -> Steps:
    """Absolute places of every step. Each coordinate is a chain of 'set to' and 'add' steps, solved by sums."""
    count = len(name)
    padded = np.concatenate([numbers, np.zeros(8)])
    moves = name == ord("M")
    contour = np.cumsum(moves) - 1
    opens = np.concatenate([[True], path[1:] != path[:-1]])
    given, adds = _end_steps(name, relative, first, padded)
    move_rows = np.flatnonzero(moves)
    closes = name == ord("Z")
    if (adds & ~closes[:, None]).any():
        starts, end = _added_up(given, adds, name, opens, contour, move_rows)
    else:  # every step says where it ends
        starts, end = given[move_rows], given
    _meet_starts(end, np.flatnonzero(closes), starts[contour], move_rows)
    end[closes] = starts[contour[closes]]
    start = np.zeros((count, 2))
    start[1:] = end[:-1]
    start[moves] = end[moves]
    base = np.where(relative[:, None], start, 0.0)
    controls = _controls(name, first, padded, base, start, end)
    arcs = name == ord("A")
    arc = np.zeros((count, 5))
    arc[arcs] = padded[first[arcs, None] + np.arange(5)]
    return Steps(name, path, end, start, controls, arc, contour, first)


def _added_up(
    given: Floats, adds: Flags, name: Bytes, opens: Flags, contour: Integers, move_rows: Integers
) -> tuple[Floats, Floats]:
    """(c, 2) first point of each contour, and (k, 2) end of each step, of steps some of which count from the one before."""
    moves = name == ord("M")
    # Within a contour, relative to its start: first where every step is an addition, then absolute steps reset.
    inner = given.copy()
    inner[moves] = 0.0
    inner_adds = adds.copy()
    inner_adds[moves] = False
    local = _scan(inner, ~inner_adds)
    absolute_since = _any_since(~inner_adds & ~moves[:, None], contour, move_rows)

    starts = _contour_starts(given, adds, name, opens, move_rows, local, absolute_since)
    # Now that the starts are known, once more from there: each path adds up in the order it was written.
    inner[moves] = starts
    return starts, _scan(inner, ~inner_adds)


def _meet_starts(end: Floats, close_rows: Integers, starts: Floats, move_rows: Integers) -> None:
    """Move the last drawn point of a closed contour onto its start where only rounding parts them.

    Relative steps that come back to the start on paper miss it by a few last digits; the line that would
    close such a gap is no line of the file.
    """
    if not len(close_rows):
        return
    size = np.maximum.reduceat(np.abs(end), move_rows, axis=0).max(axis=1)
    allowed = _ROUNDING * size[np.searchsorted(move_rows, close_rows, "right") - 1]
    off = np.abs(end[close_rows - 1] - starts[close_rows]).max(axis=1)
    rows = close_rows[off <= allowed]
    end[rows - 1] = starts[rows]


def _end_steps(name: Bytes, relative: Flags, first: Integers, padded: Floats) -> tuple[Floats, Flags]:
    """(k, 2) what each step gives for its end, and whether it is added to the current point."""
    arity = NUMBERS_OF[name]
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
    """Running value per column: where ``sets``, the value itself; elsewhere the value before plus this one.

    The first row sets. Each run is summed by itself and in order, as a reader of one path would: differences
    of one long sum would round a small path by the size of a giant one before it.
    """
    return np.stack([_running(values[:, axis], sets[:, axis]) for axis in (0, 1)], axis=1)


def _running(values: Floats, sets: Flags) -> Floats:
    result = values.copy()
    firsts = np.flatnonzero(sets)
    lengths = np.diff(np.append(firsts, len(values)))
    # Runs of like length, to the next power of two, fill the rows of one table: a handful of tables.
    sizes = np.ceil(np.log2(np.maximum(lengths, 1))).astype(np.intp)
    for size in distinct(sizes[sizes > 0]).tolist():
        chosen = np.flatnonzero(sizes == size)
        columns = np.arange(2**size)
        inside = columns < lengths[chosen, None]
        rows = (firsts[chosen, None] + columns)[inside]
        table = np.zeros(inside.shape)
        table[inside] = values[rows]
        result[rows] = np.cumsum(table, axis=1)[inside]
    return result


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
