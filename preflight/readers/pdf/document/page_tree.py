"""The pages of a document with what they inherit, found in trees that may be broken. Knows no content."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, identity, name_text

__all__ = ["INHERITABLE", "PageEntry", "pages_of"]

INHERITABLE = ("/Resources", "/MediaBox", "/CropBox", "/Rotate")
"""ISO 32000-1, Table 30."""


class PageEntry(msgspec.Struct, frozen=True, eq=False):
    """One page's dictionary and the attributes of the nodes above it that it inherits."""

    dictionary: pikepdf.Dictionary
    inherited: dict[str, object]

    def own(self, key: str) -> object:
        """The page's own entry, or None."""
        return entry(self.dictionary, key)

    def inheritable(self, key: str) -> object:
        """The page's entry, or that of the nearest node above it, or None."""
        own = entry(self.dictionary, key)
        return self.inherited.get(key) if own is None else own

    @property
    def resources(self) -> object:
        """The page's resource dictionary, its own or inherited, or None."""
        return self.inheritable("/Resources")


def pages_of(pdf: pikepdf.Pdf, context: Context) -> tuple[PageEntry, ...]:
    """Every page, in order.

    Where the tree leads to no page, pages that stand about loose in the file are taken, with a note.

    Raises
    ------
    preflight.readers.errors.Unreadable
        No page at all, or more than the limit.
    """
    found: list[PageEntry] = []
    for page in _walk(pdf, context):
        found.append(page)
        if len(found) > context.limits.pages:
            raise Unreadable(
                f"The file has more than the limit of {context.limits.pages:,} pages",
                None,
                "Split it, or raise [limits] pages in the profile.",
            )
    if not found:
        found = list(_loose(pdf, context))[: context.limits.pages]
        if found:
            message = f"The list of pages is broken; {len(found)} found loose in the file are read, their order is assumed."
            context.note(NoteKind.FAULT, "page tree", message)
    if not found:
        raise Unreadable("The file has no page", None, "Export it again from the drawing program.")
    return tuple(found)


def _walk(pdf: pikepdf.Pdf, context: Context) -> Iterator[PageEntry]:
    """The tree depth first, without recursion: it may be as deep as a stranger likes."""
    seen: set[tuple[int, int]] = set()
    waiting: list[tuple[object, dict[str, object]]] = [(entry(pdf.Root, "/Pages"), {})]
    while waiting:
        context.deadline.check()
        node, inherited = waiting.pop()
        if not isinstance(node, pikepdf.Dictionary):
            context.note(
                NoteKind.FAULT, "page tree", "An entry of the list of pages is no page; it is left out."
            )
            continue
        kids = entry(node, "/Kids")
        if kids is None and _is_page(node):
            if name_text(entry(node, "/Type")) != "Page":
                context.note(
                    NoteKind.FAULT,
                    "page tree",
                    "A page does not say that it is one; it is read all the same.",
                )
            yield PageEntry(node, inherited)
            continue
        number = identity(node)
        if number in seen:
            message = "The list of pages holds itself; it is followed once only."
            context.note(NoteKind.FAULT, "page tree", message)
            continue
        if number is not None:
            seen.add(number)
        if not isinstance(kids, pikepdf.Array):
            context.note(
                NoteKind.FAULT, "page tree", "A branch of the list of pages names no pages; it is left out."
            )
            continue
        below = dict(inherited)
        for key in INHERITABLE:
            own = entry(node, key)
            if own is not None:
                below[key] = own
        waiting.extend((kid, below) for kid in reversed(list(kids)))


def _is_page(node: object) -> bool:
    """Whether a dictionary without Kids is a page: it says so, or it says nothing and looks like one."""
    kind = name_text(entry(node, "/Type"))
    if kind == "Pages":
        return False
    return kind == "Page" or any(
        entry(node, key) is not None for key in ("/Contents", "/MediaBox", "/Resources")
    )


def _loose(pdf: pikepdf.Pdf, context: Context) -> Iterator[PageEntry]:
    for one in pdf.objects:
        context.deadline.check()
        if isinstance(one, pikepdf.Dictionary) and name_text(entry(one, "/Type")) == "Page":
            yield PageEntry(one, {})
