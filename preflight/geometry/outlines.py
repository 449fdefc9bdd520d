"""Curves as arrays: every kernel of this folder takes and returns these. Knows nothing of artwork or cutting."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeAlias

import msgspec
import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[np.intp]
Flags: TypeAlias = NDArray[np.bool_]

__all__ = ["Flags", "Floats", "Integers", "Outlines", "offsets_of", "ranges"]


class Outlines(msgspec.Struct, frozen=True, eq=False):
    """Contours made of cubic Bézier segments, many objects at once.

    A straight line is a cubic whose control points stand at thirds, and is flagged. A contour may hold no
    segment at all (a lone moveto); it still has a start. When the file closes a contour (``z``, ``h``,
    ``re``) whose ends do not coincide, the closing line is a segment like any other.

    Attributes
    ----------
    segments : (n, 4, 2) float64
        Control points, in the caller's unit (the model: mm, y down).
    straight : (n,) bool
        The file drew the segment as a line.
    contour_offsets : (c + 1,) int
        Contour ``i`` holds ``segments[contour_offsets[i]:contour_offsets[i + 1]]``.
    object_offsets : (o + 1,) int
        Object ``k`` holds contours ``object_offsets[k]`` up to ``object_offsets[k + 1]``.
    starts : (c, 2) float64
        First point of each contour.
    closed : (c,) bool
        The file closed the contour. A coincident end point is no closure.
    gaps : (c,) float64
        Distance between the two ends as drawn, before any closing line.
    """

    segments: Floats
    straight: Flags
    contour_offsets: Integers
    object_offsets: Integers
    starts: Floats
    closed: Flags
    gaps: Floats

    @classmethod
    def empty(cls, objects: int = 0) -> Outlines:
        """No contours, for the given number of objects."""
        return cls(
            segments=np.empty((0, 4, 2)),
            straight=np.empty(0, bool),
            contour_offsets=np.zeros(1, np.intp),
            object_offsets=np.zeros(objects + 1, np.intp),
            starts=np.empty((0, 2)),
            closed=np.empty(0, bool),
            gaps=np.empty(0),
        )

    @classmethod
    def joined(cls, parts: Sequence[Outlines]) -> Outlines:
        """All objects of all parts, one after the other."""
        if not parts:
            return cls.empty()
        return cls(
            segments=np.concatenate([p.segments for p in parts]),
            straight=np.concatenate([p.straight for p in parts]),
            contour_offsets=_joined_offsets([p.contour_offsets for p in parts]),
            object_offsets=_joined_offsets([p.object_offsets for p in parts]),
            starts=np.concatenate([p.starts for p in parts]),
            closed=np.concatenate([p.closed for p in parts]),
            gaps=np.concatenate([p.gaps for p in parts]),
        )

    @property
    def contour_count(self) -> int:
        """Number of contours, empty ones included."""
        return len(self.contour_offsets) - 1

    @property
    def object_count(self) -> int:
        """Number of objects, those without contours included."""
        return len(self.object_offsets) - 1

    @property
    def segment_counts(self) -> Integers:
        """(c,) segments in each contour."""
        return np.diff(self.contour_offsets)

    @property
    def contour_of_segment(self) -> Integers:
        """(n,) the contour each segment belongs to."""
        return np.repeat(np.arange(self.contour_count), self.segment_counts)

    @property
    def object_of_contour(self) -> Integers:
        """(c,) the object each contour belongs to."""
        return np.repeat(np.arange(self.object_count), np.diff(self.object_offsets))

    @property
    def ends(self) -> Floats:
        """(c, 2) last point of each contour (its start where it holds no segment)."""
        ends = self.starts.copy()
        filled = self.segment_counts > 0
        ends[filled] = self.segments[self.contour_offsets[1:][filled] - 1, 3]
        return ends

    def of_objects(self, objects: Iterable[int] | Integers) -> Outlines:
        """The contours of some objects, in the order given; objects are renumbered from 0."""
        chosen = np.asarray(list(objects) if not isinstance(objects, np.ndarray) else objects, np.intp)
        if len(chosen) == self.object_count and bool((chosen == np.arange(len(chosen))).all()):
            return self
        contours = ranges(self.object_offsets[chosen], self.object_offsets[chosen + 1])
        picked = self.of_contours(contours)
        counts = self.object_offsets[chosen + 1] - self.object_offsets[chosen]
        return Outlines(
            segments=picked.segments,
            straight=picked.straight,
            contour_offsets=picked.contour_offsets,
            object_offsets=offsets_of(counts),
            starts=picked.starts,
            closed=picked.closed,
            gaps=picked.gaps,
        )

    def of_contours(self, contours: Integers) -> Outlines:
        """Some contours in the order given, each an object of its own."""
        contours = np.asarray(contours, np.intp)
        first, last = self.contour_offsets[contours], self.contour_offsets[contours + 1]
        segments = ranges(first, last)
        return Outlines(
            segments=self.segments[segments],
            straight=self.straight[segments],
            contour_offsets=offsets_of(last - first),
            object_offsets=np.arange(len(contours) + 1, dtype=np.intp),
            starts=self.starts[contours],
            closed=self.closed[contours],
            gaps=self.gaps[contours],
        )


def offsets_of(counts: Integers) -> Integers:
    """(n + 1,) where each of n runs begins, given their (n,) lengths, and where the last one ends."""
    return np.concatenate([np.zeros(1, np.intp), np.cumsum(counts, dtype=np.intp)])


def _joined_offsets(parts: Sequence[Integers]) -> Integers:
    return offsets_of(np.concatenate([np.diff(part) for part in parts]))


def ranges(first: Integers, last: Integers) -> Integers:
    """The integer ranges ``first[i]:last[i]``, one after the other."""
    counts = last - first
    shift = np.repeat(first - offsets_of(counts)[:-1], counts)
    return np.arange(counts.sum(), dtype=np.intp) + shift
