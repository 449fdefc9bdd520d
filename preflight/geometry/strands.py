"""Contours as chains of real segments that can be walked along. Knows no crossings and no limits of a job."""

from __future__ import annotations

from functools import cached_property

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.box_pairs import BoxTree
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of
from preflight.geometry.roundness import clear_of_themselves, distances_from

__all__ = ["TOUCH", "Strands", "exact_repeats"]

TOUCH = 0.001
"""mm: curves this close touch. It is the precision promised for a place, and below any cutter's step."""

_NO_LENGTH = 1e-6
_HOPS = 12


class Strands(msgspec.Struct, frozen=True, eq=False, dict=True):
    """The segments that have a length, each with its neighbours along the contour.

    Made once for a page and handed to every question about its contours: the tree hangs on it.

    Attributes
    ----------
    outlines : what they are made of
    segments : (n, 4, 2)
    boxes : (n, 4) round the control points
    original : (n,) index into ``Outlines.segments``
    contour : (n,) contour of each segment
    offsets : (c + 1,) segments of each contour
    following, preceding : (n,) neighbour along the contour; -1 at the ends of an open one
    """

    outlines: Outlines
    segments: Floats
    boxes: Floats
    original: Integers
    contour: Integers
    offsets: Integers
    following: Integers
    preceding: Integers

    @classmethod
    def of(cls, drawn: Outlines | Strands, joined_within: float = TOUCH) -> Strands:
        """Chains of all contours; ends that lie within ``joined_within`` are joined, closed or not."""
        if isinstance(drawn, Strands):
            return drawn.joined(joined_within)
        outlines, boxes = drawn, cubics.hull_boxes(drawn.segments)
        real = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]) > _NO_LENGTH
        original = np.flatnonzero(real)
        segments, contour = outlines.segments, outlines.contour_of_segment
        if len(original) < len(segments):
            segments, contour, boxes = segments[original], contour[original], boxes[original]
        counts = np.bincount(contour, minlength=outlines.contour_count)
        offsets = offsets_of(counts)
        along = np.arange(len(original))
        loose = cls(outlines, segments, boxes, original, contour, offsets, along + 1, along - 1)
        return loose.joined(joined_within)

    def joined(self, within: float) -> Strands:
        """The same chains with the ends joined that lie within a distance."""
        filled = np.flatnonzero(np.diff(self.offsets))
        first, last = self.offsets[:-1][filled], self.offsets[1:][filled] - 1
        gap = np.linalg.norm(self.segments[first, 0] - self.segments[last, 3], axis=1)
        joined = self.outlines.closed[filled] | (gap <= within)
        onward, back = np.where(joined, first, -1), np.where(joined, last, -1)
        if np.array_equal(self.following[last], onward):
            return self
        following, preceding = self.following.copy(), self.preceding.copy()
        following[last], preceding[first] = onward, back
        return msgspec.structs.replace(self, following=following, preceding=preceding)

    @cached_property
    def tree(self) -> BoxTree:
        """Boxes of the segments and of runs of them."""
        return BoxTree.over(self.boxes, self.offsets)

    @cached_property
    def rings(self) -> Flags:
        """(c,) contours whose ends are joined."""
        filled = np.diff(self.offsets) > 0
        rings = np.zeros(len(filled), bool)
        rings[filled] = self.following[self.offsets[1:][filled] - 1] >= 0
        return rings

    @cached_property
    def clear_of_themselves(self) -> Floats:
        """(c,) mm: see :func:`preflight.geometry.roundness.clear_of_themselves`."""
        return clear_of_themselves(self.segments, self.offsets, self.middles, self.rings)

    @cached_property
    def curved(self) -> Flags:
        """(n,) segments that bend."""
        return np.asarray(cubics.bends(self.segments) > _NO_LENGTH)

    @cached_property
    def middles(self) -> Floats:
        """(c, 2) middle of the box round each contour's control points."""
        boxes = self.tree.contour_boxes()
        return np.asarray((boxes[:, :2] + boxes[:, 2:]) / 2.0)

    @cached_property
    def _distances(self) -> tuple[Floats, Floats]:
        return distances_from(self.segments, self.offsets, self.middles)

    def surely_apart(self, first: Integers, second: Integers, reach: float) -> Flags:
        """(k,) pairs of contours of which one keeps farther from its middle than the other ever gets from there."""
        inner, outer = self._distances
        x, y = (np.ascontiguousarray(self.middles[:, k]) for k in (0, 1))
        away = np.hypot(x[first] - x[second], y[first] - y[second]) + reach
        return np.asarray((away + outer[first] < inner[second]) | (away + outer[second] < inner[first]))

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
