"""Where ink stays on the sheet: art in paint order, white taken out. Knows no limit and no rule."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.artwork import Note, NoteKind
from preflight.geometry.distinct import distinct
from preflight.geometry.effort import Effort
from preflight.geometry.layering import grounds, hidden, layered
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.job.printing.painted_regions import Painted, clipped, painted_regions
from preflight.job.printing.printed_parts import FAINT, PrintedParts, printed_parts

if TYPE_CHECKING:
    from preflight.job.job import Job
    from preflight.job.printing.image_regions import ImageRegions

__all__ = ["Printed", "PrintedParts", "Visible"]

FLATNESS = 0.002
"""mm. Regions leave the curves by no more."""

_NOT_MADE = "shape"

_UNRESOLVED = {
    "blend mode": "what a blend mode leaves of the art",
    "filter": "what a filter makes of the art, within a tenth of its size around it",
    "mask": "what a mask leaves of the art",
    "soft mask": "what a soft mask leaves of the art",
    "knock-out group": "what a knock-out group leaves of the art",
    "text": "what lettering covers whose letters are not known",
    "image": "what an image covers that cannot be looked into",
    FAINT: "whether an image prints where it fades out, below half its strength",
    "pattern": "what a pattern leaves blank",
    "gradient": "where a gradient fades to white or to nothing",
    "paint": "what a paint covers that is not known",
    "overprint": "what white set to overprint takes away",
    _NOT_MADE: "what a shape covers whose lines cross too often, or whose dashes or pixels are too many",
}


class Visible(msgspec.Struct, frozen=True, eq=False):
    """What of each zone is printed.

    Attributes
    ----------
    ink : (k,) geometries, mm: art that prints for sure. Lines where nothing but the thinnest line of the device does.
    doubtful : (k,) geometries beside these: may print or not.
    """

    ink: NDArray[np.object_]
    doubtful: NDArray[np.object_]


class Printed:
    """Art that is printed: objects of role print, drawn, on layers that print.

    Ink adds; white that is opaque and does not overprint takes away; what is fully transparent or unpainted leaves nothing.
    """

    def __init__(self, job: Job) -> None:
        self._job = job
        self._doubters: set[int] = set()

    @cached_property
    def parts(self) -> PrintedParts:
        """What leaves ink or takes it away, in paint order."""
        return printed_parts(self._job)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What could not be told of all that was asked so far: one note a kind of cause, at the first object."""
        first: dict[str, int] = {}
        for row in sorted(self._doubters):
            first.setdefault(self.parts.causes[row] or _NOT_MADE, row)
        return tuple(
            Note(
                NoteKind.NOT_MODELLED,
                "printed area",
                f"It is not known {_UNRESOLVED[cause]}; near it, whether art prints is in doubt.",
                self._job.artwork.objects[self.parts.index[row]].origin,
            )
            for cause, row in first.items()
        )

    def around(self, zones: Any) -> Visible:
        """What is printed within some zones.

        Parameters
        ----------
        zones : (k,) shapely polygons, mm.
        """
        zones = np.array(zones, dtype=object).reshape(-1)
        zone, part = self.meeting(zones)
        order = np.lexsort((part, zone))
        zone, part = zone[order], part[order]
        parts = self.parts
        plain = parts.adds & parts.sure & ~parts.erases
        alone = np.array([not groups for groups in parts.groups], bool)
        # Most art lies on a ground of its own: what does, by its box, need not be made into a region.
        ground = grounds(zone, part, np.where(plain & alone, self._box_areas, 0.0))
        self._make(distinct(part[ground[ground >= 0]]))
        matters = ~hidden(part, ground, self._regions, self._boxes, plain & ~self._unknown, parts.erases)
        zone, part = zone[matters], part[matters]
        self._make(distinct(part))
        found = layered(
            zones,
            zone,
            part,
            self._regions,
            parts.adds,
            parts.erases,
            parts.sure & ~self._unknown,
            None if alone.all() else parts.groups,
        )
        self._doubters.update(found.doubters.tolist())
        return Visible(found.covered, found.doubtful)

    def meeting(self, zones: Any) -> tuple[Integers, Integers]:
        """Zones, each beside every part whose box it meets: (m,) of either, by their places."""
        zone, part = self._tree.query(zones, predicate="intersects")
        return zone, part

    def near(self, lines: Any, distance: float) -> tuple[Integers, Integers]:
        """Lines (k,), each beside every part whose box comes within a distance (mm) of the line's own box: (m,) of either, by their
        places.
        """
        reach = shapely.bounds(lines) + np.array([-distance, -distance, distance, distance])
        line, part = self._tree.query(shapely.box(*reach.T))
        return line, part

    def boxes(self, rows: Integers) -> NDArray[np.object_]:
        """(r,) a box about each of some parts, mm."""
        found: NDArray[np.object_] = self._boxes[rows]
        return found

    def regions(self, rows: Integers) -> NDArray[np.object_]:
        """(r,) what some parts cover by themselves, mm; the box of one that cannot be worked out."""
        self._make(rows)
        found: NDArray[np.object_] = self._regions[rows]
        return found

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(self._boxes)

    @cached_property
    def _boxes(self) -> NDArray[np.object_]:
        """(p,) boxes as polygons."""
        boxes: NDArray[np.object_] = shapely.box(*self.parts.boxes.T)
        return boxes

    @cached_property
    def _box_areas(self) -> Floats:
        boxes = self.parts.boxes
        return np.asarray((boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1]))

    @cached_property
    def _regions(self) -> NDArray[np.object_]:
        """(p,) regions made so far, None for the others."""
        return np.full(len(self.parts.index), None, dtype=object)

    @cached_property
    def _unknown(self) -> Flags:
        """(p,) parts whose region could not be worked out."""
        return np.zeros(len(self.parts.index), bool)

    @cached_property
    def _images(self) -> ImageRegions:
        from preflight.job.printing.image_regions import ImageRegions  # needed by no file without images

        return ImageRegions(self._job.artwork)

    def _make(self, rows: Integers) -> None:
        """Make the regions of parts that are not made yet."""
        rows = rows[shapely.is_missing(self._regions[rows])]
        if not len(rows):
            return
        parts, artwork = self.parts, self._job.artwork
        asked = [
            Painted(*pair)
            for pair in zip(parts.index[rows].tolist(), parts.stroke[rows].tolist(), strict=True)
        ]
        effort = Effort()
        made = painted_regions(artwork, asked, flatness=FLATNESS, effort=effort)
        pictures = [at for at, part in enumerate(asked) if part.index in artwork.alphas and not part.stroke]
        if pictures:
            indices = [asked[at].index for at in pictures]
            traced = np.empty(len(pictures), dtype=object)
            traced[:] = [
                self._images.of(index, faint)
                for index, faint in zip(indices, parts.faint[rows[pictures]].tolist(), strict=True)
            ]
            made[pictures] = clipped(artwork, indices, traced, FLATNESS, effort)
        # A filter reaches past what it is applied to, and the stroke of letters lies all over the box that stands for them.
        boxed = [
            artwork.objects[part.index].effect == "filter"
            or (artwork.objects[part.index].boxed and part.stroke)
            for part in asked
        ]
        unknown = shapely.is_missing(made)
        self._unknown[rows[unknown]] = True
        instead = unknown | np.array(boxed, bool)
        made[instead] = shapely.box(*parts.boxes[rows[instead]].T)
        self._regions[rows] = made
