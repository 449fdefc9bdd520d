"""Contours that lie on each other, by the true Hausdorff distance of their curves. Knows no steps or job limits."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from preflight.geometry.clusters import linked
from preflight.geometry.extents import contour_boxes
from preflight.geometry.flatten import Polylines, flatten
from preflight.geometry.outlines import Floats, Integers, Outlines
from preflight.geometry.shared_runs import SharedRuns, shared_runs

__all__ = ["Duplicates", "SharedRuns", "duplicates", "shared_runs"]

_FLAT = 2e-4  # mm, for either curve of a pair: with _SETTLED below the promised 0.001 mm
_SETTLED = 3e-4
_SAME_POINTS = 1e-4
_ROUNDS = 24


class Duplicates(msgspec.Struct, frozen=True, eq=False):
    """Contours that repeat an earlier one.

    Attributes
    ----------
    first, second : (k,) int
        The earlier contour and the later one that lies on it; no contour is ``second`` twice.
    distance : (k,) mm
        Hausdorff distance of the two curves, within 0.001 mm.
    """

    first: Integers
    second: Integers
    distance: Floats


def duplicates(outlines: Outlines, within: float, groups: Integers | None = None) -> Duplicates:
    """Pairs of contours each of which lies within a distance of the other along its whole length.

    Start point, direction, number of nodes, open or closed play no part. Of n copies each later one is paired
    with the earliest it lies on, n − 1 pairs. Contours without extent (stray points) have no duplicates.

    Parameters
    ----------
    within : float, mm
    groups : (c,) int, optional
        Only contours with equal labels are compared.
    """
    boxes = contour_boxes(outlines)
    usable = ~np.isnan(boxes[:, 0])
    usable[usable] &= (boxes[usable, 2:] > boxes[usable, :2]).any(axis=1)
    labels = np.zeros(len(boxes), np.intp) if groups is None else np.asarray(groups)
    contour, cluster = _clusters(boxes, np.flatnonzero(usable), labels, within)
    found: list[tuple[Integers, Integers, Floats]] = []
    while len(contour):
        # One representative a cluster at a time: the earliest contour not yet paired.
        _, first = np.unique(cluster, return_index=True)
        begins = np.zeros(len(contour), bool)
        begins[first] = True
        representative = contour[first][np.cumsum(begins) - 1]
        near = ~begins & (np.abs(boxes[contour] - boxes[representative]).max(axis=1) <= within + _SETTLED)
        distance = np.full(len(contour), np.inf)
        distance[near] = _distances(outlines, representative[near], contour[near], within)
        same = distance <= within
        found.append((representative[same], contour[same], distance[same]))
        left = ~begins & ~same
        contour, cluster = contour[left], cluster[left]
        counts = np.bincount(cluster, minlength=1)
        company = counts[cluster] > 1
        contour, cluster = contour[company], cluster[company]
    if not found:
        return Duplicates(np.empty(0, np.intp), np.empty(0, np.intp), np.empty(0))
    first, second, gap = (np.concatenate(column) for column in zip(*found, strict=True))
    order = np.lexsort((second, first))
    return Duplicates(first[order], second[order], gap[order])


def _clusters(boxes: Floats, usable: Integers, labels: Integers, within: float) -> tuple[Integers, Integers]:
    """Contours that may have a duplicate, cluster by cluster and in order within each; and their cluster.

    Boxes are rounded to cells first, so that any number of copies at one place is one cell: the search is
    among cells, never among copies.
    """
    empty = np.empty(0, np.intp)
    if len(usable) < 2:
        return empty, empty
    step = within / 2.0
    keyed = np.column_stack([np.round(boxes[usable] / step), labels[usable]])
    cells, member = np.unique(keyed, axis=0, return_inverse=True)
    member = member.ravel()
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


def _distances(outlines: Outlines, first: Integers, second: Integers, within: float) -> Floats:
    """(k,) Hausdorff distance of each pair of contours; infinite where it is greater than ``within``."""
    distance = _drawn_alike(outlines, first, second)
    open_pairs = np.flatnonzero(np.isinf(distance))
    if not len(open_pairs):
        return distance
    names, place = np.unique(np.concatenate([first[open_pairs], second[open_pairs]]), return_inverse=True)
    lines = flatten(outlines.of_contours(names), _FLAT)
    # Pairs are few once exact copies are settled, and each needs its own search: one loop step a pair.
    for row, (one, other) in zip(open_pairs.tolist(), place.reshape(2, -1).T.tolist(), strict=True):
        a, b = _line(lines, one), _line(lines, other)
        there = _farthest(a, b, within)
        if there <= within:
            distance[row] = max(there, _farthest(b, a, within))
    return distance


def _line(lines: Polylines, contour: int) -> Floats:
    return lines.points[lines.offsets[contour] : lines.offsets[contour + 1]]


def _drawn_alike(outlines: Outlines, first: Integers, second: Integers) -> Floats:
    """(k,) greatest distance of control points where both are drawn by the same segments, else infinity."""
    counts, offsets = outlines.segment_counts, outlines.contour_offsets
    distance = np.full(len(first), np.inf)
    rows = np.flatnonzero(counts[first] == counts[second])
    if not len(rows):
        return distance
    length = counts[first[rows]]
    begins = np.concatenate([np.zeros(1, np.intp), np.cumsum(length)])
    step = np.arange(begins[-1]) - np.repeat(begins[:-1], length)
    one = outlines.segments[np.repeat(offsets[first[rows]], length) + step]
    forward = outlines.segments[np.repeat(offsets[second[rows]], length) + step]
    backward = outlines.segments[np.repeat(offsets[second[rows] + 1] - 1, length) - step][:, ::-1]
    for other in (forward, backward):
        apart = np.sqrt(((one - other) ** 2).sum(axis=2)).max(axis=1)
        worst = np.maximum.reduceat(apart, begins[:-1])
        alike = worst <= _SAME_POINTS
        distance[rows[alike]] = np.minimum(distance[rows[alike]], worst[alike])
    return distance


def _farthest(line: Floats, other: Floats, within: float) -> float:
    """Greatest distance from a polyline (m, 2) to another one; infinite where it exceeds ``within``.

    The distance to one edge of the other line is convex along a straight piece, so both ends of the piece
    bound it. Pieces whose bound is not yet settled are halved.
    """
    edges = np.stack([other[:-1], other[1:]], axis=1)
    tree = shapely.STRtree(shapely.linestrings(edges))
    start, stop = line[:-1], line[1:]
    farthest = 0.0
    for _ in range(_ROUNDS):
        at_start, at_stop = (_near_edges(tree, edges, points, within) for points in (start, stop))
        least_start, least_stop = _least(at_start, len(start)), _least(at_stop, len(stop))
        farthest = max(farthest, float(least_start.max(initial=0.0)), float(least_stop.max(initial=0.0)))
        if np.isinf(farthest):
            return np.inf
        bound = _bounds(at_start, at_stop, len(start), len(edges))
        length = np.sqrt(((stop - start) ** 2).sum(axis=1))
        bound = np.minimum(bound, (least_start + least_stop + length) / 2.0)
        open_ = bound > farthest + _SETTLED
        if not open_.any():
            break
        start, stop = start[open_], stop[open_]
        middle = (start + stop) / 2.0
        start, stop = np.concatenate([start, middle]), np.concatenate([middle, stop])
    return farthest


_Near = tuple[Integers, Integers, Floats]


def _near_edges(tree: shapely.STRtree, edges: Floats, points: Floats, within: float) -> _Near:
    """Point, edge and distance of all edges within reach of the points."""
    point, edge = tree.query(shapely.points(points), predicate="dwithin", distance=within + _SETTLED)
    start, along = edges[edge, 0], edges[edge, 1] - edges[edge, 0]
    square = np.maximum((along * along).sum(axis=1), 1e-300)
    foot = np.clip(((points[point] - start) * along).sum(axis=1) / square, 0.0, 1.0)
    apart = points[point] - start - along * foot[:, None]
    return point, edge, np.sqrt((apart * apart).sum(axis=1))


def _least(near: _Near, count: int) -> Floats:
    least = np.full(count, np.inf)
    np.minimum.at(least, near[0], near[2])
    return least


def _bounds(at_start: _Near, at_stop: _Near, pieces: int, edges: int) -> Floats:
    """(pieces,) least over the edges near both ends of the greater of the two distances."""
    key_start, key_stop = at_start[0] * edges + at_start[1], at_stop[0] * edges + at_stop[1]
    common, one, other = np.intersect1d(key_start, key_stop, assume_unique=True, return_indices=True)
    bound = np.full(pieces, np.inf)
    np.minimum.at(bound, common // edges, np.maximum(at_start[2][one], at_stop[2][other]))
    return bound
