"""Which boxes come near which: candidates for every exact test. Knows boxes and contour offsets, no curves."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise

import msgspec
import numpy as np

from preflight.geometry.outlines import Flags, Floats, Integers, offsets_of

__all__ = ["BoxTree"]

_BRANCHES = 4

_AT_ONCE = 50_000
"""Pairs of runs that are looked into at a time: what they come to is counted before the next."""


class BoxTree(msgspec.Struct, frozen=True, eq=False, dict=True):
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
            above = offsets_of(counts)
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

    def near_within_contours(
        self, contours: Flags, reach: float, stopped: Flags | None = None
    ) -> Iterator[tuple[Integers, Integers]]:
        """Pairs of segments first < second of one of the contours (c,) whose boxes come within ``reach``, part by part.

        What ``stopped`` (c,) says between two parts is left out from there on.
        """
        roots = self.offsets[-1][:-1][(np.diff(self.offsets[-1]) > 0) & contours]
        waiting = [(len(self.boxes) - 1, roots, roots)]
        while waiting:
            level, first, second = waiting.pop()
            if len(first) > _AT_ONCE:
                waiting += [(level, first[_AT_ONCE:], second[_AT_ONCE:])]
                first, second = first[:_AT_ONCE], second[:_AT_ONCE]
            if stopped is not None and stopped.any():
                on = ~stopped[self._owners[level][first]]
                first, second = first[on], second[on]
            if level:
                waiting.append((level - 1, *self._near_children(first, second, level, reach)))
            else:
                different = first != second
                yield first[different], second[different]

    def near_between_contours(
        self, first: Integers, second: Integers, reach: float, stopped: Flags | None = None
    ) -> Iterator[tuple[Integers, Integers]]:
        """Pairs of segments whose boxes come within ``reach``, for pairs of contours (different ones, not empty), part by part.

        Of two runs the larger is looked at part by part: most pairs of contours, one inside the other, are
        told apart before the smaller one is looked into at all. What ``stopped`` (c,) says between two parts is left out from there on.
        """
        top = len(self.boxes) - 1
        start = (self.offsets[top][first], self.offsets[top][second])
        if not top:
            near = self._near(start[0], 0, start[1], 0, reach)
            start = (start[0][near], start[1][near])
        yield from self._search({(top, top): [start]}, reach, stopped)

    def _search(
        self,
        waiting: dict[tuple[int, int], list[tuple[Integers, Integers]]],
        reach: float,
        stopped: Flags | None,
    ) -> Iterator[tuple[Integers, Integers]]:
        """Pairs of segments below pairs of runs, which wait by the levels of the two."""
        while waiting:
            level, other = max(waiting, key=lambda levels: (sum(levels), levels))
            a, b = (np.concatenate(column) for column in zip(*waiting.pop((level, other)), strict=True))
            if stopped is not None and stopped.any():
                on = ~(stopped[self._owners[level][a]] | stopped[self._owners[other][b]])
                a, b = a[on], b[on]
            if len(a) > _AT_ONCE:
                for begin in range(0, len(a), _AT_ONCE):
                    part = slice(begin, begin + _AT_ONCE)
                    yield from self._search({(level, other): [(a[part], b[part])]}, reach, stopped)
                continue
            if not level and not other:
                yield a, b
                continue
            larger = (
                self._spans[level][a] >= self._spans[other][b]
                if level and other
                else np.full(len(a), level > 0)
            )
            for rows, at, to in ((larger, (level - 1, other), True), (~larger, (level, other - 1), False)):
                if not rows.any():
                    continue
                parts = self._parts(a[rows], level) if to else self._parts(b[rows], other)
                one, two = (parts[1], b[rows][parts[0]]) if to else (a[rows][parts[0]], parts[1])
                near = self._near(one, at[0], two, at[1], reach)
                waiting.setdefault(at, []).append((one[near], two[near]))

    def _near_children(
        self, first: Integers, second: Integers, level: int, reach: float
    ) -> tuple[Integers, Integers]:
        """Pairs of the runs one level down that come near; a run with itself gives each pair of its parts once."""
        begin, end = self._ranges[level]
        part = np.arange(_BRANCHES)
        # Numbers are gathered for either side by itself: four a run, where there are sixteen pairs.
        a, b = begin[first][:, None] + part, begin[second][:, None] + part
        real_a, real_b = a < end[first][:, None], b < end[second][:, None]
        one, other = np.where(real_a, a, begin[first][:, None]), np.where(real_b, b, begin[second][:, None])
        columns = self._columns[level - 1]
        near = real_a[:, :, None] & real_b[:, None, :]
        for low, high in ((0, 2), (1, 3)):
            near &= columns[low][one][:, :, None] <= (columns[high][other] + reach)[:, None, :]
            near &= columns[low][other][:, None, :] <= (columns[high][one] + reach)[:, :, None]
        near[first == second] &= part[:, None] <= part
        row, of_first, of_second = np.nonzero(near)
        return a[row, of_first], b[row, of_second]

    def _parts(self, runs: Integers, level: int) -> tuple[Integers, Integers]:
        """The runs one level down: the row each belongs to, and the run."""
        begin, end = self._ranges[level]
        counts = end[runs] - begin[runs]
        row = np.repeat(np.arange(len(runs)), counts)
        return row, np.arange(len(row)) + np.repeat(begin[runs] - np.cumsum(counts) + counts, counts)

    @cached_property
    def _ranges(self) -> list[tuple[Integers, Integers]]:
        """First and last+1 run of the level below, for every run of each level; nothing below the segments."""
        ranges = [(self.offsets[0][:0], self.offsets[0][:0])]
        for at, above in pairwise(self.offsets):
            counts = np.diff(above)
            within = np.arange(above[-1]) - np.repeat(above[:-1], counts)
            begin = np.repeat(at[:-1], counts) + _BRANCHES * within
            ranges.append((begin, np.minimum(begin + _BRANCHES, np.repeat(at[1:], counts))))
        return ranges

    @cached_property
    def _owners(self) -> list[Integers]:
        """(n,) contour of each run, level by level."""
        return [np.repeat(np.arange(len(at) - 1), np.diff(at)) for at in self.offsets]

    @cached_property
    def _columns(self) -> list[Floats]:
        """(4, n) the boxes of each level: gathering whole rows and reducing them costs several times as much."""
        return [np.ascontiguousarray(boxes.T) for boxes in self.boxes]

    @cached_property
    def _spans(self) -> list[Floats]:
        """(n,) width and height together of the boxes of each level."""
        return [columns[2] - columns[0] + columns[3] - columns[1] for columns in self._columns]

    def _near(self, first: Integers, level: int, second: Integers, other: int, reach: float) -> Flags:
        x0, y0, x1, y1 = self._columns[level]
        others = self._columns[other]
        near = x0[first] <= others[2][second] + reach
        near &= others[0][second] <= x1[first] + reach
        near &= y0[first] <= others[3][second] + reach
        near &= others[1][second] <= y1[first] + reach
        return np.asarray(near)
