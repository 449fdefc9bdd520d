"""Distances from cuts to the art beside them. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from preflight.artwork import Box, Note, NoteKind
from preflight.geometry.beside import Edges, Flush, edges_beside, flush_stretches, without_slivers
from preflight.geometry.clusters import members
from preflight.geometry.distinct import distinct
from preflight.geometry.flatten import SKIN
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.simplification import simplified
from preflight.geometry.within_reach import within_reach
from preflight.job.art_edges import pieces_beside_edges
from preflight.job.clearances import NOISE, BleedShort, NearArt, Point
from preflight.job.near_lettering import near_lettering

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["ArtClearances"]

_BEYOND = 0.2
"""mm. Art is asked for this much farther than it is measured, so that where the asking ends is not taken for an edge."""

_COARSE = 0.05
"""mm. How far the zones in which art is asked for may leave the borders they follow."""

_ROUGHLY = 0.02
"""mm. How far the areas on which distances are first told may leave the true ones."""

_BLEED = 3.0
"""mm, where bleed-short does not judge: its default."""

_HAIR = 0.75 * SKIN
"""mm. Half the width that a line of the device's thinnest is given: no sliver, and far below what is measured."""

_POLYGONAL = (3, 6)
"""Shapely's type numbers of polygons and collections of polygons."""

_MANY = 300
"""Lines that what is missing lies beside; areas round more of them overlap so often that they take gigabytes to join."""

_CORNER = 1.5
"""How many times as far as its sides the corners of a bleed may reach: those of a square one go 1.42 times as far."""

_SPECK = 0.01
"""mm². Areas of missing bleed below it are left out of what is shown."""


