"""How the edges of one set of areas run along the borders of another: what bleed and margins are measured on.

Knows areas and distances; nothing of ink, cutting or limits that a shop sets.
"""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import shapely

from preflight.geometry.clusters import linked, members
from preflight.geometry.distinct import distinct
from preflight.geometry.flatten import SKIN
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["Edges", "Flush", "edges_beside", "flush_stretches", "without_slivers"]

_SHORTEST_FLUSH = 10 * SKIN
"""mm. An edge that crosses a border at 15° or more stays within the skin for less than this."""

_LONGEST_CROSSING = 50 * SKIN
"""mm. So long an edge may stay within the skin where it crosses a border at a few degrees, as a bend of it does."""

_CROSSING_RUN = 4.0
"""An edge that leaves the border counts as crossing it for this many times the reach: it may lean over by 75°."""

_SHARP = np.radians(20.0)
"""A convex corner of a border that turns by more has no direction square to it; curves are flattened finer."""

_TRIED_FIRST = 0.32
"""mm between the places of a line that are tried first for how far they are from the border; in the end a 64th of it."""

_ROUND = 32
"""Segments of a quarter turn in the buffers: 3 mm away they miss the true circle by 0.001 mm."""


class Edges(msgspec.Struct, frozen=True, eq=False):
    """Stretches of the edges of areas that run beside the border of a region without crossing it.

    Attributes
    ----------
    region : (k,) int
        The region whose border it is.
    distance : (k,) mm
        The least distance to the border. Of a stretch that leaves the border and comes back to it: the greatest.
    here, there : (k, 2) mm
        The place on the border and the place on the edge between which it was measured.
    filled : (k,) bool
        Whether the area lies between the border and the edge; otherwise it lies beyond the edge.
    lines : (k,) of lines
        The stretches.
    """

    region: Integers
    distance: Floats
    here: Floats
    there: Floats
    filled: Flags
    lines: Any


class Flush(msgspec.Struct, frozen=True, eq=False):
    """Stretches of borders where an area ends on the border itself: ``region`` (k,), ``lines`` (k,)."""

    region: Integers
    lines: Any


def edges_beside(regions: Any, areas: Any, reach: float, *, outside: bool, leave_out: Any = None) -> Edges:
    """Edges of areas that run within reach of the border of their region, on one side of it.

    An edge that leaves the border and gets past the reach crosses the region's border and is in order; one that takes longer
    for it than four times the reach runs beside it. Outside a sharp convex corner nothing is measured: no direction
    there is square to the border, so that an area offset with any kind of join has the offset's distance.

    Parameters
    ----------
    regions, areas : (n,) of shapely polygons, mm
        Areas need to be right only as far as the reach from the border of their region.
    reach : mm, more than `SKIN`
    outside : which side of the border to look at.
    leave_out : (n,) of areas in which nothing is measured, None for none.
    """
    borders = shapely.boundary(regions)
    lines, region = _stretches(regions, areas, reach, outside)
    runs = _running(lines, region, borders, reach)
    if outside and len(runs.lines):
        used = distinct(runs.region)
        fans = corner_fans(regions[used], 1.5 * reach)
        runs = _outside(runs, fans[np.searchsorted(used, runs.region)])
    if leave_out is not None and len(runs.lines):
        runs = _outside(runs, leave_out[runs.region])
    if not len(runs.lines):
        nothing = np.empty((0, 2))
        return Edges(runs.region, np.empty(0), nothing, nothing, np.empty(0, bool), runs.lines)
    here, there = _measured(runs, borders[runs.region])
    gaps = there - here
    distance = np.hypot(*gaps.T)
    step = np.minimum(0.005, distance / 2) / np.maximum(distance, 1e-12)
    before = there - gaps * step[:, None]
    filled = shapely.intersects_xy(areas[runs.region], before[:, 0], before[:, 1])
    return Edges(runs.region, distance, here, there, filled, runs.lines)


