"""Which boxes come near which: candidates for every exact test. Knows boxes and contour offsets, no curves."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["BoxTree", "near_contours"]

_BRANCHES = 4


def near_contours(boxes: Floats, reach: float) -> tuple[Integers, Integers]:
    """Pairs of boxes (c, 4) that come within ``reach`` of each other in x and in y, first < second.

    NaN boxes (empty contours) are near nothing.
    """
    usable = np.flatnonzero(~np.isnan(boxes[:, 0]))
    if len(usable) < 2:
        return np.empty(0, np.intp), np.empty(0, np.intp)
    half = reach / 2.0
    x0, y0, x1, y1 = boxes[usable].T
    around = shapely.box(x0 - half, y0 - half, x1 + half, y1 + half)
    first, second = shapely.STRtree(around).query(around)
    keep = first < second
    first, second = usable[first[keep]], usable[second[keep]]
    order = np.lexsort((second, first))
    return first[order], second[order]


class BoxTree(msgspec.Struct, frozen=True, eq=False):
    """Boxes of runs of 1, 4, 16, … neighbouring segments of each contour.

    Segments that follow each other lie near each other, so the order along the contour is itself a good
    tree: no sorting, all contours of a sheet are searched in the same array steps.

    Attributes
    ----------
    boxes : one (n_level, 4) array a level, level 0 the segments themselves
    offsets : one (c + 1,) array a level: the runs of contour ``i``
    """

    boxes: tuple[Floats, ...]
    offsets: tuple[Integers, ...]

    @classmethod
    def over(cls, boxes: Floats, offsets: Integers) -> BoxTree:
        """Tree over segment boxes (n, 4) of contours with the given offsets (c + 1,)."""
        levels, starts = [boxes], [np.asarray(offsets, np.intp)]
        while len(starts[-1]) > 1 and np.diff(starts[-1]).max(initial=0) > 1:
            below, at = levels[-1], starts[-1]
            counts = -(-np.diff(at) // _BRANCHES)
            above = np.concatenate([np.zeros(1, np.intp), np.cumsum(counts)])
            within = np.arange(above[-1]) - np.repeat(above[:-1], counts)
            first = np.repeat(at[:-1], counts) + _BRANCHES * within
            low = np.minimum.reduceat(below[:, :2], first, axis=0)
            high = np.maximum.reduceat(below[:, 2:], first, axis=0)
            levels.append(np.concatenate([low, high], axis=1))
            starts.append(above)
        return cls(tuple(levels), tuple(starts))

    def contour_boxes(self) -> Floats:
        """(c, 4) box of each contour, NaN where it holds no segment."""
        boxes = np.full((len(self.offsets[0]) - 1, 4), np.nan)
        filled = np.diff(self.offsets[-1]) > 0
        boxes[filled] = self.boxes[-1]
        return boxes

    def near_within_contours(self, contours: Flags, reach: float) -> tuple[Integers, Integers]:
        """Pairs of segments first < second of one of the contours (c,) whose boxes come within ``reach``."""
        roots = self.offsets[-1][:-1][(np.diff(self.offsets[-1]) > 0) & contours]
        return self._descend(roots, roots, reach)

    def near_between_contours(
        self, first: Integers, second: Integers, reach: float
    ) -> tuple[Integers, Integers]:
        """Pairs of segments whose boxes come within ``reach``, for pairs of contours (different ones, not empty)."""
        top = self.offsets[-1]
        return self._descend(top[first], top[second], reach)

    def _descend(self, first: Integers, second: Integers, reach: float) -> tuple[Integers, Integers]:
        for level in range(len(self.boxes) - 1, 0, -1):
            first, second = self._children(first, second, level)
            near = self._near(first, second, level - 1, reach) | (first == second)
            first, second = first[near], second[near]
        different = first != second
        if len(self.boxes) == 1:
            different &= self._near(first, second, 0, reach)
        return first[different], second[different]

    def _children(self, first: Integers, second: Integers, level: int) -> tuple[Integers, Integers]:
        """All pairs of the runs one level down; a run with itself gives each pair of its parts once."""
        begin, end = self._below(level)
        part = np.arange(_BRANCHES)
        a = begin[first][:, None, None] + part[None, :, None]
        b = begin[second][:, None, None] + part[None, None, :]
        real = (a < end[first][:, None, None]) & (b < end[second][:, None, None])
        real &= (first != second)[:, None, None] | (a <= b)
        a, b = np.broadcast_arrays(a, b)
        return a[real], b[real]

    def _below(self, level: int) -> tuple[Integers, Integers]:
        """First and last+1 run of the level below, for every run of this level."""
        above, at = self.offsets[level], self.offsets[level - 1]
        counts = np.diff(above)
        within = np.arange(above[-1]) - np.repeat(above[:-1], counts)
        begin = np.repeat(at[:-1], counts) + _BRANCHES * within
        return begin, np.minimum(begin + _BRANCHES, np.repeat(at[1:], counts))

    def _near(self, first: Integers, second: Integers, level: int, reach: float) -> Flags:
        # One column after the other: gathering whole rows and reducing them costs several times as much.
        x0, y0, x1, y1 = (np.ascontiguousarray(column) for column in self.boxes[level].T)
        near = x0[first] <= x1[second] + reach
        near &= x0[second] <= x1[first] + reach
        near &= y0[first] <= y1[second] + reach
        near &= y0[second] <= y1[first] + reach
        return np.asarray(near)
