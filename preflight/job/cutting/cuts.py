"""The cut contours of a job and what is computed from them once for all rules. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import compress, pairwise
from typing import Any, overload

import msgspec
import numpy as np
import shapely

from preflight.artwork import Artwork, Box, Kind, Note, NoteKind
from preflight.geometry.closings import with_ends_together
from preflight.geometry.coincidence import Duplicates, duplicates
from preflight.geometry.crossings import Crossings, self_crossings
from preflight.geometry.extents import contour_boxes, object_boxes
from preflight.geometry.flatten import Polylines, chain_sizes, flatten
from preflight.geometry.measure import segment_lengths
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.rings import polygons
from preflight.geometry.strands import Strands
from preflight.job.objects import JobObject, Reference
from preflight.job.remembered import remembered

__all__ = ["FLATNESS", "CutContour", "Cuts"]

ENDS_MEET = 0.01
"""mm. Ends this close are one: finer than any cutter's step, as contour-open has it by default."""

FLATNESS = 0.005
"""mm. Regions are judged on curves flattened this finely: a tenth of the closest tolerance any rule asks for."""

_TOO_LARGE = "A cut contour has a curve so large that it cannot be followed exactly: what lies on it, along it or inside it is not sure."
_TOO_TANGLED = (
    "A cut crosses itself so often that what it bounds cannot be worked out: its convex hull stands in when it is judged what "
    "lies inside it and how many pieces it makes."
)

_MEETS_ITSELF = (
    "A cut contour crosses itself, or comes back beside itself, so often that only some of the places were looked for; whether it "
    "crosses other contours, runs along them or along itself was not checked."
)
_MEETS_OTHERS = "A cut contour comes near others, or back beside itself, so often that not all of it was checked for crossings and shared runs."
_UNFOLLOWED = "The cuts have so many large curves that this one was not followed to see where it runs along others or back beside itself."
_COPIES = "A cut contour lies near others along so much of its length that it was not checked whether it is a copy of one."
_CROWDED = "So many cuts come near each other that the film between this one and those drawn after it was not measured."


class CutContour(msgspec.Struct, frozen=True):
    """One cut contour. ``index`` counts the contours of `Cuts.outlines`; lengths in mm.

    ``closed`` says the file closed it, ``gap`` how far apart its two ends stand, ``ends`` (2, 2) where.
    """

    index: int
    step: str
    item: JobObject
    box: Box | None
    closed: bool
    gap: float
    segments: int
    ends: tuple[tuple[float, float], tuple[float, float]]

    @property
    def reference(self) -> Reference:
        """Where its object stands in the file."""
        return self.item.reference

    @property
    def bounds(self) -> Box:
        """Its box, or the point it consists of."""
        start = self.ends[0]
        return self.box or (*start, *start)

    @property
    def middle(self) -> tuple[float, float]:
        """Middle of its box."""
        x0, y0, x1, y1 = self.bounds
        return (x0 + x1) / 2, (y0 + y1) / 2