def flush_stretches(regions: Any, areas: Any, *, outside: bool, leave_out: Any = None) -> Flush:
    """Stretches of the borders on which an area ends, covering one side of the border and not the other.

    Parameters
    ----------
    regions, areas : (n,) of shapely polygons, mm
    outside : whether the area is to lie outside and end on the border, or inside.
    leave_out : (n,) of areas that do not count, None for none.
    """
    near_inside = shapely.boundary(shapely.buffer(regions, -SKIN))
    near_outside = shapely.boundary(shapely.buffer(regions, SKIN))
    covered, bare = (near_outside, near_inside) if outside else (near_inside, near_outside)
    begins = shapely.intersection(covered, areas)
    ends = shapely.difference(bare, areas)
    if leave_out is not None:
        begins, ends = shapely.difference(begins, leave_out), shapely.difference(ends, leave_out)
    found = shapely.intersection(ends, shapely.buffer(begins, 2.5 * SKIN, quad_segs=2, cap_style="flat"))
    lines, owner = _merged(found)
    long_enough = shapely.length(lines) > _SHORTEST_FLUSH
    lines, owner = lines[long_enough], owner[long_enough]
    kept = ~_crossings(lines, owner, regions, areas, outside)
    lines, owner = lines[kept], owner[kept]
    points, line = shapely.get_coordinates(lines, return_index=True)
    return Flush(
        owner, shapely.set_coordinates(lines, _on_borders(points, shapely.boundary(regions)[owner[line]]))
    )


def _crossings(lines: Any, owner: Integers, regions: Any, areas: Any, outside: bool) -> Flags:
    """(k,) short stretches on a border from which the area goes on past it: its edge is on its way across."""
    short = np.flatnonzero(shapely.length(lines) <= _LONGEST_CROSSING)
    rows = owner[short]
    skin = shapely.buffer(regions[rows], -SKIN if outside else SKIN)
    beyond = shapely.intersection(areas[rows], skin) if outside else shapely.difference(areas[rows], skin)
    crossing = np.zeros(len(lines), bool)
    crossing[short] = (shapely.distance(_line_ends(lines[short]), beyond[:, None]) <= 3 * SKIN).any(axis=1)
    return crossing


def without_slivers(areas: Any) -> Any:
    """(n,) the areas less slivers narrower than `SKIN`, and with slits narrower than that closed.

    Slivers are left where one shape was to cover another just so, slits where two were to meet; what is so narrow does not print.
    """
    for grow in (-0.5 * SKIN, 0.5 * SKIN, 0.5 * SKIN, -0.5 * SKIN):
        areas = shapely.buffer(areas, grow, join_style="mitre")
    return areas


def _stretches(regions: Any, areas: Any, reach: float, outside: bool) -> tuple[Any, Integers]:
    """Edges of the areas in the band between the skin of the border and the reach, and the region of each."""
    side = 1.0 if outside else -1.0
    skin = shapely.buffer(regions, side * SKIN)
    far = shapely.buffer(regions, side * reach, quad_segs=_ROUND)
    band = shapely.difference(far, skin) if outside else shapely.difference(skin, far)
    return _merged(shapely.intersection(shapely.boundary(areas), band))


def _merged(found: Any) -> tuple[Any, Integers]:
    """Single lines out of geometries, joined where they meet, and the row of each."""
    parts, owner = shapely.get_parts(found, return_index=True)
    lines = shapely.get_dimensions(parts) == 1
    parts, owner = parts[lines], owner[lines]
    if not len(parts):
        return parts, owner
    rows = distinct(owner)
    groups = np.searchsorted(rows, owner)
    collected = np.empty(len(rows), object)
    shapely.multilinestrings(parts, indices=groups, out=collected)
    merged, group = shapely.get_parts(shapely.line_merge(collected), return_index=True)
    return merged, rows[group]


class _Runs(msgspec.Struct, frozen=True, eq=False):
    """Lines beside the borders of their ``region``; ``leaves`` those of a ``chain`` that leaves the border and comes back to it."""

    lines: Any
    region: Integers
    chain: Integers
    leaves: Flags


