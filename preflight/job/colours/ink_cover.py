"""How much ink lies on the sheet where things are printed over each other. Knows no limit of its own and no rule.

Shares of ink are followed from the bottom up, after ISO 32000-1, 8.6.7 (overprint) and 11.3 (opacity, Normal blend mode): a paint
that knocks out leaves its own ink alone, one that overprints leaves what it does not name, a see-through one mixes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.artwork import Color, Kind, Note, NoteKind, Object, Paint
from preflight.colour.ink_names import ALL, CMYK
from preflight.geometry.distinct import distinct
from preflight.geometry.effort import Effort
from preflight.geometry.outlines import Integers
from preflight.job.printing.inks import Part, parts
from preflight.job.printing.painted_regions import painted_regions
from preflight.job.printing.printed_parts import part_boxes

if TYPE_CHECKING:
    from preflight.job.colours.image_ink import ImageInk
    from preflight.job.job import Job
    from preflight.job.objects import JobObject

__all__ = ["Heavy", "InkCover"]

Shares = Mapping[str, float]

_MOST_CELLS = 500
"""Areas of one place with ink of their own; more is not worked out."""

_MOST_STEPS = 200_000
"""Areas of a page held against what is painted over them; some seconds. What is left then is not worked out."""

_MOST_PAIRS = 5_000_000
"""Layers that lie over one another by their boxes and are looked at: a second."""

_AT_ONCE = 512
_PAIRS_AT_ONCE = 2_000_000
"""Layers looked at together, and the most pairs these can come to: many over many must not fill the memory."""


class Heavy(msgspec.Struct, frozen=True, eq=False):
    """A connected area under more ink than asked about.

    ``total`` is the most ink in it, % of the area; ``size`` its area, mm²; ``point`` lies where the ink is most; ``items`` are the
    objects that lie over each other there, the topmost first.
    """

    total: float
    size: float
    box: tuple[float, float, float, float]
    point: tuple[float, float]
    items: tuple[JobObject, ...]


class _Layer(msgspec.Struct, frozen=True, eq=False):
    """A part with the ink it lays down, shares 0–1; ``alpha`` how opaque it is.

    ``region`` bounds it where that is less than the whole of its object: the part of an image that is heavy.
    """

    part: Part
    shares: Shares
    alpha: float
    region: Any = None

    @property
    def knocks_out(self) -> bool:
        return self.alpha >= 1.0 and not self.part.overprint

    def over(self, below: Shares) -> Shares:
        """The ink there is where the layer is painted over some."""
        kept = self.part.leaves(frozenset(below)) if self.part.overprint else frozenset()
        laid = dict(self.shares)
        laid.update({name: share for name, share in below.items() if name in kept and name not in laid})
        if self.alpha >= 1.0:
            return laid
        return {
            name: self.alpha * laid.get(name, 0.0) + (1.0 - self.alpha) * below.get(name, 0.0)
            for name in {**laid, **below}
        }


class InkCover:
    """The ink of the art on a page. What has to be left out is noted."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._weights = _weights(job)
        self._unjudged: list[int] = []
        self._unweighed: set[int] = set()
        self._steps = _MOST_STEPS

    @cached_property
    def _images(self) -> ImageInk:
        from preflight.job.colours.image_ink import ImageInk  # only where images are given in inks

        return ImageInk()

    def heavy(self, limit: float, least_size: float) -> tuple[Heavy, ...]:
        """Areas under more than ``limit`` % of ink, of at least ``least_size`` mm², in the order in which they are painted."""
        if not self._weighs():
            return ()
        layers, boxes = self._placed(list(self._layers(limit, least_size)))
        asked = self._asked(layers, boxes, limit)
        if not len(asked):
            return ()
        effort = Effort()
        # What is painted well away from where there might be too much ink need not be made into regions.
        near = distinct(np.concatenate([asked, shapely.STRtree(boxes).query(boxes[asked])[1]]))
        asked = np.searchsorted(near, asked)
        layers = [layers[row] for row in near.tolist()]
        regions = painted_regions(self._job.artwork, [layer.part for layer in layers], effort=effort)
        missing = shapely.is_missing(regions)
        self._unjudged += [layers[row].part.index for row in np.flatnonzero(missing).tolist()]
        regions[missing] = shapely.Polygon()
        for row, layer in enumerate(layers):
            if layer.region is not None:
                regions[row] = shapely.intersection(regions[row], layer.region)
        zones = shapely.get_parts(shapely.union_all(regions[asked]))
        zones = zones[shapely.area(zones) >= least_size]
        tree = shapely.STRtree(regions)
        found: list[Heavy] = []
        for zone in zones.tolist():  # few: places where there might be too much ink
            rows = np.sort(tree.query(zone, predicate="intersects")).tolist()
            found += self._in_zone(
                zone, [(layers[row], regions[row]) for row in rows], limit, least_size, effort
            )
        return tuple(found)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was not judged of all that was asked so far."""
        objects = self._job.artwork.objects
        told = [
            Note(
                NoteKind.NOT_MODELLED,
                "ink of an image",
                "How much ink an image lays down is not known.",
                objects[index].origin,
            )
            for index in sorted(self._unweighed)
        ]
        if self._unjudged:
            message = "Too much lies over one another here for the ink to be added up."
            told.append(
                Note(NoteKind.NOT_MODELLED, "total ink", message, objects[min(self._unjudged)].origin)
            )
        return tuple(told)

    def _weighs(self) -> bool:
        """Whether any art is given in inks: most files have none, and are done with quickly."""
        if self._job.artwork.inks:
            return True
        looks = self._job.looks
        used = distinct(looks.of[self._job.content.printing_indices])
        samples = map(looks.samples.__getitem__, used.tolist())
        return any(self._shares(one.fill) or self._shares(one.stroke.paint) for one in samples)

    def _layers(self, limit: float, least_size: float) -> Iterator[_Layer]:
        """What is painted, in paint order. What lays down inks that are not known still takes away what lies below."""
        for item in self._job.content.printing:
            for part in parts(item.index, item.object):
                alpha = _alpha(part, item.object)
                if item.object.kind is Kind.IMAGE:
                    yield from self._image(item, part, alpha, limit, least_size)
                elif alpha > 0.0:
                    yield _Layer(part, self._shares(part.paint), alpha)

    def _image(
        self, item: JobObject, part: Part, alpha: float, limit: float, least_size: float
    ) -> Iterator[_Layer]:
        """An opaque image takes away what lies below; where its own pixels are heavy it lays them down."""
        drawn, artwork = item.object, self._job.artwork
        opaque = alpha >= 1.0 and item.index not in artwork.alphas and drawn.effect is None
        if opaque:
            yield _Layer(part, {}, 1.0)
        inks = artwork.inks.get(item.index)
        if inks is None:
            # Inks with names, or paint that goes through a stencil.
            if self._total(self._shares(drawn.fill)) > limit:
                self._unweighed.add(item.index)
            return
        heavy = (
            self._images.heavy(inks, drawn.pixel_size, drawn.placed_size, limit, least_size)
            if opaque
            else None
        )
        if heavy is None:
            self._unweighed.add(item.index)
            return
        for one in heavy:
            yield _Layer(part, one.shares, 1.0, one.region)

    def _shares(self, paint: Paint) -> Shares:
        if paint.inks:
            named = {name: tint for name, tint in paint.inks if name != ALL}
            every = max((tint for name, tint in paint.inks if name == ALL), default=0.0)
            return named | dict.fromkeys(CMYK, every) if every > 0.0 else named
        colors = [color for color in (paint.color, *paint.stops) if color is not None]
        known = [_process(color) for color in colors]
        # The heaviest stop stands for a gradient.
        return max((one for one in known if one), key=self._total, default={})

    def _total(self, shares: Shares) -> float:
        """Per cent; a named colour counts as the process inks that stand in for it."""
        return 100.0 * sum(share * self._weights.get(name, 0.0) for name, share in shares.items())

    def _placed(self, layers: Sequence[_Layer]) -> tuple[list[_Layer], NDArray[np.object_]]:
        """The layers of which anything is painted, and a box about each."""
        index = np.array([layer.part.index for layer in layers], np.intp)
        stroke = np.array([layer.part.stroke for layer in layers], bool)
        boxes, there = part_boxes(self._job, index, stroke)
        return [layers[row] for row in np.flatnonzero(there).tolist()], shapely.box(*boxes[there].T)

    def _asked(self, layers: Sequence[_Layer], boxes: NDArray[np.object_], limit: float) -> Integers:
        """Layers under which there may be too much ink: by themselves, or with the most that lies below any whose box they meet."""
        own = np.array([self._total(layer.shares) for layer in layers])
        knocks_out = np.array([layer.knocks_out for layer in layers], bool)
        # The most ink under each layer and those below it; at first as if all lay over one another.
        there = own.copy()
        most = 0.0
        for row, alone in enumerate(knocks_out.tolist()):
            there[row] += 0.0 if alone else most
            most = max(most, there[row])
        mixing = np.flatnonzero(~knocks_out)
        if not len(mixing) or not (there[mixing] > limit).any():
            return np.flatnonzero(there > limit)
        tree = shapely.STRtree(boxes)
        looked = 0
        together = max(1, min(_AT_ONCE, _PAIRS_AT_ONCE // len(layers)))
        for first in range(0, len(mixing), together):
            over, under = tree.query(boxes[mixing[first : first + together]])
            looked += len(over)
            if looked > _MOST_PAIRS:
                break  # what lies below any layer counts for the rest
            below = under < mixing[first + over]
            over, under = over[below], under[below]
            starts = np.searchsorted(over, np.arange(together + 1))
            for place, row in enumerate(mixing[first : first + together].tolist()):
                own_under = under[starts[place] : starts[place + 1]]
                there[row] = own[row] + (there[own_under].max() if len(own_under) else 0.0)
        return np.flatnonzero(there > limit)

    def _in_zone(
        self, zone: Any, laid: Sequence[tuple[_Layer, Any]], limit: float, least_size: float, effort: Effort
    ) -> Iterator[Heavy]:
        cells = self._cells(zone, laid, effort)
        heavy = [
            (total, layers, area) for shares, layers, area in cells if (total := self._total(shares)) > limit
        ]
        if not heavy:
            return
        areas = np.array([area for _, _, area in heavy], dtype=object)
        for whole in shapely.get_parts(shapely.union_all(areas)).tolist():
            size = float(shapely.area(whole))
            if shapely.get_dimensions(whole) < 2 or size < least_size:
                continue
            inside = np.flatnonzero(shapely.area(shapely.intersection(areas, whole)) > 0.0).tolist()
            total, layers, area = heavy[max(inside, key=lambda row: heavy[row][0])]
            x0, y0, x1, y1 = shapely.bounds(whole).tolist()
            spot = shapely.point_on_surface(shapely.intersection(area, whole))
            items = self._job.items
            indices = dict.fromkeys(layer.part.index for layer in reversed(layers))
            yield Heavy(
                total,
                size,
                (x0, y0, x1, y1),
                (float(shapely.get_x(spot)), float(shapely.get_y(spot))),
                tuple(items[index] for index in indices),
            )

    def _cells(
        self, zone: Any, laid: Sequence[tuple[_Layer, Any]], effort: Effort
    ) -> list[tuple[Shares, tuple[_Layer, ...], Any]]:
        """The zone in areas of like ink, each with what is printed there and what it was laid down by."""
        cells: list[tuple[Shares, tuple[_Layer, ...], Any]] = [({}, (), zone)]
        for layer, region in laid:
            self._steps -= len(cells)
            if self._steps < 0:
                self._unjudged.append(layer.part.index)
                return []
            split = []
            for shares, under, area in cells:
                if not effort.allows_joining(area, region):
                    self._unjudged.append(layer.part.index)
                    return []
                inside = shapely.intersection(area, region)
                if shapely.area(inside) <= 0.0:
                    split.append((shares, under, area))
                    continue
                own = (layer,) if layer.knocks_out else (*under, layer)
                split.append((layer.over(shares), own, inside))
                outside = shapely.difference(area, region)
                if shapely.area(outside) > 0.0:
                    split.append((shares, under, outside))
            if len(split) > _MOST_CELLS:
                self._unjudged.append(layer.part.index)
                return []
            cells = split
        return cells


def _weights(job: Job) -> dict[str, float]:
    """How much process ink the whole of each ink is: 1 for those of the press, the stand-in's for named colours."""
    weights = dict.fromkeys(CMYK, 1.0)
    for spot in job.artwork.spots:
        if spot.alternate is not None and spot.name not in weights:
            stand_in = _process(spot.alternate)
            if stand_in:
                weights[spot.name] = sum(stand_in.values())
    return weights


def _process(color: Color) -> Shares:
    """Shares of the process inks of a colour that is given in them; none where it is not."""
    if color.space == "device-cmyk" and len(color.components) == 4:
        return dict(zip(CMYK, color.components, strict=True))
    if color.space == "device-gray" and len(color.components) == 1:
        return {"Black": 1.0 - color.components[0]}
    return {}


def _alpha(part: Part, drawn: Object) -> float:
    own = drawn.stroke.opacity if part.stroke else drawn.fill_opacity
    through = part.paint.color.alpha if part.paint.color is not None else 1.0
    return own * drawn.opacity * through
