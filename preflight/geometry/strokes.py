"""The regions that strokes cover: width, caps, joins, dashes. Knows nothing of paint or cutting.

After SVG 2, 13.5, and ISO 32000-1, 8.4.3 and 8.5.3.2, which agree but for one thing: a contour of no length bears square caps in
SVG only. They are drawn here, along the x axis.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.geometry.dashes import dashed
from preflight.geometry.flatten import flatten
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.stroke_pieces import Pen, dot, pieced
from preflight.geometry.stroke_stations import Stations, stations_of
from preflight.geometry.transform import apply

__all__ = ["stroke_regions"]

_LEAST_TURN, _MOST_TURN = 0.01, 0.5
"""Radians between two stations, at most and at least asked for: 13 to 628 points for a circle."""


def stroke_regions(
    outlines: Outlines,
    widths: Floats,
    caps: Sequence[str],
    joins: Sequence[str],
    miter_limits: Floats,
    dashes: Sequence[Sequence[float]],
    dash_offsets: Floats,
    tolerance: float = 0.002,
    pens: Sequence[tuple[float, float, float, float] | None] | None = None,
) -> NDArray[np.object_]:
    """What the strokes of each object cover.

    Parameters
    ----------
    outlines : o objects; contours that are not finite are left out.
    widths, miter_limits, dash_offsets : (o,). A width of 0 gives lines, which have no area.
    caps : ``butt``, ``round`` or ``square`` for each object.
    joins : ``miter``, ``round`` or ``bevel``; any other word is a miter.
    dashes : lengths of dashes and gaps in turn for each object; none, or nothing but zeros, is a solid line.
    tolerance : how far the polygons may leave the true outlines.
    pens : a, b, c, d of a matrix of determinant ±1 for each object whose stroke is drawn round and then skewed by it.

    Returns
    -------
    (o,) of shapely geometries
        Polygon, MultiPolygon, MultiLineString where the width is 0; empty where nothing is drawn; None where the dashes are too many.
    """
    count = outlines.object_count
    regions = np.full(count, shapely.Polygon(), dtype=object)
    pens = pens or [None] * count
    skewed = [row for row, pen in enumerate(pens) if pen is not None]
    if skewed:
        outlines = apply(outlines, _matrices(pens, back=True))
    outlines, of_object, too_many = dashed(_finite(outlines), dashes, dash_offsets, tolerance)
    thin = np.asarray(widths)[of_object] <= 0.0
    lines = np.flatnonzero(thin)
    shapes, owners = [_lines(outlines.of_contours(lines), tolerance)], [of_object[lines]]
    wide = np.flatnonzero(~thin)
    if len(wide):
        parts, owner = _outlined(
            outlines.of_contours(wide), of_object[wide], widths, caps, joins, miter_limits, tolerance
        )
        shapes.append(parts)
        owners.append(owner)
    _join(regions, np.concatenate(shapes), np.concatenate(owners))
    if skewed:
        regions = _mapped(regions, pens)
    regions[too_many] = None
    return regions


def _finite(outlines: Outlines) -> Outlines:
    """The same objects, contours with coordinates that are no numbers emptied."""
    bad: Flags = np.logical_not(np.isfinite(outlines.starts).all(axis=1))
    bad[outlines.contour_of_segment[~np.isfinite(outlines.segments).all(axis=(1, 2))]] = True
    if not bad.any():
        return outlines
    keep = ~bad[outlines.contour_of_segment]
    counts = np.where(bad, 0, outlines.segment_counts)
    return msgspec.structs.replace(
        outlines,
        segments=outlines.segments[keep],
        straight=outlines.straight[keep],
        contour_offsets=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
        starts=np.where(bad[:, None], 0.0, outlines.starts),
        closed=outlines.closed & ~bad,
    )


def _lines(outlines: Outlines, tolerance: float) -> NDArray[np.object_]:
    """(c,) the contours as lines, empty where there are not two points."""
    chains = flatten(outlines, tolerance)
    counts = np.diff(chains.offsets)
    found = np.full(len(counts), shapely.LineString(), dtype=object)
    usable = np.flatnonzero(counts >= 2)
    if len(usable):
        kept = np.repeat(counts >= 2, counts)
        numbers = np.repeat(np.arange(len(usable)), counts[usable])
        found[usable] = shapely.linestrings(chains.points[kept], indices=numbers)
    return found


def _outlined(
    outlines: Outlines,
    of_object: Integers,
    widths: Floats,
    caps: Sequence[str],
    joins: Sequence[str],
    miter_limits: Floats,
    tolerance: float,
) -> tuple[NDArray[np.object_], Integers]:
    """Polygons of the contours' strokes, and the object of each."""
    half = np.asarray(widths, np.float64)[of_object] / 2.0
    turns = np.clip(np.sqrt(8.0 * tolerance / half), _LEAST_TURN, _MOST_TURN)
    stations = stations_of(outlines, turns, tolerance)
    pens = [
        Pen(
            float(half[row]),
            caps[owner],
            joins[owner],
            float(miter_limits[owner]),
            float(turns[row]),
            bool(outlines.closed[row]),
        )
        for row, owner in enumerate(of_object.tolist())
    ]
    plain, whole = _whole(stations, pens, outlines.closed)
    shapes, owners = [plain[whole]], [of_object[whole]]
    bounds = np.searchsorted(stations.contour, np.arange(outlines.contour_count + 1))
    drawn = bounds[1:] > bounds[:-1]
    # One by one: those that meet themselves or turn more tightly than they are wide are few.
    for row in np.flatnonzero(drawn & ~whole).tolist():
        parts = pieced(stations, int(bounds[row]), int(bounds[row + 1]), pens[row])
        shapes.append(np.array(parts, dtype=object))
        owners.append(np.full(len(parts), of_object[row]))
    dots = [(row, dot(outlines.starts[row], pens[row])) for row in stations.bare.tolist()]
    dots = [(row, shape) for row, shape in dots if shape is not None]
    shapes.append(np.array([shape for _, shape in dots], dtype=object))
    owners.append(of_object[[row for row, _ in dots]])
    return np.concatenate(shapes), np.concatenate(owners)