class ArtClearances:
    """Views of the art beside the pieces' borders; each asks for the art as far as any rule in force looks."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._doubtful: set[int] = set()

    @property
    def notes(self) -> tuple[Note, ...]:
        """Cuts beside which something may or may not print, of those asked about so far; one note for each object."""
        owners = self._job.pieces.owners[sorted(self._doubtful)] if self._doubtful else ()
        return tuple(
            Note(
                NoteKind.NOT_MODELLED,
                "art beside a cut",
                "What prints beside this cut is not known for sure: how far the art bleeds and how near it comes is "
                "judged without what is in doubt.",
                self._job.cuts.items[owner].object.origin,
            )
            for owner in sorted({int(owner) for owner in owners})
        )

    def bleed_short(self, bleed: float) -> Iterator[BleedShort]:
        """Pieces whose art lies on their cut and does not go on past it for ``bleed`` mm, measured square to it."""
        limit = bleed - NOISE
        rows, art = self._beside(limit, outside=True, doubtful_prints=True)
        if not len(rows):
            return
        regions, leave_out = self._job.pieces.regions[rows], self._bleed_areas(rows, limit, inner_only=True)
        edges = edges_beside(regions, art, limit, outside=True, leave_out=leave_out)
        flush = flush_stretches(regions, art, outside=False, leave_out=leave_out)
        # What is missing is looked at, nothing is measured on it.
        coarse = np.stack([simplified(regions, _COARSE), simplified(art, _COARSE)], axis=1)
        for row, short, ends in _by_region(len(rows), edges, edges.filled, flush):
            reached, here, there = _least(edges, short, ends)
            lines = np.concatenate([edges.lines[short], ends])
            piece = int(rows[row])
            yield BleedShort(
                self._job.pieces.item(piece),
                self._job.pieces.step(piece),
                reached,
                here,
                there,
                _box(lines),
                _missing(coarse[row, 0], coarse[row, 1], shapely.simplify(lines, _COARSE), bleed),
            )

    def near_art(self, margin: float, drift: float) -> Iterator[NearArt]:
        """Art nearer than ``margin`` to the cut inside a piece, or than ``drift`` outside; the nearest of each side.

        Art that reaches the cut from inside is meant to bleed, and what belongs to the bleed of another piece counts for
        that one alone.
        """
        for inside, limit in ((True, margin - NOISE), (False, drift - NOISE)):
            rows, art = self._beside(limit, outside=not inside, doubtful_prints=False)
            if not len(rows):
                continue
            regions = self._job.pieces.regions[rows]
            leave_out = self._bleed_areas(rows, limit, inner_only=inside)
            # Where what is sure borders on what is in doubt, it may go on.
            doubtful = shapely.buffer(self._visible(rows)[1], SKIN, quad_segs=2)
            leave_out = shapely.union(leave_out, doubtful)
            edges = edges_beside(regions, art, limit, outside=not inside, leave_out=leave_out)
            touching = None if inside else flush_stretches(regions, art, outside=True, leave_out=leave_out)
            for row, near, ends in _by_region(len(rows), edges, ~edges.filled, touching):
                distance, here, there = _least(edges, near, ends)
                piece = int(rows[row])
                yield NearArt(
                    self._job.pieces.item(piece),
                    self._job.pieces.step(piece),
                    inside,
                    distance,
                    here,
                    there,
                    _box(np.concatenate([edges.lines[near], ends])),
                )

    def near_lettering(self, margin: float) -> Iterator[NearArt]:
        """Texts nearer than ``margin`` to the cut of the piece they lie in, on a ground that hides them from `near_art`."""
        pieces = self._job.pieces
        found = near_lettering(self._job, self._ink_beside, margin - NOISE)
        for text, piece, distance, here, there, box in found:
            item, step = pieces.item(piece), pieces.step(piece)
            yield NearArt(item, step, True, distance, here, there, box, self._job.items[text])

    def _beside(self, limit: float, *, outside: bool, doubtful_prints: bool) -> tuple[Integers, Any]:
        """The pieces with an edge of the art nearer to their border than the limit, on one side of it, and the art there."""
        pieces = self._job.pieces
        if limit <= SKIN or not pieces.count:
            return np.empty(0, np.intp), np.empty(0, object)
        suspects = self._suspects
        if not len(suspects):
            return suspects, np.empty(0, object)
        art, doubtful = self._visible(suspects)
        near = np.flatnonzero(~shapely.is_empty(doubtful))
        near = near[within_reach(pieces.borders[suspects[near]], doubtful[near], limit)]
        self._doubtful.update(suspects[near].tolist())
        if doubtful_prints and len(near):
            art[near] = shapely.union(art[near], doubtful[near])
        near_edges = self._least_distances[0 if outside else 1] < limit
        if doubtful_prints:
            near_edges[near] = True
        rows, art = suspects[near_edges], without_slivers(art[near_edges])
        kept = self._has_edges(rows, art, limit, outside)
        return rows[kept], art[kept]

    @cached_property
    def _suspects(self) -> Integers:
        """Pieces beside whose border the art has to be looked at; those by which nothing ends are in order."""
        return pieces_beside_edges(self._job, self._margin - NOISE, max(self._bleed, self._drift) - NOISE)

    @cached_property
    def _least_distances(self) -> tuple[Floats, Floats]:
        """(s,) mm, two of them: no edge of the art that prints for sure is nearer to each suspect's border, outside and inside.

        Much art goes on beneath or on top of other art. Told on coarse areas that costs a tenth of measuring.
        """
        regions, art = (
            simplified(self._job.pieces.regions[self._suspects], _ROUGHLY),
            simplified(self._visible(self._suspects)[0], _ROUGHLY),
        )
        borders, edges = shapely.boundary(regions), shapely.boundary(art)
        slack = 2 * _ROUGHLY
        outside = shapely.difference(edges, shapely.buffer(regions, -slack, quad_segs=2))
        inside = shapely.intersection(edges, shapely.buffer(regions, slack, quad_segs=2))
        told = [shapely.distance(borders, side) - slack for side in (outside, inside)]
        for distances in told:
            distances[np.isnan(distances)] = np.inf  # there is no edge
        return told[0], told[1]

    def _has_edges(self, rows: Integers, art: Any, limit: float, outside: bool) -> Flags:
        """(k,) whether the art of some pieces has an edge on their border or on one side of it, nearer than the limit."""
        pieces, edges = self._job.pieces, shapely.boundary(art)
        skin = shapely.buffer(pieces.regions[rows], -SKIN if outside else SKIN, quad_segs=2)
        edges = shapely.difference(edges, skin) if outside else shapely.intersection(edges, skin)
        return within_reach(pieces.borders[rows], edges, limit)

    def _visible(self, rows: Integers) -> tuple[Any, Any]:
        """(r,) areas of art along the border of some pieces that print, and that may, as far as the rules in force look."""
        ink, doubtful = self._looked_at
        new = rows[shapely.is_missing(ink[rows])]
        if len(new):
            # The zones need only hold what is asked for: coarse ones are quicker to make and to cut with.
            coarse = simplified(self._job.pieces.regions[new], _COARSE)
            beyond = max(self._bleed, self._drift) + _BEYOND
            outer = shapely.buffer(coarse, (beyond + _COARSE) / 0.92, quad_segs=2)
            inner = shapely.buffer(coarse, -(self._margin + _BEYOND + _COARSE), quad_segs=2)
            found = self._job.printed.around(shapely.difference(outer, inner))
            ink[new], doubtful[new] = _as_areas(found.ink), _as_areas(found.doubtful)
        return ink[rows], doubtful[rows]

    @cached_property
    def _looked_at(self) -> tuple[Any, Any]:
        """(k,) of either kind of area of `_visible`, None for the pieces nobody asked about yet."""
        count = self._job.pieces.count
        return np.full(count, None, object), np.full(count, None, object)

    def _ink_beside(self, piece: int) -> Any:
        return self._visible(np.array([piece]))[0][0]

    @property
    def _margin(self) -> float:
        rule = self._job.in_force.get("art-near-cut")
        return 0.0 if rule is None else float(rule.margin)

    @property
    def _drift(self) -> float:
        rule = self._job.in_force.get("art-near-cut")
        return 0.0 if rule is None else float(rule.drift)

    @property
    def _bleed(self) -> float:
        rule = self._job.in_force.get("bleed-short")
        return _BLEED if rule is None else float(rule.bleed)

    def _bleed_areas(self, rows: Integers, limit: float, *, inner_only: bool) -> Any:
        """(k,) for each piece the other pieces near its border, with the bleed of those whose art reaches their cut.

        Pieces that hold the piece are none of them; with ``inner_only`` none but those it holds are. A bleed that runs on for
        up to the drift more than is asked is a bleed still: beside pieces 1/8 in apart 1/8 in of bleed is no stray art.
        """
        pieces = self._job.pieces
        areas = np.full(len(rows), shapely.Polygon(), dtype=object)
        reach = self._bleed + NOISE + (0.0 if inner_only else self._drift)
        corners = _CORNER * reach
        near, other = pieces.tree.query(pieces.borders[rows], predicate="dwithin", distance=limit + corners)
        apart = rows[near] != other
        near, other = near[apart], other[apart]
        around, others = pieces.regions[rows[near]], pieces.regions[other]
        excess = shapely.area(around) - shapely.area(others)
        # Of copies, which one is smaller is up to the last digits: the first drawn counts as the inner one.
        alike = np.abs(excess) <= SKIN * shapely.length(around)
        inside = np.where(alike, other < rows[near], excess > 0)
        inside &= _mostly_inside(others, around)
        holds = _mostly_inside(around, others)
        kept = inside if inner_only else inside | ~holds
        near, other = near[kept], other[kept]
        used = distinct(other)
        inked = shapely.intersection(pieces.borders[used], self._visible(used)[0])
        # As far as the offset's corners go, and no farther from where the art crosses the cut.
        offsets = shapely.buffer(pieces.regions[used], reach, join_style="mitre")
        bleeds = shapely.intersection(offsets, shapely.buffer(inked, corners))
        grown = shapely.union(pieces.regions[used], bleeds)
        for row, own in enumerate(members(near, len(rows))):
            if len(own):
                areas[row] = shapely.union_all(grown[np.searchsorted(used, other[own])])
        return areas


def _mostly_inside(inner: Any, outer: Any) -> Flags:
    """(k,) whether more than half of each region lies in another, by more than the last digits of where their borders lie."""
    held: Flags = shapely.covers(outer, inner)
    crossing = np.flatnonzero(~held & shapely.intersects(outer, inner))
    shared = shapely.area(shapely.intersection(inner[crossing], outer[crossing]))
    noise = SKIN * shapely.length(inner[crossing])
    held[crossing] = shared > shapely.area(inner[crossing]) / 2 + noise
    return held


def _as_areas(found: Any) -> Any:
    """Geometries with their bare lines, the thinnest a device draws, as areas of next to no width."""
    for row in np.flatnonzero(~np.isin(shapely.get_type_id(found), _POLYGONAL)).tolist():  # few
        parts = shapely.get_parts(found[row])
        lines = shapely.get_dimensions(parts) < 2
        # The areas beside them keep their edges, on which distances are measured.
        parts[lines] = shapely.buffer(parts[lines], _HAIR)
        found[row] = shapely.union_all(parts)
    return found


def _missing(region: Any, art: Any, lines: Any, bleed: float) -> tuple[Floats, ...]:
    """Rings of what should be printed round a region, next to the lines where its art ends, within `_COARSE`."""
    band = shapely.difference(shapely.buffer(region, bleed, quad_segs=4), region)
    lines = _thinned(lines, bleed / 4)
    beside = shapely.buffer(shapely.union_all(lines), bleed, quad_segs=4, cap_style="flat")
    shown = shapely.get_parts(shapely.intersection(shapely.difference(band, art), beside))
    rings = shapely.get_rings(shown[shapely.area(shown) > _SPECK])
    return tuple(shapely.get_coordinates(ring) for ring in rings)


def _thinned(lines: Any, apart: float) -> Any:
    """The lines, or where they are many the longest of those whose middles lie together: what thousands of teeth leave bare is one area."""
    if len(lines) <= _MANY:
        return lines
    order = np.argsort(-shapely.length(lines), kind="stable")
    places = np.floor(shapely.get_coordinates(shapely.centroid(lines[order])) / apart)
    firsts = np.unique(places, axis=0, return_index=True)[1]
    return lines[order[np.sort(firsts)]]


def _by_region(
    count: int, edges: Edges, chosen: Flags, flush: Flush | None
) -> Iterator[tuple[int, Integers, Any]]:
    """Each of ``count`` regions that has any: its chosen edges, and the lines on its border where an area ends."""
    rows = np.flatnonzero(chosen)
    beside = members(edges.region[rows], count)
    ending = [rows[:0]] * count if flush is None else members(flush.region, count)
    for region, (own, ends) in enumerate(zip(beside, ending, strict=True)):
        if len(own) or len(ends):
            yield region, rows[own], np.empty(0, object) if flush is None else flush.lines[ends]


def _least(edges: Edges, chosen: Integers, ends: Any) -> tuple[float, Point, Point]:
    """The least distance of some edges, and between which places; 0 where the art ends on the border itself."""
    if len(ends):
        x, y = shapely.bounds(ends)[:, :2].round(2).T
        longest = ends[np.lexsort((x, y, -shapely.length(ends).round(2)))[0]]
        middle = _point(
            shapely.get_coordinates(shapely.line_interpolate_point(longest, 0.5, normalized=True))[0]
        )
        return 0.0, middle, middle
    # Of places as near as each other the topmost, then the leftmost, whatever the last digits of their distances say.
    x, y = edges.there[chosen].round(2).T
    row = int(chosen[np.lexsort((x, y, edges.distance[chosen].round(3)))[0]])
    return float(edges.distance[row]), _point(edges.here[row]), _point(edges.there[row])


def _box(lines: Any) -> Box:
    x0, y0, x1, y1 = shapely.total_bounds(lines).tolist()
    return x0, y0, x1, y1


def _point(place: Floats | Sequence[float]) -> Point:
    return float(place[0]), float(place[1])
