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
from preflight.geometry.outlines import Flags, Floats
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
        past = np.stack([_past(boxes, one) for one in sheet]).min(axis=0)
        over = np.flatnonzero(past > _NOISE)
        apart = np.stack([_apart(boxes[over], one) for one in sheet]).min(axis=0)
        for row, gap in zip(over.tolist(), apart.tolist(), strict=True):
            item = items[int(parts.index[firsts[row]])]
            wholly = gap >= -_NOISE
            if wholly or item.object.kind is Kind.TEXT:
                x0, y0, x1, y1 = boxes[row].tolist()
                beyond = max(gap, 0.0) if wholly else float(past[row])
                yield OffPage(item, (x0, y0, x1, y1), wholly, beyond)

    def leftovers(self) -> Iterator[Leftover]:
        """Objects that are shown and paint nothing anywhere. What the reader tells of as broken is left out."""
        job = self._job
        looks = job.looks
        suspect = looks.flags(_may_be_unseen) | (self._flat & looks.flags(_whole_path))
        for item in job.items_at(np.flatnonzero(job.in_role(Role.PRINT) & job.prints & suspect)):
            why = _unseen(item.object) or self._without_extent(item)
            if why is not None:
                yield Leftover(item, why, item.box or self._start(item.index))

    def _without_extent(self, item: JobObject) -> Why | None:
        drawn, box = item.object, item.box
        if not (self._flat[item.index] and _whole_path(drawn)):
            return None
        if box is None:
            return Why.POINT
        if stroke_shows(drawn.stroke):
            no_length = max(box[2] - box[0], box[3] - box[1]) <= _NOISE
            return Why.NO_LENGTH if no_length and drawn.stroke.cap == "butt" else None
        return Why.NO_AREA if self._encloses_nothing(item.index) else None

    def _encloses_nothing(self, index: int) -> bool:
        outlines = self._job.artwork.outlines.of_objects([index])
        rule = self._job.artwork.objects[index].fill_rule
        return bool(polygons(outlines, [rule], _FLATNESS)[0].area <= _NO_AREA)

    @cached_property
    def _flat(self) -> Flags:
        """(o,) whether the contours of each object may enclose nothing."""
        outlines = self._job.artwork.outlines
        size = np.abs(contour_areas(outlines))
        areas = np.bincount(outlines.object_of_contour, size, outlines.object_count)
        return np.asarray(~(areas > _NO_AREA))

    def _start(self, index: int) -> Box | None:
        outlines = self._job.artwork.outlines
        first, last = outlines.object_offsets[index : index + 2].tolist()
        if first == last:
            return None
        x, y = outlines.starts[first].tolist()
        return (x, y, x, y)


def _may_be_unseen(drawn: Object) -> bool:
    """Whether an object of such a look may leave nothing: what a text says is no part of its look."""
    return drawn.kind is Kind.TEXT or _unseen(drawn) is not None


def _whole_path(drawn: Object) -> bool:
    return drawn.kind is Kind.PATH and drawn.broken is None


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