def _whole(stations: Stations, pens: Sequence[Pen], closed: Flags) -> tuple[NDArray[np.object_], Flags]:
    """(c,) polygons of contours whose two sides are simple rings, all at once, and which these are.

    A side is simple where it runs nowhere against the line it belongs to and does not meet itself or the other: the stroke then is
    the region between both.
    """
    count = len(pens)
    found = np.full(count, shapely.Polygon(), dtype=object)
    whole = np.zeros(count, bool)
    if not len(stations.contour):
        return found, whole
    sides = _Sides(stations, pens)
    good = np.zeros(count, bool)
    good[stations.contour] = True
    good[stations.contour[sides.reversed]] = False
    good[stations.contour[stations.cusp]] = False
    rings = np.flatnonzero(good & closed)
    chains = np.flatnonzero(good & ~closed)
    if len(rings):
        left, right = sides.rings(1.0, rings), sides.rings(-1.0, rings)
        larger = shapely.area(shapely.polygons(left)) >= shapely.area(shapely.polygons(right))
        found[rings] = shapely.polygons(np.where(larger, left, right), np.where(larger, right, left)[:, None])
    if len(chains):
        found[chains] = shapely.polygons(sides.around(chains))
    tried = np.concatenate([rings, chains])
    whole[tried] = shapely.is_valid(found[tried])
    return found, whole


