"""The bytes of a page's content, one stream or several joined. Knows no operator."""

from __future__ import annotations

from typing import Any

import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.page_tree import PageEntry

__all__ = ["page_content"]


def page_content(entry: PageEntry, context: Context) -> bytes:
    """All content streams of a page, joined as if they were one (ISO 32000-1, Table 30); faults are noted.

    A page without any is an empty page, which is in order.

    Raises
    ------
    preflight.readers.errors.Unreadable
        The document's streams come to more than the limit.
    """
    given = entry.own("/Contents")
    if given is None:
        return b""
    streams: list[Any] = list(given) if isinstance(given, pikepdf.Array) else [given]
    parts = []
    for number, stream in enumerate(streams, start=1):
        if stream is None and isinstance(given, pikepdf.Array):
            context.note(NoteKind.FAULT, "content", f"Part {number} of the page's content is missing.")
            continue
        unpacked = context.streams.unpacked(stream)
        parts.append(unpacked.data)
        if unpacked.fault is not None:
            part = "The page's content" if len(streams) == 1 else f"Part {number} of the page's content"
            message = f"{part} is not all read. {unpacked.fault}."
            context.note(NoteKind.FAULT, "content", message)
    return b"\n".join(parts)
