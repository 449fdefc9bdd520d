"""Path construction of one page: rows of operators collected as arrays, made into curves all at once.

Knows what the construction operators mean, nothing of painting.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Floats, Integers, Outlines
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.matrices import Matrix
from preflight.readers.pdf.content.path_rows import Rows
from preflight.readers.pdf.content.tokens import PATH_OPERATORS

__all__ = ["Bytes", "Part", "Paths", "Run"]

Bytes = NDArray[np.uint8]

_CLOSE, _RECTANGLE = PATH_OPERATORS.index("h"), PATH_OPERATORS.index("re")
_DRAWN = np.array([0, 1, 1, 1, 1, 0, 3], np.int64)
"""Segments that each operator makes at least."""
_NO_NUMBERS = np.full((1, 6), np.nan)
_BLOCK = 1 << 17
"""Rows made into curves at once, so that what is needed in between stays small."""

Run = tuple[int, int, int]
"""First row, the one after the last, and the number of the matrix in force."""
Part = tuple[int, int, Matrix]
"""First row, the one after the last, and the matrix to mm."""


class Paths:
    """Shapes by number, in the order painted or clipped with.

    A shape is a list of runs of rows, so a form drawn a thousand times keeps its rows once. Points are mapped by
    the matrix in force when they were constructed (ISO 32000-1, 8.5.2.1), not when they were painted.
    """

    def __init__(self, limits: Limits, deadline: Deadline) -> None:
        self._limits = limits
        self._deadline = deadline
        # Row 0 is a closepath, for the painting operators that close.
        self._codes: list[Bytes] = [np.array([_CLOSE], np.uint8)]
        self._numbers: list[Floats] = [_NO_NUMBERS]
        self._firsts = [0]
        self._rows = 1
        self._used = 0
        self._drawn = 0
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
        """Take over rows (codes (k,), operands (k, 6)); returns the number of the first.

        Raises
        ------
        Unreadable
            All rows together draw more than the limit on segments allows, whether or not they are painted.
        """
        self._drawn += int(_DRAWN[codes].sum())
        if self._drawn > self._limits.path_segments:
            raise _too_many(self._drawn, self._limits)
        first = self._rows
        self._firsts.append(first)
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
        part = bisect_right(self._firsts, row) - 1
        place = row - self._firsts[part]
        if self._codes[part][place] != _RECTANGLE:
            return None
        return self._matrices[matrix], tuple(self._numbers[part][place, :4].tolist())

    def built(self, shapes: Integers) -> Outlines:
        """The curves of some shapes, an object each in the order given, in mm.

        Raises
        ------
        Unreadable
            There are more segments than the limit.
        """
        runs = self._joined()
        counts = np.array(self._counts, np.intp)
        runs = runs[_ranges((np.cumsum(counts) - counts)[shapes], counts[shapes])]
        ends = np.cumsum(counts[shapes])
        lengths = runs[:, 1] - runs[:, 0]
        # Rows up to the end of each shape say where a block may end.
        rows = np.concatenate([np.zeros(1, np.intp), np.cumsum(lengths)])[ends]
        built, first, segments = [], 0, 0
        while first < len(shapes):
            self._deadline.check()
            before = int(rows[first - 1]) if first else 0
            last = max(first + 1, int(np.searchsorted(rows, before + _BLOCK, "right")))
            chosen = slice(int(ends[first - 1]) if first else 0, int(ends[last - 1]))
            built.append(self._block(shapes[first:last], runs[chosen], lengths[chosen]))
            segments += len(built[-1].segments)
            if segments > self._limits.path_segments:
                raise _too_many(segments, self._limits)
            first = last
        return Outlines.joined(built) if len(built) != 1 else built[0]

    def _joined(self) -> Integers:
        """(r, 3) all runs, after making one array of the rows, unless they draw more than the limit."""
        flat = chain.from_iterable(self._runs)
        runs = np.fromiter(flat, np.intp, 3 * len(self._runs)).reshape(-1, 3)
        if len(self._codes) > 1:
            self._codes = [np.concatenate(self._codes)]
        drawn = np.concatenate([np.zeros(1, np.int64), np.cumsum(_DRAWN[self._codes[0]])])
        segments = int((drawn[runs[:, 1]] - drawn[runs[:, 0]]).sum())
        if segments > self._limits.path_segments:
            raise _too_many(segments, self._limits)
        if len(self._numbers) > 1:
            self._numbers = [np.concatenate(self._numbers)]
        self._firsts = [0]
        return runs

    def _block(self, shapes: Integers, runs: Integers, lengths: Integers) -> Outlines:
        rows = _ranges(runs[:, 0], lengths)
        counts = np.array(self._counts, np.intp)[shapes]
        places = np.repeat(np.repeat(np.arange(len(shapes)), counts), lengths)
        found = Rows.mapped(
            self._codes[0][rows],
            places,
            self._numbers[0][rows].reshape(-1, 3, 2),
            np.array(self._matrices, np.float64).reshape(-1, 6),
            np.repeat(runs[:, 2], lengths),
        )
        self.headless.update(shapes[sorted(found.headless)].tolist())
        return found.outlines(len(shapes))


def _too_many(count: int, limits: Limits) -> Unreadable:
    return Unreadable(
        f"The page holds {count:,} segments, above the limit of {limits.path_segments:,}",
        None,
        "Simplify the artwork, or raise [limits] path_segments in the profile.",
    )


def _ranges(firsts: Integers, lengths: Integers) -> Integers:
    """The integer ranges of these lengths from these numbers on, one after the other."""
    ends = np.cumsum(lengths)
    return np.arange(ends[-1] if len(ends) else 0) + np.repeat(firsts - ends + lengths, lengths)
