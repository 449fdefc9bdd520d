"""Path construction of one page: rows of operators collected as arrays, made into curves all at once.

Knows what the construction operators mean, nothing of painting.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.matrices import Matrix
from preflight.readers.pdf.tokens import PATH_OPERATORS

__all__ = ["Bytes", "Part", "Paths", "Run"]

Bytes = NDArray[np.uint8]

_MOVE, _LINE, _CURVE, _CURVE_V, _CURVE_Y, _CLOSE, _RECTANGLE = range(len(PATH_OPERATORS))
_NO_NUMBERS = np.full((1, 6), np.nan)

Run = tuple[int, int, int]
"""First row, the one after the last, and the number of the matrix in force."""
Part = tuple[int, int, Matrix]
"""First row, the one after the last, and the matrix to mm."""


class Paths:
    """Shapes by number, in the order painted or clipped with.

    A shape is a list of runs of rows, so a form drawn a thousand times keeps its rows once. Points are mapped by
    the matrix in force when they were constructed (ISO 32000-1, 8.5.2.1), not when they were painted.
    """

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        # Row 0 is a closepath, for the painting operators that close.
        self._codes: list[Bytes] = [np.array([_CLOSE], np.uint8)]
        self._numbers: list[Floats] = [_NO_NUMBERS]
        self._rows = 1
        self._used = 0
        self._matrices: list[Matrix] = []
        self._matrix_numbers: dict[Matrix, int] = {}
        self._runs: list[Run] = []
        self._counts: list[int] = []
        self.pending: list[Run] = []
        """Runs of the path under construction."""
        self.headless: set[int] = set()
        """Shapes that start without a moveto; known once they are built."""

    @property
    def count(self) -> int:
        """Number of shapes so far."""
        return len(self._counts)

    def keep(self, codes: Bytes, numbers: Floats) -> int:
        """Take over rows (codes (k,), operands (k, 6)); returns the number of the first."""
        first = self._rows
        self._codes.append(codes)
        self._numbers.append(numbers)
        self._rows += len(codes)
        return first

    def construct(self, first: int, last: int, matrix: Matrix) -> None:
        """Add rows to the path under construction.

        Raises
        ------
        Unreadable
            The page draws more than the limit on segments allows.
        """
        number = self._matrix_numbers.get(matrix)
        if number is None:
            number = self._matrix_numbers[matrix] = len(self._matrices)
            self._matrices.append(matrix)
        self.pending.append((first, last, number))
        self._used += last - first
        # A row of each contour is its moveto, and a rectangle makes four: the exact count comes when they are built.
        if self._used > 2 * self._limits.path_segments:
            raise _too_many(self._used, self._limits)

    def close(self) -> None:
        """Close the last contour of the path under construction, as ``h`` does."""
        if self.pending:
            self.pending.append((0, 1, self.pending[-1][2]))

    def finish(self) -> int:
        """The path under construction as a shape; returns its number."""
        self._runs += self.pending
        self._counts.append(len(self.pending))
        self.pending = []
        return len(self._counts) - 1

    def box(self, box: tuple[float, float, float, float], matrix: Matrix) -> int:
        """A closed rectangle by two corners in the space of ``matrix``, as a shape; whatever is pending stays."""
        return self.shape([self.box_part(box, matrix)])

    def box_part(self, box: tuple[float, float, float, float], matrix: Matrix) -> Part:
        """A closed rectangle by two corners in the space of ``matrix``, as part of a shape."""
        x0, y0, x1, y1 = box
        numbers = np.full((1, 6), np.nan)
        numbers[0, :4] = x0, y0, x1 - x0, y1 - y0
        row = self.keep(np.array([_RECTANGLE], np.uint8), numbers)
        return row, row + 1, matrix

    def shape(self, parts: Iterable[Part]) -> int:
        """A shape of rows kept before, each part mapped by a matrix of its own; whatever is pending stays."""
        pending, self.pending = self.pending, []
        for first, last, matrix in parts:
            self.construct(first, last, matrix)
        shape = self.finish()
        self.pending = pending
        return shape

    def rectangle(self) -> tuple[Matrix, tuple[float, ...]] | None:
        """Matrix and operands of the path under construction where it is one ``re`` and nothing else."""
        if len(self.pending) != 1 or self.pending[0][1] - self.pending[0][0] != 1:
            return None
        row, _, matrix = self.pending[0]
        # The rows asked about have only just been read.
        base = self._rows
        for codes, numbers in zip(reversed(self._codes), reversed(self._numbers), strict=True):
            base -= len(codes)
            if row >= base:
                if codes[row - base] != _RECTANGLE:
                    return None
                return self._matrices[matrix], tuple(numbers[row - base, :4].tolist())
        return None

    def built(self) -> Outlines:
        """The curves of all shapes, an object each, in mm.

        Raises
        ------
        Unreadable
            There are more segments than the limit.
        """
        rows = _Rows.gathered(self)
        outlines = rows.outlines(self.count)
        self.headless = rows.headless
        if len(outlines.segments) > self._limits.path_segments:
            raise _too_many(len(outlines.segments), self._limits)
        return outlines


def _too_many(count: int, limits: Limits) -> Unreadable:
    return Unreadable(
        f"The page holds {count:,} segments, above the limit of {limits.path_segments:,}",
        None,
        "Simplify the artwork, or raise the limit in the profile.",
    )


class _Rows:
    """Rows of all shapes in order, mapped to mm.

    ``codes`` (k,), ``shapes`` (k,) the shape of each, ``points`` (k, 3, 2) up to three points as written.
    """

    def __init__(self, codes: Bytes, shapes: Integers, points: Floats) -> None:
        self.codes = codes
        self.shapes = shapes
        self.points = points
        self.headless: set[int] = set()

    @classmethod
    def gathered(cls, paths: Paths) -> _Rows:
        runs = np.array(paths._runs, np.intp).reshape(-1, 3)
        lengths = runs[:, 1] - runs[:, 0]
        rows = _ranges(runs[:, 0], lengths)
        shapes = np.repeat(np.repeat(np.arange(paths.count), paths._counts), lengths)
        matrices = np.repeat(runs[:, 2], lengths)
        codes = np.concatenate(paths._codes)[rows]
        points = np.concatenate(paths._numbers)[rows].reshape(-1, 3, 2)
        rectangles = codes == _RECTANGLE
        if rectangles.any():
            wide = np.where(rectangles, 5, 1)
            codes, shapes = np.repeat(codes, wide), np.repeat(shapes, wide)
            points, matrices = np.repeat(points, wide, axis=0), np.repeat(matrices, wide)
            _spell_out(codes, points)
        _map(points, np.array(paths._matrices, np.float64).reshape(-1, 6), matrices)
        found = cls(codes, shapes, points)
        found._settle()
        return found

    def _settle(self) -> None:
        """Drop rows that leave no trace, and begin every shape with a moveto (ISO 32000-1, table 59)."""
        at = np.arange(len(self.codes))
        heads = np.diff(self.shapes, prepend=-1) != 0
        closes = self.codes == _CLOSE
        # A closepath before anything else has nothing to close.
        begun = np.maximum.accumulate(np.where(closes, -1, at)) >= np.maximum.accumulate(
            np.where(heads, at, 0)
        )
        self._keep(begun)
        codes = self.codes
        heads = np.diff(self.shapes, prepend=-1) != 0
        lost = heads & (codes != _MOVE)
        if lost.any():
            # Without a current point a line or curve can only say where the next one starts.
            self.headless = set(self.shapes[lost].tolist())
            self.points[lost, 0] = _last_points(codes[lost], self.points[lost])
            codes[lost] = _MOVE
        moves, closes = codes == _MOVE, codes == _CLOSE
        keep = np.ones(len(codes), bool)
        # A moveto overrides one right before it; a contour is closed once.
        keep[:-1] = ~(moves[:-1] & moves[1:] & ~heads[1:])
        keep[1:] &= ~(closes[1:] & closes[:-1] & ~heads[1:])
        self._keep(keep)
        # One at the end starts nothing, unless there is nothing else.
        heads = np.diff(self.shapes, prepend=-1) != 0
        tails = np.diff(self.shapes, append=-1) != 0
        self._keep(~((self.codes == _MOVE) & tails & ~heads))

    def _keep(self, rows: Flags) -> None:
        if not rows.all():
            self.codes, self.shapes, self.points = self.codes[rows], self.shapes[rows], self.points[rows]

    def outlines(self, count: int) -> Outlines:
        codes, shapes, points = self.codes, self.shapes, self.points
        if not len(codes):
            return Outlines.empty(count)
        moves, closes = codes == _MOVE, codes == _CLOSE
        at = np.arange(len(codes))
        ends = _last_points(codes, points)
        origins = ends[np.maximum.accumulate(np.where(moves, at, 0))]
        ends[closes] = origins[closes]
        before = np.concatenate([ends[:1], ends[:-1]])
        # After a closepath a line or curve goes on from where the closed contour began.
        begins = moves.copy()
        begins[1:] |= closes[:-1] & ~closes[1:]
        contours = np.cumsum(begins) - 1
        spans = closes & (before != origins).any(axis=1)
        drawn = ~moves & (~closes | spans)
        firsts = np.flatnonzero(begins)
        lasts = np.append(firsts[1:], len(codes)) - 1
        closed = closes[lasts]
        starts = origins[firsts]
        open_ends = np.where(closed[:, None], before[lasts], ends[lasts])
        with np.errstate(over="ignore", invalid="ignore"):
            gaps = np.hypot(*(open_ends - starts).T)
        return Outlines(
            segments=_segments(codes[drawn], points[drawn], before[drawn], ends[drawn]),
            straight=(codes[drawn] == _LINE) | closes[drawn],
            contour_offsets=_offsets(np.bincount(contours[drawn], minlength=len(firsts))),
            object_offsets=_offsets(np.bincount(shapes[firsts], minlength=count)),
            starts=starts,
            closed=closed,
            gaps=gaps,
        )


def _spell_out(codes: Bytes, points: Floats) -> None:
    """Turn each rectangle, five rows alike, into m, l, l, l, h (ISO 32000-1, table 59), in place."""
    firsts = np.flatnonzero(codes == _RECTANGLE)[::5]
    x, y = points[firsts, 0].T
    with np.errstate(over="ignore", invalid="ignore"):
        right, top = (points[firsts, 0] + points[firsts, 1]).T
    for step, (across, up) in enumerate(((x, y), (right, y), (right, top), (x, top))):
        points[firsts + step, 0] = np.column_stack([across, up])
        codes[firsts + step] = _LINE if step else _MOVE
    codes[firsts + 4] = _CLOSE


def _map(points: Floats, matrices: Floats, chosen: Integers) -> None:
    """Map points (k, 3, 2) by the chosen matrices, in place."""
    if not len(points):
        return
    x, y = points[..., 0].copy(), points[..., 1].copy()
    if len(matrices) == 1:
        a, b, c, d, e, f = matrices[0]
    else:
        a, b, c, d, e, f = matrices[chosen].T[:, :, None]
    with np.errstate(over="ignore", invalid="ignore"):
        points[..., 0] = a * x + c * y + e
        points[..., 1] = b * x + d * y + f


def _last_points(codes: Bytes, points: Floats) -> Floats:
    """(k, 2) the point each row ends at; a closepath's is not known here."""
    last = np.array([0, 0, 2, 1, 1, 0, 0], np.intp)[codes]
    return points[np.arange(len(codes)), last]


