"""The pieces that cuts set free: regions of closed contours, and which lie in which. Knows no limit and no rule."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.flatten import chain_sizes, flatten
from preflight.geometry.outlines import Flags, Integers, offsets_of
from preflight.geometry.rings import filled
from preflight.geometry.simplification import simplified
from preflight.geometry.star_shaped import MOST_POINTS, star_shaped
from preflight.job.objects import JobObject

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["UNPARTED", "Pieces"]

UNPARTED = frozenset({"Creasing", "ReverseCreasing", "Folding"})
"""Steps that part nothing: art goes on across them, and what lies near them stays where it is."""

_FLATNESS = 0.002
"""mm. Finer than cuts are told apart by, as distances to the art are measured from these borders."""

_MOST_ROUGH = 0.05
"""mm. Borders are asked for no more roughly."""

_FEWER = 2
"""How many times fewer points a curve must come to, drawn less finely, to be drawn anew: thinning a border costs some times as much."""

_LEAST_POINTS = 4
"""Of a ring."""

_SLIT = 2 * _FLATNESS
"""mm. What of one object lies so near along each other is one region: whether it meets is up to the last digits."""

_LONG_SLIT = 0.1
"""mm. Parts that touch at a point stay apart."""

_CLOSED_WITHIN = 0.01
"""mm, where contour-open does not judge: its default."""


class Pieces:
    """The regions that closed cut contours bound, each one polygon.

    Sub-paths of one object make regions by its fill rule, parted along lines that pieces have in common (`CommonLines`). Other open
    contours bound nothing; copies and fragments that other rules report are left out, and so are creases and folds.
    """

    def __init__(self, job: Job) -> None:
        self._job = job

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.owners)

    @cached_property
    def regions(self) -> Any:
        """(k,) of shapely polygons, mm."""
        if not len(self._alone):
            return self._found[0]
        chains = flatten(self._job.cuts.outlines.of_contours(self._alone), _FLATNESS)
        numbers = np.repeat(np.arange(self.count), np.diff(chains.offsets))
        regions = shapely.polygons(shapely.linearrings(chains.points, indices=numbers))
        shapely.prepare(regions)
        return regions

    @cached_property
    def owners(self) -> Integers:
        """(k,) the cut object of each, as an index into ``job.cuts.items``."""
        return self._bordering[0]

    @cached_property
    def borders(self) -> Any:
        """(k,) of lines: the cut round each piece and round its holes."""
        lines = shapely.boundary(self.regions)
        shapely.prepare(lines)
        return lines

    def rough(self, within: float) -> tuple[Any, Any]:
        """(k,) regions and their borders with fewer points, which leave the true ones by no more than a distance, mm; the regions may
        be the true ones.
        """
        borders = self.rough_borders(within)
        if not len(self._alone):
            return self.regions, borders
        # What would come to no fewer points has the border of its region, a line.
        rings = shapely.get_type_id(borders) == shapely.GeometryType.LINEARRING
        regions = np.empty(self.count, dtype=object)
        regions[rings] = shapely.polygons(borders[rings])
        if not rings.all():
            regions[~rings] = self.regions[~rings]
        return regions, borders

    def rough_borders(self, within: float) -> Any:
        """(k,) the borders with fewer points, none of them farther from the true one than a distance (mm), and none of that from it."""
        rough = np.full(self.count, None, dtype=object)
        rows = np.flatnonzero(self._contours >= 0)
        outlines = self._job.cuts.outlines.of_contours(self._contours[rows])
        sizes, inexact = chain_sizes(outlines, within - _FLATNESS)
        kept = (sizes >= _LEAST_POINTS) & (sizes * _FEWER <= self._bordering[2][rows])
        kept[outlines.contour_of_segment[inexact]] = False
        if kept.any():
            chains = flatten(outlines.of_contours(np.flatnonzero(kept)), within - _FLATNESS)
            numbers = np.repeat(np.arange(np.count_nonzero(kept)), sizes[kept])
            rough[rows[kept]] = shapely.linearrings(chains.points, indices=numbers)
        rest = shapely.is_missing(rough)
        if rest.any():
            rough[rest] = shapely.boundary(simplified(self.regions[rest], within))
        return rough

    @cached_property
    def tree(self) -> Any:
        """Search tree of the regions."""
        return shapely.STRtree(self.regions)

    def item(self, piece: int) -> JobObject:
        """The cut object of a piece."""
        return self._job.cuts.items[int(self.owners[piece])]

    def step(self, piece: int) -> str:
        """The step that cuts a piece."""
        return self.item(piece).assignment.step or ""

    @property
    def _contours(self) -> Integers:
        """(k,) the cut contour that is the border of each piece as it is; -1 where there are several, or where it crosses itself."""
        return self._bordering[1]

    @cached_property
    def _bordering(self) -> tuple[Integers, Integers, Integers]:
        """(k,) of each piece its owner, its contour as in `_contours`, and how many points its border has."""
        if len(self._alone):
            contours, sizes = self._told
            return self._job.cuts.outlines.object_of_contour[contours], contours, sizes
        regions, owners, contours = self._found
        return owners, contours, np.asarray(shapely.get_num_coordinates(regions))

    @property
    def _alone(self) -> Integers:
        """(k,) the contours that surely are a piece each, where all are; none where it takes their regions to tell."""
        return self._told[0]

    @cached_property
    def _told(self) -> tuple[Integers, Integers]:
        """Those contours, and the points that their borders have. A sheet in order is judged without its regions, by rough borders, which cost
        a quarter of them.
        """
        cuts, kept, none = self._job.cuts, np.flatnonzero(self._bounding), np.empty(0, np.intp)
        owners = cuts.outlines.object_of_contour[kept]
        if (np.diff(owners) == 0).any() or self._job.common_lines.flags.any():
            return none, none
        contours = cuts.outlines.of_contours(kept)
        sizes, inexact = chain_sizes(contours, _FLATNESS)
        if len(inexact) or (sizes > MOST_POINTS).any():
            return none, none
        told = star_shaped(contours, cuts.boxes[kept], _MOST_ROUGH).all()
        return (kept, sizes) if told else (none, none)

    @cached_property
    def _found(self) -> tuple[Any, Integers, Integers]:
        cuts, kept = self._job.cuts, np.flatnonzero(self._bounding)
        if not len(kept):
            return np.empty(0, object), np.empty(0, np.intp), np.empty(0, np.intp)
        contours = cuts.outlines.of_contours(kept)
        owner = cuts.outlines.object_of_contour[kept]
        owners = distinct(owner)
        rows = np.searchsorted(owners, owner)
        counts = np.bincount(rows, minlength=len(owners))
        whole = msgspec.structs.replace(contours, object_offsets=offsets_of(counts))
        chains = flatten(contours, _FLATNESS)
        cuts.mark_unsure(kept[chains.inexact_contours])
        rules = [cuts.items[index].object.fill_rule for index in owners.tolist()]
        areas, plain = filled(whole, rules, _FLATNESS, chains)
        # A contour that bounds a region by itself has no other to run along.
        several = (cuts.outlines.segment_counts[kept] > 0) & (counts[rows] > 1)
        if several.any():
            areas = _without_slits(areas, cuts.lines(kept[several]), rows[several])
        # Curves too wild to be followed so finely leave the border that was made of them, too.
        plain[rows[chains.inexact_contours]] = False
        contour = np.full(len(owners), -1)
        alone = plain[rows] & (counts[rows] == 1)
        contour[rows[alone]] = kept[alone]
        if alone.all():
            regions, row = areas, np.arange(len(areas))
        else:
            parts, row = shapely.get_parts(areas, return_index=True)
            there = ~shapely.is_empty(parts)
            regions, row = parts[there], row[there]
        regions, of, same = self._job.common_lines.parted(regions, owners[row])
        shapely.prepare(regions)
        return regions, of, np.where(same < 0, -1, contour[row][same])

    @cached_property
    def _bounding(self) -> Flags:
        """(c,) contours that bound a piece."""
        cuts, aside = self._job.cuts, self._job.set_aside
        rule = self._job.in_force.get("contour-open")
        closes = cuts.closes(_CLOSED_WITHIN if rule is None else rule.closed_within)
        parting = np.array([step not in UNPARTED for step in cuts.steps], bool)
        return np.asarray(closes & parting & ~aside.copies & ~aside.fragments)


def _without_slits(regions: Any, lines: Any, owner: Integers) -> Any:
    """(k,) the regions, those with slits closed whose own lines run along each other.

    Parameters
    ----------
    regions : (k,) polygons and collections of them.
    lines : (n,) the contours; ``owner`` (n,) the region of each.
    """
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=_SLIT)
    first, second = owner[first[first < second]], owner[second[first < second]]
    rows = distinct(first[first == second])
    closed = shapely.buffer(regions[rows], _SLIT, join_style="mitre")
    closed = shapely.buffer(closed, -_SLIT, join_style="mitre")
    shorter = shapely.length(closed) < shapely.length(regions[rows]) - 2 * _LONG_SLIT
    regions[rows[shorter]] = closed[shorter]
    return regions
