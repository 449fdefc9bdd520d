"""What a page prints: its lettering, pictures and other art that a viewer shows. Knows no limit and no rule."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from preflight.artwork import Box, Kind, Note, NoteKind, Object
from preflight.geometry.outlines import Flags, Integers
from preflight.job.objects import JobObject
from preflight.job.printing.inks import leaves_trace, stroke_shows
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Content", "sheet_of"]

_PRINTED = frozenset({Role.PRINT, Role.WHITE, Role.VARNISH, Role.MARK})
_APART = frozenset({Role.INFORMATION, Role.IGNORED})
"""Neither printed nor cut: no rule judges them, and nothing of them is left unjudged."""
_TOLD = "image-absent"
"""The rule whose findings say what the reader noted of absent images."""


class Content:
    """Views of the art. What is hidden, see-through, clipped away, or lies wholly off the page prints nowhere."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._asked_of_images = False

    @cached_property
    def printing(self) -> tuple[JobObject, ...]:
        """Art that is painted where the page is, in paint order."""
        return tuple(self._job.items_at(self.printing_indices))

    @cached_property
    def printing_indices(self) -> Integers:
        """(k,) the objects of `printing` by index."""
        job = self._job
        painted = np.flatnonzero(job.in_role(Role.PRINT) & job.prints & job.looks.flags(_painted))
        return painted[self._on_sheet(painted)]

    @cached_property
    def texts(self) -> tuple[JobObject, ...]:
        """Text that is still text."""
        if not self._job.notable.texts:
            return ()
        return tuple(item for item in self.printing if item.object.kind is Kind.TEXT)

    def images(self) -> tuple[JobObject, ...]:
        """Images with a known resolution; of those without one a note is left."""
        self._asked_of_images = True
        return tuple(item for item in self._present_images if item.object.pixels_per_inch is not None)

    @cached_property
    def absent_images(self) -> tuple[JobObject, ...]:
        """Images that are to be printed and whose pixels are not there, or not all."""
        items = (self._job.items[index] for index in self._job.notable.absent)
        return tuple(
            item
            for item in items
            if item.assignment.role in _PRINTED and self._job.artwork.prints(item.object)
        )

    @property
    def reader_notes(self) -> tuple[Note, ...]:
        """What the reader noted, but for what it did not model of things that nobody prints, and absent images told as findings."""
        notes = self._judged(self._job.artwork.notes)
        if _TOLD not in self._job.in_force or not self.absent_images:
            return notes
        told = {(item.object.origin.ref, item.object.absent) for item in self.absent_images}
        return tuple(note for note in notes if not note.origin or (note.origin.ref, note.message) not in told)

    def _judged(self, notes: tuple[Note, ...]) -> tuple[Note, ...]:
        """The notes without our limits on things that no rule looks at: legends, and letters on layers that are not shown."""
        limits = {note.origin.ref for note in notes if note.origin and note.kind is NoteKind.NOT_MODELLED}
        if not limits:
            return notes
        met: dict[str, bool] = {}
        for item in self._job.items:
            if item.object.origin.ref in limits:
                role, ref = item.assignment.role, item.object.origin.ref
                unshown = (
                    role is Role.PRINT
                    and item.object.kind is Kind.TEXT
                    and not self._job.artwork.prints(item.object)
                )
                met[ref] = met.get(ref, False) or not (role in _APART or unshown)
        return tuple(
            note
            for note in notes
            if note.kind is not NoteKind.NOT_MODELLED or note.origin is None or met.get(note.origin.ref, True)
        )

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was not judged of all that was asked so far."""
        if not self._asked_of_images:
            return ()
        noted = {note.origin.ref for note in self._job.artwork.notes if note.what == "image" and note.origin}
        return tuple(
            Note(NoteKind.NOT_MODELLED, "image", "How fine an image lies is not known.", item.object.origin)
            for item in self._present_images
            if item.object.pixels_per_inch is None and item.object.origin.ref not in noted
        )

    @cached_property
    def _present_images(self) -> tuple[JobObject, ...]:
        if not self._job.notable.images:
            return ()
        return tuple(
            item
            for item in self.printing
            if item.object.kind is Kind.IMAGE and item.object.absent is None and item.object.broken is None
        )

    def _on_sheet(self, indices: Integers) -> Flags:
        """(k,) whether any of each object lies on what can be printed of the page."""
        reach = self._job.looks.numbers(_stroke_reach)[indices]
        x0, y0, x1, y1 = self._job.boxes[indices].T
        there = np.zeros(len(indices), bool)
        for left, top, right, bottom in sheet_of(self._job):
            across = (x0 - reach <= right) & (x1 + reach >= left)
            there |= across & (y0 - reach <= bottom) & (y1 + reach >= top)
        return there


def sheet_of(job: Job) -> tuple[Box, ...]:
    """What can be printed of the page: its own box, and the bleed box where the file states one. mm."""
    page = job.artwork.page
    boxes: list[Box] = [(0.0, 0.0, page.width, page.height)]
    if "bleed" in page.stated_boxes and "bleed" in page.boxes:
        boxes.append(page.boxes["bleed"])
    return tuple(boxes)


def _stroke_reach(drawn: Object) -> float:
    """How far a stroke goes on to either side of its line, mm."""
    return drawn.stroke.width / 2 if drawn.stroke.paint.paints else 0.0


def _painted(drawn: Object) -> bool:
    """Whether an object leaves ink or takes it away."""
    if drawn.opacity <= 0.0:
        return False
    if drawn.kind in (Kind.IMAGE, Kind.SHADING):
        return True
    return leaves_trace(drawn.fill, drawn.fill_opacity) or stroke_shows(drawn.stroke)