class _Sides:
    """Points to the left and right of all stations, corners mitred inside and joined outside."""

    def __init__(self, stations: Stations, pens: Sequence[Pen]) -> None:
        self._stations = stations
        self._pens = pens
        contour, directions = stations.contour, stations.directions
        self._half = np.array([pen.half for pen in pens])[contour]
        self._normals = np.column_stack([-directions[:, 1], directions[:, 0]])
        self._corners = np.flatnonzero(stations.corner)
        self._after = stations.following[self._corners]
        one, other = self._normals[self._corners], self._normals[self._after]
        self._turn = np.arctan2(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], (one * other).sum(axis=1))
        middle = one + other
        # Twice as long as the cosine of half the turn: the tip of a miter lies at the normal divided by that cosine.
        square = np.maximum((middle * middle).sum(axis=1), 1e-12)
        self._reach = 2.0 * middle / square[:, None]
        self._points = {1.0: self._offset(1.0), -1.0: self._offset(-1.0)}
        steps = np.flatnonzero((stations.following >= 0) & ~stations.corner)
        ends = stations.following[steps]
        way = stations.points[ends] - stations.points[steps]
        against = np.zeros(len(steps), bool)
        for side in self._points.values():
            against |= ((side[ends] - side[steps]) * way).sum(axis=1) <= 0.0
        self.reversed = steps[against]

    def _offset(self, side: float) -> Floats:
        stations = self._stations
        points = stations.points + side * self._half[:, None] * self._normals
        inner = self._turn * side > 0.0
        at, after = self._corners[inner], self._after[inner]
        tips = stations.points[at] + side * self._half[at][:, None] * self._reach[inner]
        points[at] = points[after] = tips
        return points

    def _joints(self, side: float) -> tuple[Integers, Floats, Floats]:
        """Points between two stations of a corner on its outer side: the first station, where between 0 and 1, and the place."""
        keys: list[int] = []
        shares: list[float] = []
        places: list[Floats] = []
        outer = np.flatnonzero(self._turn * side <= 0.0)
        # A loop over corners; smooth outlines have none.
        for row in outer.tolist():
            at = int(self._corners[row])
            pen = self._pens[int(self._stations.contour[at])]
            added = pen.joint(
                self._stations.points[at],
                side * self._normals[at],
                float(self._turn[row]),
                side * self._reach[row],
            )
            keys += [at] * len(added)
            shares += [(place + 1.0) / (len(added) + 1.0) for place in range(len(added))]
            places.append(added)
        joined = np.concatenate(places) if places else np.empty((0, 2))
        return np.array(keys, np.intp), np.array(shares), joined

    def _chain(self, side: float) -> tuple[Integers, Floats, Floats]:
        """Contour, order and place of all points of one side."""
        at, share, places = self._joints(side)
        contour = np.concatenate([self._stations.contour, self._stations.contour[at]])
        order = np.concatenate([np.arange(len(self._stations.contour), dtype=np.float64), at + share])
        return contour, order, np.concatenate([self._points[side], places])

    def rings(self, side: float, contours: Integers) -> NDArray[np.object_]:
        """One side of closed contours."""
        contour, order, points = self._chain(side)
        return _rings(contour, order, points, contours)

    def around(self, contours: Integers) -> NDArray[np.object_]:
        """Both sides of open contours and the caps between them."""
        left, right = self._chain(1.0), self._chain(-1.0)
        count = len(self._stations.contour)
        ends = np.flatnonzero(np.append(np.diff(self._stations.contour) != 0, True))
        starts = np.concatenate([[0], ends[:-1] + 1])
        parts = [left, (right[0], 3.0 * count - right[1], right[2])]
        wanted = set(contours.tolist())
        for places, sense, base in ((ends, 1.0, 1.5 * count), (starts, -1.0, 4.0 * count)):
            # A loop over the ends of open contours that are round or square.
            for at in places.tolist():
                number = int(self._stations.contour[at])
                pen = self._pens[number]
                if number not in wanted or pen.cap == "butt":
                    continue
                added = pen.end(
                    self._stations.points[at],
                    sense * self._normals[at],
                    sense * self._stations.directions[at],
                )
                order = base + np.arange(1, len(added) + 1) / (len(added) + 1.0)
                parts.append((np.full(len(added), number), order, added))
        contour, order, points = (np.concatenate(column) for column in zip(*parts, strict=True))
        return _rings(contour, order, points, contours)


def _rings(contour: Integers, order: Floats, points: Floats, contours: Integers) -> NDArray[np.object_]:
    """(k,) rings of some contours, their points put in order."""
    rows = np.flatnonzero(np.isin(contour, contours, assume_unique=False))
    rows = rows[np.lexsort((order[rows], contour[rows]))]
    numbers = np.searchsorted(contours, contour[rows])
    return np.asarray(shapely.linearrings(points[rows], indices=numbers))


def _join(regions: NDArray[np.object_], shapes: NDArray[np.object_], owners: Integers) -> None:
    """Put shapes into the objects they belong to, several of one as their union."""
    order = np.argsort(owners, kind="stable")
    shapes, owners = shapes[order], owners[order]
    if not len(owners):
        return
    firsts = np.flatnonzero(np.append(True, owners[1:] != owners[:-1]))
    counts = np.diff(np.append(firsts, len(owners)))
    regions[owners[firsts]] = shapes[firsts]
    for first, count in zip(firsts[counts > 1].tolist(), counts[counts > 1].tolist(), strict=True):
        regions[owners[first]] = shapely.union_all(shapes[first : first + count])


def _matrices(pens: Sequence[tuple[float, float, float, float] | None], back: bool) -> Floats:
    """(o, 6) matrices of the pens, or what undoes them."""
    found = np.tile([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], (len(pens), 1))
    for row, pen in enumerate(pens):
        if pen is not None:
            a, b, c, d = pen
            area = a * d - b * c
            found[row, :4] = (d / area, -b / area, -c / area, a / area) if back else pen
    return found


def _mapped(
    regions: NDArray[np.object_], pens: Sequence[tuple[float, float, float, float] | None]
) -> NDArray[np.object_]:
    mapped = regions.copy()
    for row, pen in enumerate(pens):
        if pen is not None and regions[row] is not None:
            linear = np.array(pen).reshape(2, 2)
            mapped[row] = shapely.transform(regions[row], lambda points, linear=linear: points @ linear)
    return mapped
