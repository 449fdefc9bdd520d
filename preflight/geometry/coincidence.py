"""Contours that lie on each other, by the true Hausdorff distance of their curves. Knows no steps or job limits."""

from __future__ import annotations

import heapq
from collections.abc import Iterator

import msgspec
import numpy as np
import shapely

from preflight.geometry.clusters import linked
from preflight.geometry.distinct import distinct
from preflight.geometry.drawn_alike import SAME_POINTS, distances_drawn_alike
from preflight.geometry.extents import contour_boxes
from preflight.geometry.flatten import flatten
from preflight.geometry.hausdorff import SETTLED, Looks, hausdorff_distances
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.shared_runs import SharedRuns, shared_runs

__all__ = ["Duplicates", "SharedRuns", "duplicates", "shared_runs"]

_FLAT = 4e-4  # mm, for either curve of a pair: with SETTLED no more than the promised 0.001 mm

_MOST_ROUNDS = 8
"""Looks at a cluster of copies, one of them standing for all, before its neighbours are looked for instead."""

_NEIGHBOURS = 16
"""Pairs of neighbours that are measured, times the contours."""

_MOST_GUESSES = 8
"""Times that pairs are taken for copies until they are measured, before all that may matter are measured at once."""

_TOGETHER = 256
"""Contours whose neighbours are looked for between two looks at their number."""


class Duplicates(msgspec.Struct, frozen=True, eq=False):
    """Contours that repeat an earlier one.

    Attributes
    ----------
    first, second : (k,) int
        The earlier contour and the later one, in the order of the later ones.
    distance : (k,) mm
        Hausdorff distance of the two curves, within 0.001 mm.
    unsure : (m,) int
        Contours too large to be measured so exactly: see `preflight.geometry.flatten.MOST_PIECES`.
    unmeasured : (m,) int
        Contours near others along so much of their length that not all pairs of them were measured, of which others may
        be copies of each other.
    """

    first: Integers
    second: Integers
    distance: Floats
    unsure: Integers
    unmeasured: Integers


def duplicates(
    outlines: Outlines, within: float, groups: Integers | None = None, boxes: Floats | None = None
) -> Duplicates:
    """Pairs of contours each of which lies within a distance of the other along its whole length.

    Start point, direction, number of nodes, open or closed play no part. Of n contours that hang together by such
    pairs n − 1 pairs are given, enough to hold them together: copies are paired with the earliest,
    and where the first lies on the second and the second on the third, but not the first on the third, each is
    paired with the next. Contours without extent (stray points) have no duplicates.

    Parameters
    ----------
    within : float, mm
    groups : (c,) int, optional
        Only contours with equal labels are compared.
    boxes : (c, 4), optional
        Extents of the contours, where they are known already.
    """
    boxes = contour_boxes(outlines) if boxes is None else boxes
    usable = ~np.isnan(boxes[:, 0])
    usable[usable] &= (boxes[usable, 2:] > boxes[usable, :2]).any(axis=1)
    labels = np.zeros(len(boxes), np.intp) if groups is None else np.asarray(groups)
    contour, cluster = _clusters(boxes, np.flatnonzero(usable), labels, within)
    measured = _Measured(outlines, within, boxes)
    found: list[tuple[Integers, Integers, Floats]] = [(contour[:0], contour[:0], np.empty(0))]
    paired = np.zeros(len(contour), bool)
    rounds = 0
    while len(contour):
        rounds += 1
        if rounds == _MOST_ROUNDS:
            # Copies are done by now. Where each lies on the next only, a round would pair but two of them.
            pairs = _near_pairs(boxes, contour, cluster, within)
            if pairs is not None:
                found.append(_walked(contour, cluster, paired, pairs, measured))
                break
        # One contour a cluster at a time stands for its copies: one that is paired already if there is any.
        order = np.lexsort((contour, ~paired, cluster))
        contour, cluster, paired = contour[order], cluster[order], paired[order]
        begins = np.append(True, cluster[1:] != cluster[:-1])
        standing = contour[begins][np.cumsum(begins) - 1]
        other = np.flatnonzero(~begins & ~paired)
        distance = measured.distances(standing[other], contour[other])
        same = distance <= within
        first, second = standing[other[same]], contour[other[same]]
        found.append((np.minimum(first, second), np.maximum(first, second), distance[same]))
        paired[other[same]] = True
        # What lies on the one that stood for it exactly need not stand itself.
        done = begins.copy()
        done[other[distance <= SAME_POINTS]] = True
        waiting = np.bincount(cluster[~done & ~paired], minlength=cluster[-1] + 1) > 0
        going_on = ~done & waiting[cluster]
        contour, cluster, paired = contour[going_on], cluster[going_on], paired[going_on]
    first, second, gap = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.lexsort((first, second))
    return Duplicates(
        first[order], second[order], gap[order], measured.unsure(), measured.given_up(first, second)
    )


