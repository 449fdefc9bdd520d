"""What every part of the reader shares while one page is read: the file, limits, notes, counts. Draws nothing."""

from __future__ import annotations

from collections.abc import Callable

import pikepdf

from preflight.artwork.model import Note, NoteKind, Origin
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.streams import Streams

__all__ = ["Context"]

_MOST_PLACES = 1000
"""Places that one thing is noted at one by one; a broken file may have a million of them."""


class Context:
    """One page in the making.

    Attributes
    ----------
    page : number of the page, from 1.
    streams : unpacks streams within the limits of the document.
    workload : counts the steps of reading, over all pages.
    notes : what is said about the page, each thing about one place once.
    here : gives the operator at work, for notes written by parts that do not know where they are called from.
    """

    def __init__(
        self, pdf: pikepdf.Pdf, page: int, limits: Limits, deadline: Deadline, streams: Streams
    ) -> None:
        self.pdf = pdf
        self.page = page
        self.streams = streams
        self.workload = streams.workload
        self.limits = limits
        self.deadline = deadline
        self.notes: list[Note] = []
        self.here: Callable[[], Origin | None] = lambda: None
        self._said: set[tuple[str, str | None]] = set()
        self._counts: dict[str, int] = {}
        self._further: dict[str, tuple[NoteKind, str, str, int]] = {}

    def note(
        self,
        kind: NoteKind,
        what: str,
        message: str,
        place: Origin | None = None,
        *,
        once: bool = False,
    ) -> None:
        """Write a note.

        Parameters
        ----------
        place : where; the operator at work if it is not given.
        once : say it for the first place only, not for every place.
        """
        self.workload.take(1)
        place = place or self.here()
        key = (what + message, None if once or place is None else place.ref)
        if key in self._said:
            return
        count = self._counts[key[0]] = self._counts.get(key[0], 0) + 1
        if count > _MOST_PLACES:
            self._further[key[0]] = (kind, what, message, count - _MOST_PLACES)
            return
        self._said.add(key)
        self.notes.append(Note(kind, what, message, place))

    def all_notes(self) -> tuple[Note, ...]:
        """What is said about the page so far; where a thing holds for too many places, how many more there are."""
        further = [
            Note(kind, what, f"{message} The same holds at {count:,} further places.")
            for kind, what, message, count in self._further.values()
        ]
        return (*self.notes, *further)

    def not_modelled(self, what: str, message: str, *, once: bool = False) -> None:
        """Note a construct that is met and not modelled."""
        self.note(NoteKind.NOT_MODELLED, what, message, once=once)

    def fault(self, what: str, message: str, *, once: bool = False) -> None:
        """Note a fault of the file that is worked round."""
        self.note(NoteKind.FAULT, what, message, once=once)
