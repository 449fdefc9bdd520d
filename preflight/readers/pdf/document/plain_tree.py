"""A document for other programs to draw, with the very pages this reader finds in it. Knows no content and draws nothing."""

from __future__ import annotations

import io
from typing import Any

import pikepdf

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.opening import opened
from preflight.readers.pdf.document.page_tree import INHERITABLE, PageEntry, pages_of
from preflight.readers.pdf.document.streams import Streams, bounded
from preflight.readers.pdf.document.values import entry, identity, name_text
from preflight.readers.pdf.images.drawing_memory import drawing_memory

__all__ = ["with_plain_tree"]

_DEEPEST = 60
"""Levels of a sound list of pages; more are made plain."""


def with_plain_tree(data: bytes, page: int, memory: int) -> tuple[bytes, int] | None:
    """The file itself where its list of pages is sound, else the same with a plain list of the pages found; and their number.

    Programs differ on what they find in a broken list of pages, and on what a damaged file holds at all. None where
    the document cannot be read, or not be written again; has no such page; or images on it would take more than so many
    bytes of memory.
    """
    limits = Limits()
    deadline = Deadline(limits.seconds)
    try:
        with bounded(limits):
            pdf = opened(data, limits).pdf
            try:
                context = Context(pdf, 1, limits, deadline, Streams(limits, deadline))
                pages = pages_of(pdf, context)
                if not 1 <= page <= len(pages) or drawing_memory(pages[page - 1].resources) > memory:
                    return None
                # The tree is walked before the repairs are asked for: qpdf reads objects as they are wanted.
                sound = _counted(entry(pdf.Root, "/Pages"), 0) == len(pages)
                if sound and not context.notes and not pdf.get_warnings():
                    return data, len(pages)
                return _written(pdf, pages), len(pages)
            finally:
                pdf.close()
    except (Unreadable, pikepdf.PdfError, ValueError, RuntimeError, TypeError, KeyError):
        return None


def _counted(node: Any, depth: int) -> int | None:
    """Pages below a node whose counts are right all the way down, or None."""
    if depth > _DEEPEST:
        return None
    kids = entry(node, "/Kids")
    if kids is None:
        return 1 if name_text(entry(node, "/Type")) == "Page" and identity(node) is not None else None
    if not isinstance(kids, pikepdf.Array):
        return None
    total = 0
    for kid in kids:
        below = _counted(kid, depth + 1)
        if below is None:
            return None
        total += below
    return total if entry(node, "/Count") == total else None


def _written(pdf: pikepdf.Pdf, pages: tuple[PageEntry, ...]) -> bytes:
    kids = pikepdf.Array()
    tree = pdf.make_indirect(
        pikepdf.Dictionary(Type=pikepdf.Name.Pages, Kids=pikepdf.Array(), Count=len(pages))
    )
    for page in pages:
        own = pikepdf.Dictionary(dict(page.dictionary))
        for key in INHERITABLE:
            value = page.inheritable(key)
            if value is not None:
                own[key] = value
        own.Type, own.Parent = pikepdf.Name.Page, tree
        kids.append(pdf.make_indirect(own))
    tree.Kids = kids
    pdf.Root.Pages, pdf.Root.Type = tree, pikepdf.Name.Catalog
    out = io.BytesIO()
    pdf.save(out, encryption=False, fix_metadata_version=False)
    return out.getvalue()