def _running(lines: Any, region: Integers, borders: Any, reach: float) -> _Runs:
    """The lines less those of chains that cross the band."""
    chain = _chains(lines, region)
    on_border = shapely.distance(_line_ends(lines), borders[region][:, None]) <= 1.5 * SKIN
    on_border[shapely.is_closed(lines)] = False
    points, line = shapely.get_coordinates(lines, return_index=True)
    far = shapely.distance(shapely.points(points), borders[region[line]]) >= reach - SKIN
    count = len(lines)
    leaves = np.bincount(chain, on_border.any(axis=1), count)[chain] > 0
    arrives = np.bincount(chain[line], far, count)[chain] > 0
    crossing = leaves & arrives
    lines = lines.copy()
    for row in np.flatnonzero(crossing).tolist():  # few, and most of them short
        lines[row] = _after_crossing(lines[row], on_border[row].tolist(), _CROSSING_RUN * reach)
    kept = ~shapely.is_empty(lines)
    return _Runs(lines[kept], region[kept], chain[kept], (leaves & ~arrives)[kept])


def _chains(lines: Any, region: Integers) -> Integers:
    """Label of the lines of a region that hang together, as they do where an area all but touches itself.

    Whether it does, and which line goes on as which there, is up to the last digits.
    """
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=0.1 * SKIN)
    same = region[first] == region[second]
    return linked(len(lines), first[same], second[same])


def _line_ends(lines: Any) -> Any:
    """(k, 2) first and last point of each line."""
    return np.stack([shapely.get_point(lines, 0), shapely.get_point(lines, -1)], axis=1)


def _after_crossing(line: Any, on_border: list[bool], run: float) -> Any:
    """What is left of a line when the run next to each end on the border is taken off; nothing of a short one."""
    from shapely.ops import substring

    length = float(line.length)
    if length <= run:
        return shapely.LineString()
    first, last = (run if on_border[0] else 0.0), length - (run if on_border[1] else 0.0)
    return substring(line, first, last) if last > first else shapely.LineString()


def _outside(runs: _Runs, areas: Any) -> _Runs:
    """What of each line lies outside its area; a line that is parted becomes several."""
    lines, line = _merged(shapely.difference(runs.lines, areas))
    return _Runs(lines, runs.region[line], runs.chain[line], runs.leaves[line])


def corner_fans(regions: Any, radius: float) -> Any:
    """(n,) the areas outside sharp convex corners from which the corner is nearest, out to a distance.

    Parameters
    ----------
    regions : (n,) of shapely polygons, valid
    radius : mm
    """
    rings, owner = _oriented_rings(regions)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    sides = points[1:] - points[:-1]
    with np.errstate(invalid="ignore", divide="ignore"):
        sides = sides / np.hypot(*sides.T)[:, None]
    starts = np.flatnonzero(np.concatenate([[True], ~same])) if len(points) else np.empty(0, np.intp)
    # The side that arrives at each point: of the first of a ring, its last side.
    arriving = np.zeros(len(points), np.intp)
    arriving[1:] = np.arange(len(sides))
    stops = np.concatenate([starts[1:], [len(points)]]) - 1
    arriving[starts] = stops - 1
    corners = np.setdiff1d(np.arange(len(points)), stops)
    before, after = sides[arriving[corners]], sides[corners]
    turn = np.arctan2(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1))
    sharp = turn > _SHARP
    corners, before, after = corners[sharp], before[sharp], after[sharp]
    out_before = np.stack([before[:, 1], -before[:, 0]], axis=1)
    out_after = np.stack([after[:, 1], -after[:, 0]], axis=1)
    middle = out_before + out_after + (before - after)  # never zero, and within the fan even at a needle
    middle /= np.maximum(np.hypot(*middle.T), 1e-12)[:, None]
    at = points[corners]
    # Radially generous, sideways exact: corner, one square, past the middle twice, the other square.
    far = 2.5 * radius
    quads = np.stack([at, at + radius * out_before, at + far * middle, at + radius * out_after, at], axis=1)
    fans = np.full(len(regions), shapely.Polygon(), dtype=object)
    owners = owner[ring[corners]]
    polygons = shapely.make_valid(shapely.polygons(quads)) if len(quads) else np.empty(0, object)
    for row, own in enumerate(members(owners, len(regions))):
        if len(own):
            fans[row] = shapely.union_all(polygons[own])
    return fans