def _clusters(boxes: Floats, usable: Integers, labels: Integers, within: float) -> tuple[Integers, Integers]:
    """Contours that may have a duplicate, cluster by cluster and in order within each; and their cluster.

    Boxes are rounded to cells first, so that any number of copies at one place is one cell: the search is
    among cells, never among copies.
    """
    empty = np.empty(0, np.intp)
    if len(usable) < 2:
        return empty, empty
    step = max(within / 2.0, SETTLED)
    keyed = np.column_stack([np.round(boxes[usable] / step), labels[usable]])
    order = np.lexsort(keyed.T)
    fresh = np.append(True, (keyed[order][1:] != keyed[order][:-1]).any(axis=1))
    cells, member = keyed[order][fresh], np.empty(len(order), np.intp)
    member[order] = np.cumsum(fresh) - 1
    corners = shapely.points(cells[:, :2])
    a, b = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=4.5)
    close = (a < b) & (np.abs(cells[a, :4] - cells[b, :4]).max(axis=1) <= 3.0) & (cells[a, 4] == cells[b, 4])
    a, b = a[close], b[close]
    cluster = linked(len(cells), a, b)
    of_contour = cluster[member]
    company = np.bincount(of_contour, minlength=len(cells))[of_contour] > 1
    contour, of_contour = usable[company], of_contour[company]
    order = np.lexsort((contour, of_contour))
    return contour[order], of_contour[order]


def _near_pairs(
    boxes: Floats, contour: Integers, cluster: Integers, within: float
) -> tuple[Integers, Integers] | None:
    """Pairs of contours of one cluster whose boxes allow that they are copies; None where they are too many to be measured."""
    corners = shapely.points(boxes[contour, :2])
    tree = shapely.STRtree(corners)
    reach = within + SETTLED
    kept = [(contour[:0], contour[:0])]
    left = _NEIGHBOURS * len(contour)
    for begin in range(0, len(contour), _TOGETHER):
        a, b = tree.query(corners[begin : begin + _TOGETHER], predicate="dwithin", distance=1.5 * reach)
        a = a + begin
        near = (contour[a] < contour[b]) & (cluster[a] == cluster[b])
        a, b = contour[a[near]], contour[b[near]]
        near = np.abs(boxes[a] - boxes[b]).max(axis=1, initial=0.0) <= reach
        kept.append((a[near], b[near]))
        left -= len(kept[-1][0])
        if left < 0:
            return None
    first, second = (np.concatenate(column) for column in zip(*kept, strict=True))
    return first, second


def _walked(
    contour: Integers,
    cluster: Integers,
    paired: Flags,
    pairs: tuple[Integers, Integers],
    measured: _Measured,
) -> tuple[Integers, Integers, Floats]:
    """What the rounds would find, from neighbour to neighbour.

    Few pairs matter, and which they are depends on their distances. So those that control points do not tell are taken for
    copies at first, those that then matter are measured, and so on until nothing is taken for granted.
    """
    distance = measured.by_control_points(*pairs)
    parts = np.split(np.arange(len(contour)), np.flatnonzero(np.diff(cluster)) + 1)
    clusters = [
        (sorted(contour[members].tolist()), set(contour[members[paired[members]]].tolist()))
        for members in parts
    ]
    for guesses in range(_MOST_GUESSES + 1):
        if guesses == _MOST_GUESSES:
            unknown = np.flatnonzero(np.isnan(distance))
            distance[unknown] = measured.distances(pairs[0][unknown], pairs[1][unknown])
        neighbours: dict[int, list[tuple[int, int, float]]] = {}
        likely = np.flatnonzero(~(distance > measured.within))
        columns = (likely, pairs[0][likely], pairs[1][likely], distance[likely])
        for row, one, other, gap in zip(*(column.tolist() for column in columns), strict=True):
            neighbours.setdefault(one, []).append((row, other, gap))
            neighbours.setdefault(other, []).append((row, one, gap))
        walked = [_walk(members, set(known), neighbours) for members, known in clusters]
        rows = np.array([row for walk in walked for row in walk], np.intp)
        unknown = rows[np.isnan(distance[rows])]
        if not len(unknown):
            break
        distance[unknown] = measured.distances(pairs[0][unknown], pairs[1][unknown])
    return np.minimum(pairs[0], pairs[1])[rows], np.maximum(pairs[0], pairs[1])[rows], distance[rows]


