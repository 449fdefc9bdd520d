"""What is left of regions laid over each other, some of which take away what lies beneath. Knows nothing of ink or paper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.geometry.distinct import distinct
from preflight.geometry.effort import Effort
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["Layered", "grounds", "hidden", "layered", "of_dimension"]

_ROUNDED = 1e-6
"""In the unit of the regions: half the mean width below which a sliver is but what rounding leaves."""

_EMPTY = shapely.Polygon()

_MANY_POINTS, _MANY_ZONES = 1000, 8
"""Regions of more points that meet as many zones are cut into smaller ones first."""

_TOO_MANY_POINTS = 5000
"""Of what is to be joined together; with more it may cross so often that it has to be counted first."""


class Layered(msgspec.Struct, frozen=True, eq=False):
    """What lies in each zone in the end.

    Attributes
    ----------
    covered : (k,) geometries, covered for sure.
    doubtful : (k,) geometries outside these, covered or not.
    doubters : (d,) regions because of which there is doubt, ascending.
    """

    covered: NDArray[np.object_]
    doubtful: NDArray[np.object_]
    doubters: Integers


def layered(
    zones: NDArray[np.object_],
    zone: Integers,
    region: Integers,
    regions: NDArray[np.object_],
    adds: Flags,
    erases: Flags,
    sure: Flags,
    groups: Sequence[tuple[int, ...]] | None = None,
    effort: Effort | None = None,
) -> Layered:
    """Lay regions over each other, from the bottom up, within each zone.

    Parameters
    ----------
    zones : (k,) polygons.
    zone, region : (n,) which regions may meet which zones.
    regions : (r,) polygons or lines, in the order in which they are laid; those named by ``region`` only are looked at.
    adds, erases, sure : (r,) whether a region covers what it lies on, uncovers it, and whether it does so for sure. One that does both
        not for sure may do either.
    groups : those each region is part of, outermost first, where there are any. The regions of a group follow each other. They are laid
        over each other by themselves, and what then is covered covers what lies beneath the group: nothing in it uncovers that.
    effort : what may be spent on edges that cross; of this call alone where none is given. Where that is not enough, what the boxes of
        the regions cover is doubtful because of them all.
    """
    effort = effort or Effort()
    count = len(zones)
    covered = np.full(count, _EMPTY, dtype=object)
    doubtful = np.full(count, _EMPTY, dtype=object)
    order = np.lexsort((region, zone))
    zone, region = zone[order], region[order]
    plain = adds & sure & ~erases
    alone = np.ones(len(regions), bool)
    if groups is not None:
        alone = np.array([not own for own in groups], bool)
    ground = grounds(zone, region, np.where(plain & alone, shapely.area(regions), 0.0))
    matters = ~hidden(region, ground, regions, regions, plain, erases)
    zone, region = zone[matters], region[matters]
    pieces, whole = _pieces(zones[zone], regions[region], effort)
    met = ~shapely.is_empty(pieces)  # what is missing could not be worked out
    zone, region, pieces, whole = zone[met], region[met], pieces[met], whole[met]
    doubters: list[Integers] = []
    bounds = np.searchsorted(zone, np.arange(count + 1))
    # Zone by zone: each has a handful of regions, and GEOS joins them at once.
    for index in distinct(zone).tolist():
        rows = slice(bounds[index], bounds[index + 1])
        of_zone = region[rows]
        mine = pieces[rows]
        # What covers the whole zone for sure leaves nothing of what was there before.
        last = np.flatnonzero(whole[rows] & (alone & sure & (adds ^ erases))[of_zone])
        if len(last):
            of_zone, mine = of_zone[last[-1] :], mine[last[-1] :]
        if not _joinable(mine, effort):
            boxes = shapely.union_all(shapely.envelope(regions[of_zone]))
            doubtful[index] = shapely.intersection(boxes, zones[index])
            doubters.append(of_zone)
            continue
        if plain[of_zone].all():
            covered[index] = zones[index] if len(last) else _joined(mine)
            continue
        kind = (adds + 2 * erases + 4 * sure)[of_zone].tolist()
        own = [() if groups is None else groups[row] for row in of_zone.tolist()]
        covered[index], in_doubt = _laid(mine, kind, own, 0)
        doubtful[index] = _wide(in_doubt)
        if not doubtful[index].is_empty:
            unsure = np.flatnonzero(~sure[of_zone])
            doubters.append(of_zone[unsure[shapely.intersects(mine[unsure], doubtful[index])]])
    return Layered(covered, doubtful, distinct(np.concatenate([np.empty(0, np.intp), *doubters])))


def _joined(pieces: NDArray[np.object_]) -> Any:
    """All pieces in one. Those that meet are joined apart from the others: thousands of fine lines side by side take no time."""
    return shapely.disjoint_subset_union_all(pieces)


def grounds(zone: Integers, region: Integers, sizes: Floats) -> Integers:
    """(n,) the pair that lays the largest region of each pair's zone, of equals the lowest; -1 where none has a size.

    Parameters
    ----------
    zone, region : (n,) pairs, ordered by zone and then as they are laid.
    sizes : (r,) how large each region is; 0 for those that are no ground for others.
    """
    if not len(zone):
        return np.empty(0, np.intp)
    firsts = np.flatnonzero(np.append(True, zone[1:] != zone[:-1]))
    counts = np.diff(np.append(firsts, len(zone)))
    size = sizes[region]
    largest = np.repeat(np.maximum.reduceat(size, firsts), counts)
    places = np.where(size == largest, np.arange(len(zone)), len(zone))
    lowest = np.repeat(np.minimum.reduceat(places, firsts), counts)
    return np.asarray(np.where(largest > 0.0, lowest, -1))


def hidden(
    region: Integers,
    ground: Integers,
    regions: NDArray[np.object_],
    shapes: NDArray[np.object_],
    plain: Flags,
    erases: Flags,
) -> Flags:
    """(n,) which pairs make no difference beside the ground of their zone.

    Art mostly lies on a ground as large as all of it: what covers a part of that ground anew need not be cut and joined.

    Parameters
    ----------
    region, ground : (n,) as in :func:`grounds`, and what it gives.
    regions : (r,) those of the grounds are looked at.
    shapes : (r,) regions, or anything that encloses them.
    plain : (r,) covers for sure. erases : (r,) may uncover.
    """
    found = np.zeros(len(region), bool)
    above = np.arange(len(region)) > ground
    taken = np.cumsum(erases[region])
    # Above the ground only what covers, and where nothing was taken away in between; below it anything.
    asked = np.flatnonzero((ground >= 0) & (~above | (plain[region] & (taken == taken[ground]))))
    asked = asked[asked != ground[asked]]
    beneath = regions[region[ground[asked]]]
    shapely.prepare(beneath)
    found[asked] = shapely.covers(beneath, shapes[region[asked]])
    return found


def _joinable(pieces: NDArray[np.object_], effort: Effort) -> bool:
    """Whether pieces can be laid over each other without meeting so often that it takes too long."""
    if len(pieces) < 2 and pieces[0] is not None:
        return True
    if shapely.get_num_coordinates(pieces).sum() <= _TOO_MANY_POINTS and not shapely.is_missing(pieces).any():
        return True
    return effort.allows_joining(*pieces)


def _pieces(
    zones: NDArray[np.object_], regions: NDArray[np.object_], effort: Effort
) -> tuple[NDArray[np.object_], Flags]:
    """(n,) what of each region lies in its zone, and whether that is the whole zone. What merely touches it does not count.

    None where the two meet too often.
    """
    shapely.prepare(regions)
    whole = shapely.contains_properly(regions, zones)
    inside = ~whole & shapely.contains_properly(zones, regions)
    pieces = np.where(whole, zones, regions)
    rest = np.flatnonzero(~whole & ~inside)
    near = _near(regions[rest], zones[rest])
    many = shapely.get_num_coordinates(near) + shapely.get_num_coordinates(zones[rest]) > _TOO_MANY_POINTS
    for row in np.flatnonzero(many).tolist():
        if not effort.allows_joining(near[row], zones[rest[row]]):
            near[row] = None
    pieces[rest] = shapely.intersection(near, zones[rest])
    pieces[rest] = of_dimension(pieces[rest], shapely.get_dimensions(regions[rest]))
    return pieces, whole


def _near(regions: NDArray[np.object_], zones: NDArray[np.object_]) -> NDArray[np.object_]:
    """(n,) regions, or of large ones that meet many zones no more than what lies about each zone.

    To cut a zone out of a region takes as long as the region has points, however small the zone is.
    """
    found = regions.copy()
    large = np.flatnonzero(shapely.get_num_coordinates(regions) > _MANY_POINTS)
    by_region: dict[int, list[int]] = {}
    for row in large.tolist():
        by_region.setdefault(id(regions[row]), []).append(row)
    for rows in by_region.values():
        if len(rows) < _MANY_ZONES:
            continue
        bounds = shapely.bounds(zones[rows])
        # Squares twice as wide as any zone, each half over the next: one of them holds the whole of each zone.
        pitch = float((bounds[:, 2:] - bounds[:, :2]).max()) * 1.01
        across, down = np.floor(bounds[:, :2] / pitch).astype(np.intp).T.tolist()
        squares: dict[tuple[int, int], Any] = {}
        strips: dict[int, Any] = {}
        whole = regions[rows[0]]
        low, high = shapely.bounds(whole).reshape(2, 2) + np.array([[-1.0], [1.0]])
        for row, x, y in zip(rows, across, down, strict=True):
            if x not in strips:
                strips[x] = _cut(whole, x * pitch, low[1], (x + 2) * pitch, high[1])
            if (x, y) not in squares:
                squares[x, y] = _cut(strips[x], x * pitch, y * pitch, (x + 2) * pitch, (y + 2) * pitch)
            found[row] = squares[x, y]
    return found


def _cut(region: Any, x0: float, y0: float, x1: float, y1: float) -> Any:
    """What of a region lies in a box; the region itself where the quick way fails."""
    part = shapely.clip_by_rect(region, x0, y0, x1, y1)
    return part if shapely.is_valid(part) else region


def of_dimension(shapes: NDArray[np.object_], dimensions: Integers) -> NDArray[np.object_]:
    """(n,) what is left of shapes without parts of fewer dimensions: where areas touch here and overlap there, points and lines come along.

    Parameters
    ----------
    dimensions : (n,) 1 for lines, 2 for areas; missing shapes stay as they are.
    """
    found = shapes.copy()
    found[~shapely.is_missing(shapes) & (shapely.get_dimensions(shapes) < dimensions)] = _EMPTY
    # One by one: few shapes touch each other in part.
    for row in np.flatnonzero(shapely.get_type_id(found) == shapely.GeometryType.GEOMETRYCOLLECTION).tolist():
        parts = shapely.get_parts(found[row])
        found[row] = shapely.union_all(parts[shapely.get_dimensions(parts) == dimensions[row]])
    return found


def _wide(area: Any) -> Any:
    """The area without the slivers that rounding leaves where one edge was to lie on another: nothing there is in doubt."""
    parts = shapely.get_parts(area)
    # Bare lines are the thinnest a device draws, and no slivers.
    kept = (shapely.area(parts) > _ROUNDED * shapely.length(parts)) | (shapely.get_dimensions(parts) < 2)
    if kept.all():
        return area
    return shapely.union_all(parts[kept]) if kept.any() else _EMPTY


def _laid(
    pieces: NDArray[np.object_], kinds: Sequence[int], groups: Sequence[tuple[int, ...]], depth: int
) -> tuple[Any, Any]:
    """What is covered, and what may be, by pieces laid over each other; those of a group at this depth by themselves first.

    ``kinds`` : 1 for what adds, 2 for what erases, 3 for what may do either; 4 more for what is sure.
    """
    covered: Any = _EMPTY
    doubtful: Any = _EMPTY
    # Runs of one kind go on together, so that a stack of a thousand costs no more than its changes of kind.
    runs = [
        (0, own[depth]) if len(own) > depth else (kind, 0) for kind, own in zip(kinds, groups, strict=True)
    ]
    starts = [0, *(at for at in range(1, len(runs)) if runs[at] != runs[at - 1])]
    for first, last in zip(starts, [*starts[1:], len(runs)], strict=True):
        kind = runs[first][0]
        if not kind:
            inner = _laid(pieces[first:last], kinds[first:last], groups[first:last], depth + 1)
            covered = shapely.union(covered, inner[0])
            doubtful = _less(shapely.union(doubtful, inner[1]), covered)
            continue
        adds, erases, sure = bool(kind & 1), bool(kind & 2), bool(kind & 4)
        piece = pieces[first] if last == first + 1 else _joined(pieces[first:last])
        if sure:
            covered = shapely.union(covered, piece) if adds else _less(covered, piece)
            doubtful = _less(doubtful, piece)
            continue
        if erases:
            doubtful = shapely.union(doubtful, _common(covered, piece))
            covered = _less(covered, piece)
        if adds:
            doubtful = shapely.union(doubtful, _less(piece, covered))
    return covered, doubtful


def _less(shape: Any, other: Any) -> Any:
    """A shape without another. GEOS 3.14 fails where the first is empty and the other areas with lines among them."""
    return shape if shape.is_empty else shapely.difference(shape, other)


def _common(shape: Any, other: Any) -> Any:
    """What two shapes have in common; as with `_less`, GEOS is not asked about nothing."""
    return _EMPTY if shape.is_empty or other.is_empty else shapely.intersection(shape, other)