def _oriented_rings(regions: Any) -> tuple[Any, Integers]:
    """All rings with the region on their left, and the row of each."""
    parts, owner = shapely.get_parts(regions, return_index=True)
    parts = shapely.orient_polygons(parts)
    rings, part = shapely.get_rings(parts, return_index=True)
    return rings, owner[part]


def _measured(runs: _Runs, borders: Any) -> tuple[Floats, Floats]:
    """(k, 2) the places on each border and on its line between which the distance counts."""
    shortest = shapely.get_coordinates(shapely.shortest_line(borders, runs.lines)).reshape(-1, 2, 2)
    here, there = shortest[:, 0].copy(), shortest[:, 1].copy()
    _moved_to_middle(here, there, runs.lines, borders)
    leaving = np.flatnonzero(runs.leaves)
    if len(leaving):
        far_here, far_there = _farthest(runs.lines[leaving], borders[leaving])
        # Of a chain its farthest line speaks for all.
        distance = np.hypot(*(far_there - far_here).T)
        order = np.lexsort((-distance, runs.chain[leaving]))
        chains = runs.chain[leaving][order]
        best = order[np.searchsorted(chains, runs.chain[leaving])]
        here[leaving], there[leaving] = far_here[best], far_there[best]
    return here, there


def _moved_to_middle(here: Floats, there: Floats, lines: Any, borders: Any) -> None:
    """Where an edge runs parallel to its border, measure in the middle of it: a person looks for the distance there."""
    middle = shapely.get_coordinates(shapely.line_interpolate_point(lines, 0.5, normalized=True))
    opposite = _on_borders(middle, borders)
    parallel = np.hypot(*(middle - opposite).T) <= np.hypot(*(there - here).T) + 0.1 * SKIN
    here[parallel], there[parallel] = opposite[parallel], middle[parallel]


def _on_borders(points: Floats, borders: Any) -> Floats:
    """(k, 2) the place on each border that is nearest to the point."""
    nearest: Floats = shapely.get_coordinates(shapely.shortest_line(borders, shapely.points(points)))
    return nearest.reshape(-1, 2, 2)[:, 0]


def _farthest(lines: Any, borders: Any) -> tuple[Floats, Floats]:
    """(k, 2) the place on each line that is farthest from its border, and the place on the border nearest to that.

    Between its points a line that cuts off a bend of the border is farther away than at any of them: places along it are tried, and
    again nearer together wherever the farthest may be. No place between two is farther than either by more than half their distance.
    """
    whole = shapely.length(lines)
    at, line, step = np.empty(0), np.empty(0, np.intp), _TRIED_FIRST
    for step in (_TRIED_FIRST, _TRIED_FIRST / 8, _TRIED_FIRST / 64):
        if not len(at):
            counts = np.ceil(whole / step).astype(np.intp) + 1
            line = np.repeat(np.arange(len(lines)), counts)
            first = np.repeat(np.cumsum(counts) - counts, counts)
            points, owner = shapely.get_coordinates(lines, return_index=True)
            at = np.concatenate([(np.arange(len(line)) - first) * step, _along(points, owner)])
            line = np.concatenate([line, owner])
            at = np.minimum(at, whole[line])
        else:
            at = np.clip((at[:, None] + step * np.arange(-4, 5)).ravel(), 0.0, np.repeat(whole[line], 9))
            line = np.repeat(line, 9)
        places = shapely.line_interpolate_point(lines[line], at)
        distances = shapely.distance(places, borders[line])
        farthest = np.full(len(lines), -np.inf)
        np.maximum.at(farthest, line, distances)
        kept = distances >= farthest[line] - step / 2
        at, line, places, distances = at[kept], line[kept], places[kept], distances[kept]
    order = np.lexsort((at, -distances, line))
    chosen = order[np.searchsorted(line[order], np.arange(len(lines)))]
    there = shapely.get_coordinates(places[chosen])
    return _on_borders(there, borders), there


def _along(points: Floats, line: Integers) -> Floats:
    """(m,) mm from the start of its line to each point; the points of a line follow each other."""
    steps = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
    total = np.cumsum(steps)
    return np.asarray(total - total[np.searchsorted(line, line)])