class Cuts:
    """Drawn cut contours, all steps together, in paint order.

    Objects that are hidden, clipped away, unpainted or no paths are not contours; they are in ``hidden`` and
    ``not_paths``.
    """

    def __init__(self, artwork: Artwork, cut: Sequence[JobObject]) -> None:
        self.not_paths = tuple(item for item in cut if item.object.kind is not Kind.PATH)
        paths = [item for item in cut if item.object.kind is Kind.PATH]
        shown = [_shows(item) for item in paths]
        self.hidden = tuple(item for item, shows in zip(paths, shown, strict=True) if not shows)
        self.items = tuple(compress(paths, shown))
        """Cut objects whose contours are judged."""
        self.outlines: Outlines = artwork.outlines.of_objects([item.index for item in self.items])
        self._artwork = artwork
        self._unsure: set[int] = set()
        self._tangled: set[int] = set()
        self._stopped: set[int] = set()
        self._unfollowed: set[int] = set()
        self._crowded: set[int] = set()
        self._unlike: set[int] = set()
        self._unlisted: tuple[int, int] | None = None

    @cached_property
    def boxes(self) -> Floats:
        """(c, 4) exact extents of the contours, mm."""
        return contour_boxes(self.outlines)

    @cached_property
    def contours(self) -> Sequence[CutContour]:
        """Every contour, in the order of `outlines`; each is made when it is looked at."""
        return _Contours(self)

    @cached_property
    def drawn_ends(self) -> Floats:
        """(c, 2) where each contour's pen stopped before a closing line was added."""
        outlines = self.outlines
        ends = outlines.ends
        closing = outlines.closed & (outlines.gaps > 0) & (outlines.segment_counts > 0)
        ends[closing] = outlines.segments[outlines.contour_offsets[1:][closing] - 1, 0]
        return ends

    @cached_property
    def steps(self) -> tuple[str, ...]:
        """Step of each contour."""
        of_item = [item.assignment.step or "" for item in self.items]
        return tuple([of_item[owner] for owner in self.outlines.object_of_contour.tolist()])

    @cached_property
    def strands(self) -> Strands:
        """The contours as chains with their search tree, which all questions about where they lie share."""
        return Strands.of(with_ends_together(self.outlines, ENDS_MEET))

    @cached_property
    def segment_lengths(self) -> Floats:
        """(n,) arc length of each segment, mm."""
        return segment_lengths(self.outlines)

    @cached_property
    def lengths(self) -> Floats:
        """(c,) arc length of each contour, mm."""
        outlines = self.outlines
        lengths: Floats = np.zeros(outlines.contour_count)
        lengths += np.bincount(outlines.contour_of_segment, self.segment_lengths, len(lengths))
        return lengths

    def flattened(self, contours: Integers) -> Polylines:
        """Some of the contours as chains of points, within `FLATNESS`."""
        chains = flatten(self.outlines.of_contours(contours), FLATNESS)
        self.mark_unsure(contours[chains.inexact_contours])
        return chains

    def chain_sizes(self, contours: Integers) -> Integers:
        """(k,) points of the chains of some contours, as of `flattened`, without making them."""
        sizes, inexact = chain_sizes(self.outlines.of_contours(contours), FLATNESS)
        own = np.repeat(contours, self.outlines.segment_counts[contours])
        self.mark_unsure(own[inexact])
        return sizes

    def lines(self, contours: Integers) -> Any:
        """(k,) shapely lines: some of the contours, each of one segment at least, within `FLATNESS`."""
        chains = self.flattened(contours)
        return shapely.linestrings(
            chains.points, indices=np.repeat(np.arange(len(contours)), np.diff(chains.offsets))
        )

    def mark_unsure(self, contours: Integers) -> None:
        """Remember contours too large to be judged as exactly as the rest."""
        self._unsure.update(contours.tolist())

    def mark_stopped(self, stopped: Flags) -> None:
        """Remember contours (c,) that meet each other too often for all of it to be looked at."""
        self._stopped.update(np.flatnonzero(stopped).tolist())

    def mark_unfollowed(self, contours: Integers) -> None:
        """Remember contours that were not followed to see where they run along others."""
        self._unfollowed.update(contours.tolist())

    def mark_crowded(self, contours: Integers) -> None:
        """Remember contours whose distance from those after them was not measured."""
        self._crowded.update(contours.tolist())

    def mark_unlisted(self, contour: int, pairs: int) -> None:
        """Remember how many pairs of contours are too near each other beyond those listed, and one of their contours."""
        self._unlisted = (contour, pairs)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What could not be judged exactly of all that was asked so far, one note an object for each cause."""
        owners = self.outlines.object_of_contour[sorted(self._unsure)]
        large = dict.fromkeys(owners.tolist())
        itself: set[int] = set()
        if "self_crossings" in self.__dict__:
            itself.update(self.outlines.object_of_contour[self.self_crossings.stopped].tolist())
        others = set(self._owners_of(self._stopped)) - itself
        return (
            *(self._note(owner, "size of a curve", _TOO_LARGE) for owner in large),
            *(self._note(owner, "region of a cut", _TOO_TANGLED) for owner in sorted(self._tangled)),
            *(self._note(owner, "crossings of a cut", _MEETS_ITSELF) for owner in sorted(itself)),
            *(self._note(owner, "crossings of a cut", _MEETS_OTHERS) for owner in sorted(others)),
            *(self._note(owner, "runs of a cut", _UNFOLLOWED) for owner in self._owners_of(self._unfollowed)),
            *(self._note(owner, "copies of a cut", _COPIES) for owner in self._owners_of(self._unlike)),
            *(self._note(owner, "cut spacing", _CROWDED) for owner in self._owners_of(self._crowded)),
            *self._unlisted_notes(),
        )

    def _owners_of(self, contours: set[int]) -> list[int]:
        return sorted(set(self.outlines.object_of_contour[sorted(contours)].tolist()))

    def _unlisted_notes(self) -> Iterator[Note]:
        if self._unlisted is not None:
            contour, pairs = self._unlisted
            message = (
                f"{pairs:,} further pairs of cuts are too near each other; those that are nearest are listed."
            )
            yield self._note(int(self.outlines.object_of_contour[contour]), "cut spacing", message)

    def _note(self, owner: int, what: str, message: str) -> Note:
        return Note(NoteKind.NOT_MODELLED, what, message, self.items[owner].object.origin)

    def cut_short(self, item: JobObject) -> bool:
        """Whether a clip hides part of the object: its box reaches past the box of one of the clip's outlines."""
        if item.object.clip is None or item.box is None:
            return False
        x0, y0, x1, y1 = item.box
        boxes = object_boxes(self._artwork.clips[item.object.clip])
        past = (boxes[:, :2] > (x0 + FLATNESS, y0 + FLATNESS)) | (
            boxes[:, 2:] < (x1 - FLATNESS, y1 - FLATNESS)
        )
        return bool(past.any())

    def of_step(self, *steps: str) -> Integers:
        """Indices of the contours of some steps."""
        return np.array([index for index, step in enumerate(self.steps) if step in steps], np.intp)

    def closes(self, closed_within: float) -> Flags:
        """(c,) whether each contour is closed by the file, or its ends lie within the distance."""
        return (self.outlines.closed | (self.outlines.gaps <= closed_within)) & (
            self.outlines.segment_counts > 0
        )

    def open(self, closed_within: float) -> list[CutContour]:
        """Contours with at least one segment whose ends stand farther apart than the distance."""
        open_ = ~self.closes(closed_within) & (self.outlines.segment_counts > 0)
        return [self.contours[index] for index in np.flatnonzero(open_).tolist()]

    def regions(self, contours: Integers) -> Any:
        """(k,) shapely polygons: what each of the contours by itself bounds, empty for those of no area.

        What crosses itself too often to be worked out is taken for its convex hull, here and below, and noted.
        """
        single = self.outlines.of_contours(contours)
        chains = self.flattened(contours)
        owners = self.outlines.object_of_contour[contours]
        return self._known(polygons(single, ["evenodd"] * len(contours), FLATNESS, chains), owners, single)

    def regions_of_objects(self, objects: Integers) -> Any:
        """(k,) shapely polygons: what the sub-paths of some objects bound together by their fill rule, holes out."""
        rules = [self.items[index].object.fill_rule for index in objects.tolist()]
        outlines = self.outlines.of_objects(objects.tolist())
        return self._known(polygons(outlines, rules, FLATNESS), objects, outlines)

    def _known(self, regions: Any, owners: Integers, outlines: Outlines) -> Any:
        """The regions, the convex hull in place of each that could not be worked out."""
        for row in np.flatnonzero(shapely.is_missing(regions)).tolist():
            self._tangled.add(int(owners[row]))
            points = flatten(outlines.of_objects([row]), FLATNESS).points
            regions[row] = shapely.convex_hull(shapely.multipoints(points[np.isfinite(points).all(axis=1)]))
        return regions

    @remembered
    def duplicates(self, within: float) -> Duplicates:
        """Pairs of contours lying on each other; see `preflight.geometry.coincidence.duplicates`."""
        found = duplicates(self.outlines, within, boxes=self.boxes)
        self.mark_unsure(found.unsure)
        self._unlike.update(found.unmeasured.tolist())
        return found

    @cached_property
    def self_crossings(self) -> Crossings:
        """Where contours cross or touch themselves."""
        return self_crossings(self.strands)

    def pieces(self, within: float) -> dict[str, int]:
        """Number of pieces each step cuts free: parts of its regions, coincident copies counted once."""
        repeated = set(self.duplicates(within).second.tolist())
        closes = self.closes(within)
        counts = dict.fromkeys(dict.fromkeys(self.steps), 0)
        offsets = self.outlines.object_offsets.tolist()
        for owner, (first, last) in enumerate(pairwise(offsets)):
            kept = [index for index in range(first, last) if closes[index] and index not in repeated]
            if kept:
                counts[self.steps[first]] += 1 if len(kept) == 1 else self._parts(owner, kept)
        return counts

    def _parts(self, owner: int, contours: list[int]) -> int:
        whole = msgspec.structs.replace(
            self.outlines.of_contours(np.array(contours, np.intp)),
            object_offsets=np.array([0, len(contours)], np.intp),
        )
        chains = self.flattened(np.array(contours, np.intp))
        regions = polygons(whole, [self.items[owner].object.fill_rule], FLATNESS, chains)
        region = self._known(regions, np.array([owner]), whole)[0]
        # Parts that share an edge are one, whatever the last digits of that edge.
        region = shapely.buffer(region, FLATNESS, quad_segs=1)
        return int(shapely.get_num_geometries(region)) if not region.is_empty else 0


