"""The tree in which a list of layers shows them. Knows no state of a layer."""

from __future__ import annotations

from typing import Any

import msgspec
import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import text

__all__ = ["Place", "ordered"]

_DEPTH = 50
_PLACES = 100_000


class Place(msgspec.Struct, frozen=True):
    """One line of the list: a group or a heading, and the number of the line it is indented under, or None."""

    group: Any
    heading: str | None
    parent: int | None


def ordered(order: Any, context: Context) -> list[Place]:
    """The lines of the list (``Order`` of ISO 32000-1, Table 101), each after the one it is indented under.

    An array after a group holds what is indented under the group; an array that begins with a text has the text as
    its heading.
    """
    places: list[Place] = []
    _collect(order, None, 0, places, context)
    return places


def _collect(order: Any, parent: int | None, depth: int, places: list[Place], context: Context) -> None:
    if not isinstance(order, pikepdf.Array):
        return
    if depth > _DEPTH or len(places) > _PLACES:
        message = (
            "The list of layers is nested too deeply, holds itself or is endless; the rest of it is left out."
        )
        context.note(NoteKind.FAULT, "layer order", message)
        return
    before: int | None = None
    for index, item in enumerate(order):
        if isinstance(item, pikepdf.Dictionary):
            places.append(Place(item, None, parent))
            before = len(places) - 1
        elif isinstance(item, pikepdf.Array):
            headed = len(item) > 0 and text(item[0]) is not None
            _collect(item, parent if headed or before is None else before, depth + 1, places, context)
        elif index == 0 and (heading := text(item)) is not None:
            places.append(Place(None, heading, parent))
            parent = len(places) - 1
