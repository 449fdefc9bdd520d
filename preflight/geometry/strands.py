"""Contours as chains of real segments that can be walked along. Knows no crossings and no limits of a job."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Floats, Integers, Outlines

__all__ = ["TOUCH", "Strands", "exact_repeats"]

TOUCH = 0.001
"""mm: curves this close touch. It is the precision promised for a place, and below any cutter's step."""

_NO_LENGTH = 1e-6
_HOPS = 12


class Strands(msgspec.Struct, frozen=True, eq=False):
    """The segments that have a length, each with its neighbours along the contour.

    Attributes
    ----------
    segments : (n, 4, 2)
    original : (n,) index into ``Outlines.segments``
    contour : (n,) contour of each segment
    offsets : (c + 1,) segments of each contour
    following, preceding : (n,) neighbour along the contour; -1 at the ends of an open one
    """

    segments: Floats
    original: Integers
    contour: Integers
    offsets: Integers
    following: Integers
    preceding: Integers

    @classmethod
    def of(cls, outlines: Outlines, joined_within: float = TOUCH) -> Strands:
        """Chains of all contours; ends that lie within ``joined_within`` are joined, closed or not."""
        box = cubics.hull_boxes(outlines.segments)
        original = np.flatnonzero((box[:, 2:] - box[:, :2]).max(axis=1, initial=0.0) > _NO_LENGTH)
        contour = outlines.contour_of_segment[original]
        counts = np.bincount(contour, minlength=outlines.contour_count)
        offsets = np.concatenate([np.zeros(1, np.intp), np.cumsum(counts)])
        segments = outlines.segments[original]
        following, preceding = np.arange(1, len(original) + 1), np.arange(-1, len(original) - 1)
        filled = np.flatnonzero(counts)
        first, last = offsets[:-1][filled], offsets[1:][filled] - 1
        gap = np.linalg.norm(segments[first, 0] - segments[last, 3], axis=1)
        joined = outlines.closed[filled] | (gap <= joined_within)
        following[last] = np.where(joined, first, -1)
        preceding[first] = np.where(joined, last, -1)
        return cls(segments, original, contour, offsets, following, preceding)

    def exits(self, segment: Integers, t: Floats, forward: bool, radius: float) -> Floats:
        """Direction (k, 2) from each place to where the contour first leaves the circle round it.

        NaN where the contour ends, or does not get out within a dozen segments.
        """
        centre = cubics.points_at(self.segments[segment], t)
        result = np.full((len(segment), 2), np.nan)
        rows, at, start = np.arange(len(segment)), segment.copy(), t.copy()
        goal = 1.0 if forward else 0.0
        steps = np.linspace(0.0, 1.0, 17) ** 2
        for _ in range(_HOPS):
            if not len(rows):
                break
            curve = self.segments[at]
            tried = start[:, None] + (goal - start)[:, None] * steps
            away = np.linalg.norm(cubics.points_at(curve[:, None], tried) - centre[rows, None], axis=2)
            out = away > radius
            leaves = out.any(axis=1)
            where = np.flatnonzero(leaves)
            index = np.maximum(out[where].argmax(axis=1), 1)
            low, high = tried[where, index - 1], tried[where, index]
            for _ in range(30):
                middle = (low + high) / 2.0
                beyond = (
                    np.linalg.norm(cubics.points_at(curve[where], middle) - centre[rows[where]], axis=1)
                    > radius
                )
                low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
            result[rows[where]] = cubics.points_at(curve[where], high) - centre[rows[where]]
            neighbour = (self.following if forward else self.preceding)[at]
            on = ~leaves & (neighbour >= 0)
            rows, at = rows[on], neighbour[on]
            start = np.full(len(rows), 1.0 - goal)
        return result


def exact_repeats(outlines: Outlines, boxes: Floats) -> Integers:
    """Contours whose segments are those of an earlier contour, to a millionth."""
    rounded = np.round(boxes, 6)
    usable = np.flatnonzero(~np.isnan(boxes[:, 0]))
    _, group, size = np.unique(rounded[usable], axis=0, return_inverse=True, return_counts=True)
    offsets = outlines.contour_offsets
    seen: set[bytes] = set()
    repeats = []
    for contour in usable[size[group.ravel()] > 1].tolist():  # only contours that share their box
        drawn = np.round(outlines.segments[offsets[contour] : offsets[contour + 1]], 6) + 0.0
        if drawn.tobytes() in seen:
            repeats.append(contour)
        seen.add(drawn.tobytes())
    return np.array(repeats, np.intp)