def _segments(codes: Bytes, points: Floats, before: Floats, ends: Floats) -> Floats:
    """Cubics (n, 4, 2) of rows that draw; lines with their control points at thirds."""
    segments = np.empty((len(codes), 4, 2))
    segments[:, 0] = before
    segments[:, 1:3] = points[:, :2]
    segments[:, 3] = ends
    with np.errstate(over="ignore", invalid="ignore"):
        lines = (codes == _LINE) | (codes == _CLOSE)
        step = (ends[lines] - before[lines]) / 3.0
        segments[lines, 1] = before[lines] + step
        segments[lines, 2] = before[lines] + 2.0 * step
    behind = codes == _CURVE_V
    segments[behind, 2] = points[behind, 0]
    segments[behind, 1] = before[behind]
    ahead = codes == _CURVE_Y
    segments[ahead, 2] = ends[ahead]
    return segments


def _ranges(firsts: Integers, lengths: Integers) -> Integers:
    """The integer ranges of these lengths from these numbers on, one after the other."""
    ends = np.cumsum(lengths)
    return np.arange(ends[-1] if len(ends) else 0) + np.repeat(firsts - ends + lengths, lengths)


def _offsets(counts: Integers) -> Integers:
    return np.concatenate([np.zeros(1, np.intp), np.cumsum(counts, dtype=np.intp)])
