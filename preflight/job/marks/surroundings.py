"""Whether a small thing stands free: in no piece that is cut out, on no art and beneath none. Knows no shape of a mark."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.artwork import Artwork, Box, Kind, Object
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.rings import polygons
from preflight.job.marks.shapes import half_stroke
from preflight.job.printing.inks import Part, parts
from preflight.job.printing.painted_regions import painted_regions
from preflight.job.roles import Assignment, Role

__all__ = ["Surroundings", "shows_ink"]

_CLOSED_WITHIN = 0.01
"""mm: contour-open's default."""

_FLATNESS = 0.02
_WIDEST = 5.0
"""mm. Half the widest stroke that is looked for: what a stroke adds to the box of its curves."""


def shows_ink(drawn: Object) -> bool:
    """Whether an object is drawn and may leave ink: painted at all, and not in plain white."""
    if not drawn.drawn:
        return False
    return any(part.lays for part in parts(0, drawn))


class Surroundings:
    """What lies where on a page, looked up in few places.

    Parameters
    ----------
    boxes : (o, 4) mm, of the curves.
    assignments : what names make of each object.
    """

    def __init__(self, artwork: Artwork, boxes: Floats, assignments: Sequence[Assignment]) -> None:
        self._artwork = artwork
        self._boxes = boxes
        self._assignments = assignments
        self._parts: dict[int, list[tuple[Part, Any]]] = {}
        self._made: dict[
            int, Any
        ] = {}  # pieces so far, by the place of their contour among those that bound one

    def hull(self, objects: Sequence[int]) -> Any:
        """The convex area round some objects, strokes included."""
        outlines = self._artwork.outlines.of_objects(list(objects))
        half = max(half_stroke(self._artwork.objects[index]) for index in objects)
        points = outlines.segments.reshape(-1, 2)
        return shapely.convex_hull(shapely.multipoints(points)).buffer(max(half, _FLATNESS), quad_segs=4)

    def in_piece(self, area: Any) -> bool:
        """Whether an area meets what a closed cut contour bounds."""
        near = self._near(self._boxes[self._bounded_by], area, 0.0)
        return bool(shapely.intersects(self._pieces(near), area).any())

    def in_pieces(self, points: Floats) -> Flags:
        """(k,) whether each point lies in what a closed cut contour bounds."""
        inside = np.zeros(len(points), bool)
        if len(points) and len(self._bounding):
            pieces = self._pieces(np.arange(len(self._bounding)))
            regions = pieces[~shapely.is_missing(pieces)]
            shapely.prepare(regions)
            tree = shapely.STRtree(shapely.points(points))
            inside[tree.query(regions, predicate="contains")[1]] = True
        return inside

    def in_box_of_piece(self, points: Floats) -> Flags:
        """(k,) whether each point lies in the box of a cut object."""
        inside = np.zeros(len(points), bool)
        if len(self._cuts):
            tree = shapely.STRtree(shapely.points(points))
            inside[tree.query(shapely.box(*self._boxes[self._cuts].T), predicate="contains")[1]] = True
        return inside

    def free(self, objects: Sequence[int]) -> bool:
        """Whether some objects that belong together stand in no piece, on no ink and beneath nothing that prints."""
        area = self.hull(objects)
        if self.in_piece(area):
            return False
        first, last = min(objects), max(objects)
        inked = False
        for index in self._near(self._boxes, area, _WIDEST).tolist():
            if index in objects or not self._reaches(index, area.bounds) or not self._prints(index):
                continue
            for part, region in self.painted(index):
                if region is None or not shapely.intersects(region, area):
                    continue
                if part.white:
                    if shapely.contains(region, area):
                        if index > last:
                            return False
                        inked = inked and index > first
                elif part.lays:
                    if index > last:
                        return False
                    inked = True
        return not inked

    def painted(self, index: int) -> list[tuple[Part, Any]]:
        """The parts of an object with the regions they cover."""
        if index not in self._parts:
            own = list(parts(index, self._artwork.objects[index]))
            self._parts[index] = list(zip(own, painted_regions(self._artwork, own), strict=True))
        return self._parts[index]

    def _reaches(self, index: int, box: Box) -> bool:
        """Whether the box of an object, its stroke included, meets another."""
        # A mitre may reach farther than the width; what it does there is of no weight.
        half = 2 * half_stroke(self._artwork.objects[index])
        x0, y0, x1, y1 = self._boxes[index].tolist()
        return bool(
            x0 - half <= box[2] and x1 + half >= box[0] and y0 - half <= box[3] and y1 + half >= box[1]
        )

    def _prints(self, index: int) -> bool:
        """Whether an object is drawn as art: what names say is a cut, a mark or information lies where it likes."""
        return self._assignments[index].role is Role.PRINT and self._artwork.prints(
            self._artwork.objects[index]
        )

    @cached_property
    def _cuts(self) -> Integers:
        """Cut objects that are drawn."""
        objects, cut = self._artwork.objects, Role.CUT
        named = [index for index, one in enumerate(self._assignments) if one.role is cut]
        drawn = [index for index in named if objects[index].drawn and objects[index].kind is Kind.PATH]
        cuts = np.array(drawn, np.intp)
        return np.asarray(cuts[np.isfinite(self._boxes[cuts, 0])])

    @cached_property
    def _bounding(self) -> Integers:
        """Contours of the cuts that bound a piece: closed, or as good as closed."""
        outlines = self._artwork.outlines
        closes = outlines.closed | (outlines.gaps <= _CLOSED_WITHIN)
        return np.flatnonzero(closes & np.isin(outlines.object_of_contour, self._cuts))

    @cached_property
    def _bounded_by(self) -> Integers:
        """The cut object of each of them."""
        return np.asarray(self._artwork.outlines.object_of_contour[self._bounding])

    def _pieces(self, rows: Integers) -> NDArray[np.object_]:
        """(k,) what some of the contours bound, each worked out once; None where they cross too often."""
        fresh = [row for row in rows.tolist() if row not in self._made]
        if fresh:
            contours = self._artwork.outlines.of_contours(self._bounding[fresh])
            self._made.update(
                zip(fresh, polygons(contours, ["evenodd"] * len(fresh), _FLATNESS), strict=True)
            )
        found = np.empty(len(rows), dtype=object)
        found[:] = [self._made[row] for row in rows.tolist()]
        return found

    @staticmethod
    def _near(boxes: Floats, area: Any, reach: float) -> Integers:
        x0, y0, x1, y1 = area.bounds
        return np.flatnonzero(
            (boxes[:, 0] <= x1 + reach)
            & (boxes[:, 2] >= x0 - reach)
            & (boxes[:, 1] <= y1 + reach)
            & (boxes[:, 3] >= y0 - reach)
        )
