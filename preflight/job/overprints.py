"""What overprint lets through and what knocks out the art beneath. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Object

from .inks import Part, own_inks, parts
from .objects import JobObject
from .painted_regions import painted_regions
from .roles import Role

if TYPE_CHECKING:
    from .job import Job

__all__ = ["Overprints", "Place"]


class Place(msgspec.Struct, frozen=True, eq=False):
    """Where an object lies over ink that it should not let through, or should not take away.

    ``box`` is tight around the place and ``size`` its longer side, mm; ``point`` lies in it. ``beneath`` is the topmost
    object there that prints; ``sure`` is false where only images, shadings, patterns or text lie there, which may leave
    parts of their boxes blank.
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

    @cache  # noqa: B019 -- a Job lives as long as its file is being judged
    def vanishing(self) -> tuple[Place, ...]:
        """White that is set to overprint, and so lets through ink that lies below it."""
        asking = [
            part
            for item in self._printing(_may_vanish, Role.PRINT, Role.MARK)
            for part in parts(item.index, item.object)
            if part.overprint and part.white
        ]
        return tuple(self._places(asking, _beneath_white))

    @cache  # noqa: B019 -- a Job lives as long as its file is being judged
    def knock_outs(self) -> tuple[Place, ...]:
        """Cut lines, marks and varnish in separations of their own that take away the art below them."""
        asking = [
            part
            for item in self._printing(_may_knock_out, Role.CUT, Role.MARK, Role.VARNISH)
            for part in parts(item.index, item.object)
            if not part.overprint and part.opaque and own_inks(part.paint)
        ]
        return tuple(self._places(asking, _taken_away))

    def _printing(self, wanted: Callable[[Object], bool], *roles: Role) -> Iterator[JobObject]:
        """Objects of some roles that reach the paper: drawn, and on layers that print."""
        layers = self._job.artwork.layers
        objects = self._job.artwork.objects
        for index in [index for index, drawn in enumerate(objects) if wanted(drawn)]:
            item = self._job.items[index]
            layer = item.object.layer
            prints = layer is None or layers[layer].printing
            if item.assignment.role in roles and item.object.drawn and prints and item.box is not None:
                yield item

    def _places(self, asking: Sequence[Part], counts: Callable[[Part, Part], bool]) -> Iterator[Place]:
        """Where each object lies over ink that counts, one place an object."""
        if not asking:
            return
        below = [
            part
            for item in self._printing(lambda _: True, Role.PRINT, Role.MARK, Role.WHITE)
            for part in parts(item.index, item.object)
            if part.lays or part.opaque
        ]
        if not below:
            return
        over, under = self._pairs(asking, below)
        pieces = self._pieces([asking[one] for one in over], [below[one] for one in under], counts)
        by_item: dict[int, list[tuple[Part, Any]]] = {}
        for one, other, piece in zip(over, under, pieces, strict=True):
            if not shapely.is_empty(piece):
                by_item.setdefault(asking[one].index, []).append((below[other], piece))
        for index, found in sorted(by_item.items()):
            yield self._place(index, found)

    def _pairs(self, asking: Sequence[Part], below: Sequence[Part]) -> tuple[list[int], list[int]]:
        """Pairs of an asking part and one painted before it whose boxes meet, in order."""
        own, others = self._boxes(asking), self._boxes(below)
        over, under = shapely.STRtree(others).query(own, predicate="intersects")
        before = (
            np.array([part.index for part in below])[under] < np.array([part.index for part in asking])[over]
        )
        over, under = over[before], under[before]
        order = np.lexsort((under, over))
        return over[order].tolist(), under[order].tolist()

    def _boxes(self, chosen: Sequence[Part]) -> Any:
        boxes = np.array([self._job.items[part.index].box for part in chosen])
        half = np.array(
            [self._job.items[part.index].object.stroke.width / 2 if part.stroke else 0.0 for part in chosen]
        )
        return shapely.box(*(boxes + half[:, None] * (-1, -1, 1, 1)).T)

    def _pieces(
        self, over: Sequence[Part], under: Sequence[Part], counts: Callable[[Part, Part], bool]
    ) -> Any:
        """(k,) what of each pair's lower part shows just before the upper one is painted; empty where it does not count."""
        regions = self._regions((*over, *under))
        wanted = np.array([counts(one, other) for one, other in zip(over, under, strict=True)], bool)
        pieces = np.full(len(over), shapely.Polygon(), dtype=object)
        upper = np.array([regions[id(part)] for part in over], dtype=object)
        lower = np.array([regions[id(part)] for part in under], dtype=object)
        shapely.prepare(lower)
        wanted[wanted] = shapely.intersects(lower[wanted], upper[wanted])
        pieces[wanted] = shapely.intersection(upper[wanted], lower[wanted])
        # What merely touches an area has no area in common with it.
        flat = shapely.get_dimensions(pieces) < shapely.get_dimensions(upper)
        pieces[flat] = shapely.Polygon()
        covers = [
            row for row, part in enumerate(under) if part.opaque and part.sure and not counts(over[row], part)
        ]
        for cover in covers:
            # Later rows of the same upper part lie above: what covers takes away only what was painted before it.
            for row in range(cover - 1, -1, -1):
                if over[row] is not over[cover]:
                    break
                if not under[cover].leaves(under[row].lays) and not shapely.is_empty(pieces[row]):
                    pieces[row] = shapely.difference(pieces[row], lower[cover])
        return pieces

    def _regions(self, chosen: Sequence[Part]) -> dict[int, Any]:
        distinct = list({id(part): part for part in chosen}.values())
        cuts = {item.index for item in self._job.of_role(Role.CUT)}
        found = painted_regions(self._job.artwork, distinct, as_lines=cuts)
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


def _may_vanish(drawn: Object) -> bool:
    return drawn.overprint or drawn.stroke.overprint


def _may_knock_out(drawn: Object) -> bool:
    stroke = drawn.stroke
    return bool(drawn.fill.inks and not drawn.overprint) or bool(stroke.paint.inks and not stroke.overprint)


def _beneath_white(white: Part, below: Part) -> bool:
    """Whether ink below an overprinting white prints on through it."""
    return bool(white.leaves(below.lays))


def _taken_away(upper: Part, below: Part) -> bool:
    """Whether ink below is taken away by what knocks it out: ink of the same separation is only painted anew."""
    return bool(below.lays - upper.lays)
