"""Objects that will print and look as if they were meant to be cut. Knows no limit and no rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import shapely

from preflight.artwork import Kind, Object
from preflight.colour.ink_names import ALL, PROCESS
from preflight.geometry.outlines import Flags
from preflight.job.naming.screen_colours import ColorKey, color_key, hex_of
from preflight.job.objects import JobObject
from preflight.job.printing.inks import colour_words, laid, leaves_trace, own_inks, printed_inks
from preflight.job.remembered import remembered
from preflight.job.roles import Role, Route

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Inked", "Suspect", "Suspects", "Twin"]

LEAST_CHROMA = 64
"""Steps of 1/255 between the strongest and the weakest of red, green and blue."""


class Suspect(msgspec.Struct, frozen=True):
    """A thin unfilled contour round art, and what sets it apart: its own layer, spot or colour (#rrggbb)."""

    item: JobObject
    layer: str | None
    spot: str | None
    stroke: str | None


class Twin(msgspec.Struct, frozen=True):
    """An object in the colour of a cut step; ``like`` is a cut object that carries that colour.

    ``shown`` tells whether ``like`` is drawn, so that it can be a model: one that is hidden is taken only where none is shown.
    """

    item: JobObject
    like: JobObject
    color: str
    shown: bool


class Inked(msgspec.Struct, frozen=True):
    """A cut object that will print.

    ``color`` is the plain colour it is painted in, or None; ``like`` another object of its step in a named colour, or None
    where only other things of the page have separations; ``plates`` the process inks, or ``All``, of its separations.
    """

    item: JobObject
    color: str | None
    like: JobObject | None = None
    plates: tuple[str, ...] = ()


class Suspects:
    """Views of printing objects that may be cut lines nobody named."""

    def __init__(self, job: Job) -> None:
        self._job = job

    @cached_property
    def reported_elsewhere(self) -> bool:
        """Whether step-misspelt or step-unnamed, where in force, report what is probably the missing cut."""
        unnamed = self._job.in_force.get("step-unnamed")
        return bool(self._misspelt) or (
            unnamed is not None and bool(self.unnamed(unnamed.thin, unnamed.closed_within))
        )

    @cached_property
    def _misspelt(self) -> frozenset[int]:
        """Objects that step-misspelt reports; none where it is not in force."""
        asked = self._job.in_force.get("step-misspelt")
        slips = () if asked is None else self._job.unknown_names.slips(asked.least_letters)
        return frozenset(item.index for slip in slips for item in slip.items)

    @cached_property
    def _twins_reported(self) -> frozenset[int]:
        """Objects that step-printed reports as twins of a cut; none where it is not in force."""
        asked = self._job.in_force.get("step-printed")
        twins = [] if asked is None else self.twins(asked.thin, asked.closed_within)
        return frozenset(twin.item.index for twin in twins)

    @cached_property
    def reported(self) -> frozenset[int]:
        """Objects that step-misspelt, step-printed or step-unnamed report, where in force: not meant to be printed."""
        asked = self._job.in_force.get("step-unnamed")
        suspects = [] if asked is None else self.unnamed(asked.thin, asked.closed_within)
        return self._misspelt | self._twins_reported | {suspect.item.index for suspect in suspects}

    @remembered
    def thin(self, widest: float) -> list[JobObject]:
        """Shown stroked paths without fill, no wider than the width (mm), on layers that print and on others."""
        thin = self._job.looks.flags(lambda drawn: _is_thin_line(drawn, widest) and _shows(drawn))
        lines = self._job.items_at(np.flatnonzero(thin & self._job.in_role(Role.PRINT)))
        return [item for item in lines if item.box is not None]

    def twins(self, widest: float, closed_within: float) -> list[Twin]:
        """Thin closed contours that will print in exactly the colour of a cut, which no art is painted with."""
        thin = self.thin(widest)
        if not thin:
            return []
        thin = [item for item in thin if self._job.artwork.prints(item.object)]
        art = {item.index for item in self._printing} - {item.index for item in thin}
        painted = {key for item in self._printing if item.index in art for key in _colors(item)}
        shown = {item.index for item in self._job.cuts.items}
        found = []
        for item in thin:
            key = color_key(item.object.stroke.paint.color)
            color = item.object.stroke.paint.color
            if color is None or key is None or key in painted or item.index in self._misspelt:
                continue
            like = self._cut_colors.get(key)
            if like is not None and _same_numbers(item, like) and self._closes(item, closed_within):
                found.append(Twin(item, like, colour_words(color), like.index in shown))
        return found

    def inked(self) -> list[Inked]:
        """Cut objects that put ink on the sheet.

        In a plain colour although others of their step carry a named one, or, known by metadata or layer, although the page
        has separations; and in separations that print on the plates of the process inks, or on every plate. What lies on a
        layer that does not print puts no ink anywhere.
        """
        cuts = [
            item
            for item in self._job.cuts.items
            if item.object.stroke.paint.paints and self._job.artwork.prints(item.object)
        ]
        named: dict[str | None, JobObject] = {}
        for item in cuts:
            if item.object.stroke.paint.spot is not None:
                named.setdefault(item.assignment.step, item)
        return [found for item in cuts if (found := self._inked(item, named)) is not None]

    def _inked(self, item: JobObject, named: dict[str | None, JobObject]) -> Inked | None:
        paint = item.object.stroke.paint
        plates = printed_inks(paint)
        if plates and (ALL in plates or not PROCESS.issuperset(laid(paint))):
            return Inked(item, None, plates=plates)
        if paint.spot is not None or paint.color is None:
            return None
        like = named.get(item.assignment.step)
        by_layer = item.assignment.route in (Route.METADATA, Route.LAYER)
        if like is None and not (by_layer and self._has_separations):
            return None
        return Inked(item, colour_words(paint.color), like)

    @cached_property
    def _has_separations(self) -> bool:
        """Whether anything on the page is painted with separations other than those of the process inks."""
        return any(
            own_inks(paint)
            for drawn in map(self._job.artwork.objects.__getitem__, self._job.notable.inked)
            for paint in (drawn.fill, drawn.stroke.paint)
            if paint.inks
        )

    def unnamed(self, widest: float, closed_within: float) -> list[Suspect]:
        """Thin closed contours round art with a layer, spot or loud colour of their own.

        Objects with misspelt names and those in the colour of a cut step are left out where the rules that say so
        are in force.

        Parameters
        ----------
        widest : mm, greatest stroke width.
        closed_within : mm, ends this close count as closed.
        """
        left = self._misspelt | self._twins_reported
        thin = [
            item for item in self.thin(widest) if item.index not in left and self._closes(item, closed_within)
        ]
        if not thin:
            return []
        chosen = {item.index for item in thin}
        others = [item for item in self._printing if item.index not in chosen]
        around = _around(thin, others)
        candidates = [item for item, holds in zip(thin, around.tolist(), strict=True) if holds]
        return list(self._set_apart(candidates))

    @cached_property
    def _printing(self) -> list[JobObject]:
        job = self._job
        return job.items_at(np.flatnonzero(job.in_role(Role.PRINT) & job.prints & job.looks.flags(_shows)))

    @cached_property
    def _cut_colors(self) -> dict[ColorKey, JobObject]:
        """Colours that cuts are stroked with, each with the first shown cut that carries it, or else the first hidden one."""
        colors: dict[ColorKey, JobObject] = {}
        for item in (*self._job.cuts.items, *self._job.of_role(Role.CUT)):
            key = color_key(item.object.stroke.paint.color)
            if item.object.kind is Kind.PATH and key is not None:
                colors.setdefault(key, item)
        return colors

    def _closes(self, item: JobObject, within: float) -> bool:
        outlines = self._job.artwork.outlines
        first, last = outlines.object_offsets[item.index : item.index + 2].tolist()
        closed = outlines.closed[first:last] | (outlines.gaps[first:last] <= within)
        return last > first and bool(closed.all())

    def _set_apart(self, candidates: list[JobObject]) -> Iterator[Suspect]:
        """Candidates whose layer, spot or colour no other printing object has."""
        chosen = {item.index for item in candidates}
        layers: Counter[int | None] = Counter()
        spots: Counter[str] = Counter()
        colors: Counter[ColorKey] = Counter()
        for item in self._printing:
            if item.index not in chosen:
                layers[item.object.layer] += 1
                for paint in (item.object.fill, item.object.stroke.paint):
                    spots[paint.spot or ""] += 1
                    key = color_key(paint.color)
                    if paint.paints and key is not None:
                        colors[key] += 1
        for item in candidates:
            paint = item.object.stroke.paint
            key = color_key(paint.color)
            own_layer = item.object.layer is not None and layers[item.object.layer] == 0
            # What prints on every plate is drawn for the printer: crop marks and frames.
            own_spot = paint.spot not in (None, ALL) and spots[paint.spot or ""] == 0
            own_color = key is not None and _is_loud(key) and colors[key] == 0
            if own_layer or own_spot or own_color:
                yield Suspect(
                    item,
                    item.layers[0] if own_layer else None,
                    paint.spot if own_spot else None,
                    hex_of(key) if own_color and key is not None else None,
                )


def _same_numbers(one: JobObject, other: JobObject) -> bool:
    """Whether two strokes of one screen colour have the same numbers; many inks look alike on a screen."""
    own, its = one.object.stroke.paint.color, other.object.stroke.paint.color
    if own is None or its is None or own.space != its.space or len(own.components) != len(its.components):
        return True
    return all(abs(a - b) <= 0.5 / 255 for a, b in zip(own.components, its.components, strict=True))


def _is_loud(key: ColorKey) -> bool:
    """Whether a colour is plainly no grey: cut lines are drawn in loud colours, frames and shading in black and grey."""
    return max(key) - min(key) >= LEAST_CHROMA


def _shows(drawn: Object) -> bool:
    paints = drawn.kind is not Kind.PATH or leaves_trace(drawn.fill, drawn.fill_opacity)
    paints = paints or leaves_trace(drawn.stroke.paint, drawn.stroke.opacity)
    return drawn.drawn and drawn.opacity > 0.0 and paints


def _is_thin_line(drawn: Object, widest: float) -> bool:
    return (
        drawn.kind is Kind.PATH
        and not drawn.fill.paints
        and drawn.stroke.paint.paints
        and drawn.stroke.width <= widest + 1e-6
    )


def _colors(item: JobObject) -> Iterator[ColorKey]:
    for paint in (item.object.fill, item.object.stroke.paint):
        key = color_key(paint.color) if paint.paints else None
        if key is not None:
            yield key


def _around(lines: list[JobObject], others: list[JobObject]) -> Flags:
    """(k,) whether the box of each line holds the box of another printing object."""
    placed = [item.box for item in others if item.box is not None]
    holds = np.zeros(len(lines), bool)
    if not placed or not lines:
        return holds
    inner = np.array(placed)
    outer = np.array([item.box for item in lines])
    middles = (inner[:, :2] + inner[:, 2:]) / 2
    tree = shapely.STRtree(shapely.points(middles))
    line, other = tree.query(shapely.box(*outer.T))
    within = (inner[other, :2] >= outer[line, :2]).all(axis=1) & (inner[other, 2:] <= outer[line, 2:]).all(
        axis=1
    )
    holds[line[within]] = True
    return holds
