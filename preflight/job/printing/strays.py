"""Things on a page that print nowhere: off the page, without paint, without extent. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.artwork import Box, Kind, Object
from preflight.geometry.measure import contour_areas
from preflight.geometry.outlines import Floats
from preflight.geometry.rings import polygons
from preflight.job.objects import JobObject
from preflight.job.printing.content import sheet_of
from preflight.job.printing.inks import leaves_trace, stroke_shows
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Leftover", "OffPage", "Strays", "Why"]

_NOISE = 1e-6
"""mm; below it things touch the page and do not lie on it."""
_NO_AREA = 1e-9
"""mm² of all contours of an object; what may be nothing is looked at closely."""
_FLATNESS = 0.01
"""mm, when it is looked at closely."""


class Why(StrEnum):
    """Why an object leaves nothing."""

    UNPAINTED = "neither filled nor stroked"
    SEE_THROUGH = "fully transparent"
    NO_CHARACTERS = "text without characters"
    POINT = "a single point"
    NO_AREA = "filled and encloses no area"
    NO_LENGTH = "a stroke without length"


class OffPage(msgspec.Struct, frozen=True):
    """An object off the page: wholly, or text that reaches past its edge. ``beyond``: how far it lies or reaches there, mm."""

    item: JobObject
    box: Box
    wholly: bool
    beyond: float


class Leftover(msgspec.Struct, frozen=True):
    """An object that is shown and leaves nothing; ``place`` is where it is as far as it is anywhere, mm."""

    item: JobObject
    why: Why
    place: Box | None


class Strays:
    """Views of what a printer would leave out without a word. Objects of role print; hidden ones are no strays."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def off_page(self) -> Iterator[OffPage]:
        """Painted objects wholly off the page, and text partly off it, clips and stroke widths taken into account."""
        parts, items = self._job.printed.parts, self._job.items
        if not len(parts.index):
            return
        firsts = np.flatnonzero(np.diff(parts.index, prepend=-1))
        boxes = np.hstack(
            [
                np.minimum.reduceat(parts.boxes[:, :2], firsts, axis=0),
                np.maximum.reduceat(parts.boxes[:, 2:], firsts, axis=0),
            ]
        )
        sheet = np.array(sheet_of(self._job))
        apart = np.stack([_apart(boxes, one) for one in sheet]).min(axis=0)
        past = np.stack([_past(boxes, one) for one in sheet]).min(axis=0)
        for row in np.flatnonzero(past > _NOISE).tolist():
            item = items[int(parts.index[firsts[row]])]
            wholly = bool(apart[row] >= -_NOISE)
            if wholly or item.object.kind is Kind.TEXT:
                x0, y0, x1, y1 = boxes[row].tolist()
                beyond = max(float(apart[row]), 0.0) if wholly else float(past[row])
                yield OffPage(item, (x0, y0, x1, y1), wholly, beyond)

    def leftovers(self) -> Iterator[Leftover]:
        """Objects that are shown and paint nothing anywhere. What the reader tells of as broken is left out."""
        artwork = self._job.artwork
        for index, (drawn, assignment) in enumerate(zip(artwork.objects, self._job.assignments, strict=True)):
            if assignment.role is not Role.PRINT or not artwork.prints(drawn):
                continue
            why = _unseen(drawn) or self._without_extent(index, drawn)
            if why is not None:
                item = self._job.items[index]
                yield Leftover(item, why, item.box or self._start(index))

    def _without_extent(self, index: int, drawn: Object) -> Why | None:
        if drawn.kind is not Kind.PATH or drawn.broken is not None or not self._flat[index]:
            return None
        box = self._job.items[index].box
        if box is None:
            return Why.POINT
        if stroke_shows(drawn.stroke):
            no_length = max(box[2] - box[0], box[3] - box[1]) <= _NOISE
            return Why.NO_LENGTH if no_length and drawn.stroke.cap == "butt" else None
        return Why.NO_AREA if self._encloses_nothing(index) else None

    def _encloses_nothing(self, index: int) -> bool:
        outlines = self._job.artwork.outlines.of_objects([index])
        rule = self._job.artwork.objects[index].fill_rule
        return bool(polygons(outlines, [rule], _FLATNESS)[0].area <= _NO_AREA)

    @cached_property
    def _flat(self) -> list[bool]:
        """For each object whether its contours may enclose nothing."""
        outlines = self._job.artwork.outlines
        size = np.abs(contour_areas(outlines))
        areas = np.bincount(outlines.object_of_contour, size, outlines.object_count)
        flat: list[bool] = (~(areas > _NO_AREA)).tolist()
        return flat

    def _start(self, index: int) -> Box | None:
        outlines = self._job.artwork.outlines
        first, last = outlines.object_offsets[index : index + 2].tolist()
        if first == last:
            return None
        x, y = outlines.starts[first].tolist()
        return (x, y, x, y)


def _unseen(drawn: Object) -> Why | None:
    """What of an object's paint makes it leave nothing, or None."""
    if drawn.kind is Kind.TEXT and drawn.text is not None and not drawn.text.strip():
        return Why.NO_CHARACTERS
    if drawn.broken is not None:
        return None
    if drawn.opacity <= 0.0:
        return Why.SEE_THROUGH
    if drawn.kind in (Kind.IMAGE, Kind.SHADING):
        return None
    if leaves_trace(drawn.fill, drawn.fill_opacity) or stroke_shows(drawn.stroke):
        return None
    return Why.SEE_THROUGH if drawn.fill.paints or drawn.stroke.paint.paints else Why.UNPAINTED


def _apart(boxes: Floats, sheet: Floats) -> Floats:
    """(k,) how far each box lies from the sheet, mm; below 0 where they have an area in common."""
    gaps = np.maximum(sheet[:2] - boxes[:, 2:], boxes[:, :2] - sheet[2:])
    both = np.hypot(np.maximum(gaps[:, 0], 0), np.maximum(gaps[:, 1], 0))
    found: Floats = np.where((gaps < 0).all(axis=1), gaps.max(axis=1), both)
    return found


def _past(boxes: Floats, sheet: Floats) -> Floats:
    """(k,) how far each box reaches past the edges of the sheet, mm; 0 or less within it."""
    found: Floats = np.maximum(sheet[:2] - boxes[:, :2], boxes[:, 2:] - sheet[2:]).max(axis=1)
    return found