def _walk(
    members: list[int], paired: set[int], neighbours: dict[int, list[tuple[int, int, float]]]
) -> Iterator[int]:
    """The pairs of one cluster by which it hangs together: each contour that is paired stands for its copies in turn, the earliest first; with none paired the earliest."""
    alive, waiting = set(members), sorted(paired)
    unpaired = len(members) - len(waiting)
    starts = iter(members)
    while unpaired:
        if waiting:
            standing = heapq.heappop(waiting)
        else:
            standing = next(one for one in starts if one in alive and one not in paired)
            unpaired -= 1
        alive.discard(standing)
        for row, other, gap in neighbours.get(standing, ()):
            if other not in alive or other in paired:
                continue
            yield row
            paired.add(other)
            unpaired -= 1
            if gap <= SAME_POINTS:
                # What lies on the one that stood for it exactly need not stand itself.
                alive.discard(other)
            else:
                heapq.heappush(waiting, other)


class _Measured:
    """Distances of pairs of contours; keeps what could not be told."""

    def __init__(self, outlines: Outlines, within: float, boxes: Floats) -> None:
        self.within = within
        self._outlines, self._boxes = outlines, boxes
        self._unsure: list[Integers] = [np.empty(0, np.intp)]
        self._given_up: list[tuple[Integers, Integers]] = [(np.empty(0, np.intp),) * 2]
        self._looks = Looks(len(outlines.segments))

    def by_control_points(self, first: Integers, second: Integers) -> Floats:
        """(k,) Hausdorff distance of each pair of contours; infinite where it is greater than the limit, NaN where it must be measured."""
        distance = np.full(len(first), np.inf)
        near = np.abs(self._boxes[first] - self._boxes[second]).max(axis=1, initial=0.0) <= (
            self.within + SETTLED
        )
        rows = np.flatnonzero(near)
        distance[rows] = distances_drawn_alike(
            self._outlines, first[rows], second[rows], self.within, SETTLED
        )
        return distance

    def distances(self, first: Integers, second: Integers) -> Floats:
        """(k,) Hausdorff distance of each pair of contours; infinite where it is greater than the limit."""
        distance = self.by_control_points(first, second)
        rows = np.flatnonzero(np.isnan(distance))
        if len(rows):
            names = distinct(np.concatenate([first[rows], second[rows]]))
            chains = flatten(self._outlines.of_contours(names), _FLAT)
            one, other = np.searchsorted(names, first[rows]), np.searchsorted(names, second[rows])
            distance[rows] = hausdorff_distances(chains, one, other, self.within, self._looks)
            unknown = rows[np.isnan(distance[rows])]
            distance[unknown] = np.inf
            self._given_up.append((first[unknown], second[unknown]))
            self._unsure.append(names[chains.inexact_contours])
        return distance

    def given_up(self, first: Integers, second: Integers) -> Integers:
        """Contours of pairs that were not measured, without those that hang together by the pairs given."""
        one, other = (np.concatenate(column) for column in zip(*self._given_up, strict=True))
        cluster = linked(self._outlines.contour_count, first, second)
        apart = cluster[one] != cluster[other]
        return distinct(np.concatenate([one[apart], other[apart]]))

    def unsure(self) -> Integers:
        """Contours whose chain leaves the tolerance."""
        return distinct(np.concatenate(self._unsure))