class _Contours(Sequence[CutContour]):
    """The contours one by one. A sheet in order never makes any: only what is found or walked over is."""

    def __init__(self, cuts: Cuts) -> None:
        self._cuts = cuts
        self._made: dict[int, CutContour] = {}

    def __len__(self) -> int:
        return self._cuts.outlines.contour_count

    @overload
    def __getitem__(self, index: int) -> CutContour: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[CutContour]: ...
    def __getitem__(self, index: int | slice) -> CutContour | Sequence[CutContour]:
        if isinstance(index, slice):
            return [self[number] for number in range(*index.indices(len(self)))]
        number = index + len(self) if index < 0 else index
        if not 0 <= number < len(self):
            raise IndexError(f"contour {index} of {len(self)}")
        if number not in self._made:
            self._made[number] = self._contour(number)
        return self._made[number]

    def _contour(self, index: int) -> CutContour:
        cuts, outlines = self._cuts, self._cuts.outlines
        item = cuts.items[int(self._owners[index])]
        box = cuts.boxes[index].tolist()
        start, end = outlines.starts[index].tolist(), cuts.drawn_ends[index].tolist()
        return CutContour(
            index,
            cuts.steps[index],
            item,
            None if box[0] != box[0] else (box[0], box[1], box[2], box[3]),
            bool(outlines.closed[index]),
            float(outlines.gaps[index]),
            int(outlines.contour_offsets[index + 1] - outlines.contour_offsets[index]),
            ((start[0], start[1]), (end[0], end[1])),
        )

    @cached_property
    def _owners(self) -> Integers:
        return self._cuts.outlines.object_of_contour


def _shows(item: JobObject) -> bool:
    drawn = item.object
    return drawn.drawn and (drawn.fill.paints or drawn.stroke.paint.paints)
