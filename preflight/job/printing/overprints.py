"""What overprint lets through and what knocks out the art beneath. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Note, NoteKind, Object
from preflight.geometry.effort import Effort
from preflight.geometry.outlines import Flags
from preflight.job.objects import JobObject
from preflight.job.printing.inks import Part, own_inks, parts
from preflight.job.remembered import remembered
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["WORK", "Overprints", "Place"]

WORK = 2_000_000
"""Segments that are compared at most, in the order of the page: some seconds. A sheet of 5,000 stickers takes a tenth."""

_AT_ONCE = 512
_PAIRS_AT_ONCE = 2_000_000
"""Objects looked at together, and the most pairs these can come to: many over many must not fill the memory."""


_MANY = 10_000
"""Products of the points of two regions: below it they cannot cross so often that it has to be counted."""


class Place(msgspec.Struct, frozen=True, eq=False):
    """Where an object lies over ink that it should not let through, or should not take away.

    ``box`` is tight around the place and ``size`` its longer side, mm; ``point`` lies in it. ``beneath`` is the topmost
    object there that prints; ``sure`` is false where only images, shadings, patterns or text of unknown letters lie there, which
    may leave parts of their boxes blank.
    """

    item: JobObject
    box: Box
    size: float
    point: tuple[float, float]
    beneath: JobObject
    sure: bool


class Overprints:
    """Views of the order in which inks are laid down. Formats without overprint and separations have nothing here."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._unjudged: list[int] = []

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was not judged of all that was asked so far."""
        if not self._unjudged:
            return ()
        count = len(set(self._unjudged))
        told = f"{count:,} objects lie" if count > 1 else "An object lies"
        message = f"{told} over more than can be looked at, and whether overprint is lost there is not known."
        origin = self._job.artwork.objects[self._unjudged[0]].origin
        return (Note(NoteKind.NOT_MODELLED, "overprint", message, origin),)

    @remembered
    def vanishing(self) -> tuple[Place, ...]:
        """White that is set to overprint, and so lets through ink that lies below it."""
        asking = [
            part
            for item in self._printing(self._job.notable.overprinting, Role.PRINT, Role.MARK)
            for part in parts(item.index, item.object)
            if part.overprint and part.white
        ]
        return tuple(self._places(asking, _beneath_white))

    @remembered
    def knock_outs(self) -> tuple[Place, ...]:
        """Cut lines, marks and varnish in separations of their own that take away the art below them."""
        asking = [
            part
            for item in self._printing(self._knocking_out, Role.CUT, Role.MARK, Role.VARNISH)
            for part in parts(item.index, item.object)
            if not part.overprint and part.opaque and own_inks(part.paint)
        ]
        return tuple(self._places(asking, _taken_away))

    @property
    def _knocking_out(self) -> Iterator[int]:
        """Objects that are painted with separations and not set to overprint, in fill or stroke."""
        objects = self._job.artwork.objects
        return (index for index in self._job.notable.inked if _may_knock_out(objects[index]))

    def _printing(self, indices: Iterable[int], *roles: Role) -> Iterator[JobObject]:
        """Those of some objects that are of some roles and reach the paper: drawn, and on layers that print."""
        artwork = self._job.artwork
        for index in indices:
            item = self._job.items[index]
            if item.assignment.role in roles and item.box is not None and artwork.prints(item.object):
                yield item

    def _places(self, asking: Sequence[Part], counts: Callable[[Part, Part], bool]) -> Iterator[Place]:
        """Where each object lies over ink that counts, one place an object."""
        if not asking:
            return
        below = [
            part
            for item in self._printing(range(len(self._job.items)), Role.PRINT, Role.MARK, Role.WHITE)
            for part in parts(item.index, item.object)
            if part.lays or part.opaque
        ]
        if not below:
            return
        by_item: dict[int, list[tuple[Part, Any]]] = {}
        effort = Effort()
        for over, under in self._pairs(asking, below, counts):
            pieces = self._pieces(over, under, counts, effort)
            for one, other, piece in zip(over, under, pieces, strict=True):
                if piece is None:
                    self._unjudged.append(one.index)
                elif not shapely.is_empty(piece):
                    by_item.setdefault(one.index, []).append((other, piece))
        for index, found in sorted(by_item.items()):
            yield self._place(index, found)

    def _pairs(
        self, asking: Sequence[Part], below: Sequence[Part], counts: Callable[[Part, Part], bool]
    ) -> Iterator[tuple[list[Part], list[Part]]]:
        """Asking parts, each beside every part painted before it whose box it meets and that matters; some at a time.

        Comes to an end when the work is used up; what is left is remembered.
        """
        own, tree = self._boxes(asking), shapely.STRtree(self._boxes(below))
        segments = np.diff(
            self._job.artwork.outlines.contour_offsets[self._job.artwork.outlines.object_offsets]
        )
        of_asking = np.array([part.index for part in asking])
        of_below = np.array([part.index for part in below])
        left = WORK
        together = max(1, min(_AT_ONCE, _PAIRS_AT_ONCE // len(below)))
        for first in range(0, len(asking), together):
            over, under = tree.query(own[first : first + together], predicate="intersects")
            over = over + first
            before = of_below[under] < of_asking[over]
            over, under = over[before], under[before]
            left -= int((segments[of_asking[over]] + segments[of_below[under]] + 1).sum())
            if left < 0:
                self._unjudged += [part.index for part in asking[first:]]
                return
            order = np.lexsort((under, over))
            pairs = zip(over[order].tolist(), under[order].tolist(), strict=True)
            kept = [
                (asking[one], below[other])
                for one, other in pairs
                if _covers(below[other]) or counts(asking[one], below[other])
            ]
            yield [one for one, _ in kept], [other for _, other in kept]

    def _boxes(self, chosen: Sequence[Part]) -> Any:
        boxes = np.array([self._job.items[part.index].box for part in chosen])
        half = np.array(
            [self._job.items[part.index].object.stroke.width / 2 if part.stroke else 0.0 for part in chosen]
        )
        return shapely.box(*(boxes + half[:, None] * (-1, -1, 1, 1)).T)

    def _pieces(
        self,
        over: Sequence[Part],
        under: Sequence[Part],
        counts: Callable[[Part, Part], bool],
        effort: Effort,
    ) -> Any:
        """(k,) what of each pair's lower part shows just before the upper one is painted.

        Empty where it does not count, None where it crosses too often to be worked out.
        """
        if not over:
            return np.empty(0, object)
        regions = self._regions((*over, *under), effort)
        wanted = np.array([counts(one, other) for one, other in zip(over, under, strict=True)], bool)
        pieces = np.full(len(over), shapely.Polygon(), dtype=object)
        upper = np.array([regions[id(part)] for part in over], dtype=object)
        lower = np.array([regions[id(part)] for part in under], dtype=object)
        shapely.prepare(lower)
        unknown = np.flatnonzero(wanted)
        unknown = unknown[~_joinable(upper[unknown], lower[unknown], effort)]
        pieces[unknown] = None
        wanted[unknown] = False
        wanted[wanted] = shapely.intersects(lower[wanted], upper[wanted])
        pieces[wanted] = shapely.intersection(upper[wanted], lower[wanted])
        # What merely touches an area has no area in common with it.
        flat = wanted & (shapely.get_dimensions(pieces) < shapely.get_dimensions(upper))
        pieces[flat] = shapely.Polygon()
        # From the topmost down: what covers takes away only what was painted before it.
        covered: Any = None
        for row in range(len(over) - 1, -1, -1):
            if row + 1 == len(over) or over[row] is not over[row + 1]:
                covered = None
            if not wanted[row] and _covers(under[row]) and not counts(over[row], under[row]):
                # What cannot be worked out takes nothing away: more is told then, not less.
                if covered is None:
                    covered = lower[row]
                elif lower[row] is not None and effort.allows_joining(covered, lower[row]):
                    covered = shapely.union(covered, lower[row])
            elif covered is not None and pieces[row] is not None and not shapely.is_empty(pieces[row]):
                known = effort.allows_joining(pieces[row], covered)
                pieces[row] = shapely.difference(pieces[row], covered) if known else None
        return pieces

    def _regions(self, chosen: Sequence[Part], effort: Effort) -> dict[int, Any]:
        from preflight.job.printing.painted_regions import painted_regions  # only where something overprints

        distinct = list({id(part): part for part in chosen}.values())
        cuts = {item.index for item in self._job.of_role(Role.CUT)}
        found = painted_regions(self._job.artwork, distinct, as_lines=cuts, effort=effort)
        unknown = shapely.is_missing(found)
        self._unjudged += [distinct[row].index for row in np.flatnonzero(unknown).tolist()]
        found[unknown] = shapely.Polygon()
        return {id(part): region for part, region in zip(distinct, found, strict=True)}

    def _place(self, index: int, found: list[tuple[Part, Any]]) -> Place:
        pieces = np.array([piece for _, piece in found], dtype=object)
        bounds = shapely.bounds(pieces)
        box = [*bounds[:, :2].min(axis=0).tolist(), *bounds[:, 2:].max(axis=0).tolist()]
        largest = pieces[int(np.argmax(shapely.area(pieces) + shapely.length(pieces)))]
        point = shapely.get_coordinates(shapely.point_on_surface(largest))[0].tolist()
        items = self._job.items
        return Place(
            items[index],
            (box[0], box[1], box[2], box[3]),
            max(box[2] - box[0], box[3] - box[1]),
            (point[0], point[1]),
            items[max(part.index for part, _ in found)],
            any(part.sure for part, _ in found),
        )


def _joinable(upper: Any, lower: Any, effort: Effort) -> Flags:
    """(k,) whether what both of a pair have in common can be worked out."""
    known: Flags = ~(shapely.is_missing(upper) | shapely.is_missing(lower))
    count = shapely.get_num_coordinates(upper) * shapely.get_num_coordinates(lower)
    for row in np.flatnonzero(
        known & (count > _MANY)
    ).tolist():  # few: most pieces are drawn with a few points
        known[row] = effort.allows_joining(upper[row], lower[row])
    return known


def _covers(part: Part) -> bool:
    """Whether a part takes away all that was painted below it, for sure."""
    return part.opaque and part.sure and not part.overprint


def _may_knock_out(drawn: Object) -> bool:
    stroke = drawn.stroke
    return bool(drawn.fill.inks and not drawn.overprint) or bool(stroke.paint.inks and not stroke.overprint)


def _beneath_white(white: Part, below: Part) -> bool:
    """Whether ink below an overprinting white prints on through it."""
    return bool(white.leaves(below.lays))


def _taken_away(upper: Part, below: Part) -> bool:
    """Whether ink below is taken away by what knocks it out: ink of the same separation is only painted anew."""
    return bool(below.lays - upper.lays)
