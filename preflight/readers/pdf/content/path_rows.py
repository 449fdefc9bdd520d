"""What path construction operators draw, by the array: from rows of operands to curves. Knows nothing of painting."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of
from preflight.readers.pdf.content.tokens import PATH_OPERATORS

__all__ = ["Rows"]

Bytes = NDArray[np.uint8]

_AT_ONCE = 1 << 14
"""Rows mapped at once."""

_MOVE, _LINE, _CURVE, _CURVE_V, _CURVE_Y, _CLOSE, _RECTANGLE = range(len(PATH_OPERATORS))


class Rows:
    """Rows of some shapes in order, mapped to mm.

    ``codes`` (k,), ``shapes`` (k,) the shape of each, ``points`` (k, 3, 2) up to three points as written.
    """

    def __init__(self, codes: Bytes, shapes: Integers, points: Floats) -> None:
        self.codes = codes
        self.shapes = shapes
        self.points = points
        self.headless: set[int] = set()

    @classmethod
    def mapped(
        cls, codes: Bytes, shapes: Integers, points: Floats, matrices: Floats, chosen: Integers
    ) -> Rows:
        """Rows as written, made ready for `outlines`; ``points`` is changed in place.

        Parameters
        ----------
        codes, shapes, points : as the attributes, rectangles not spelt out yet.
        matrices : (m, 6) to mm.
        chosen : (k,) the matrix of each row.
        """
        rectangles = codes == _RECTANGLE
        if rectangles.any():
            wide = np.where(rectangles, 5, 1)
            codes, shapes = np.repeat(codes, wide), np.repeat(shapes, wide)
            points, chosen = np.repeat(points, wide, axis=0), np.repeat(chosen, wide)
            _spell_out(codes, points)
        _map(points, matrices, chosen)
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
        """The curves, an object each, of shapes 0 up to ``count``."""
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
            contour_offsets=offsets_of(np.bincount(contours[drawn], minlength=len(firsts))),
            object_offsets=offsets_of(np.bincount(shapes[firsts], minlength=count)),
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
    for first in range(0, len(points), _AT_ONCE):
        rows = slice(first, first + _AT_ONCE)
        x, y = points[rows, :, 0].copy(), points[rows, :, 1].copy()
        a, b, c, d, e, f = matrices[chosen[rows]].T[:, :, None]
        with np.errstate(over="ignore", invalid="ignore"):
            points[rows, :, 0] = a * x + c * y + e
            points[rows, :, 1] = b * x + d * y + f


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
