"""How many elements ``<use>`` makes of a document, worked out before any is drawn. Knows references, no shapes."""

from __future__ import annotations

from lxml import etree

from preflight.readers.svg.paint import target

__all__ = ["expanded_size"]

_APART = frozenset({"defs", "symbol", "clipPath", "mask", "pattern", "marker"})
"""Elements whose content is drawn only where something refers to it."""


def expanded_size(root: etree._Element, ids: dict[str, etree._Element]) -> int:
    """Elements met when the document is drawn, those inside ``<use>`` once for each place.

    Each element is counted once and remembered, so that a file whose copies grow without bound costs no more
    than one that has none. A reference to an element that is being counted adds nothing: it is a cycle.
    """
    sizes: dict[etree._Element, int] = {}
    opened: set[etree._Element] = set()
    stack = [root]
    while stack:
        element = stack[-1]
        if element in sizes:
            stack.pop()
            continue
        below = _below(element, ids)
        if element in opened:
            sizes[element] = 1 + sum(sizes.get(one, 0) for one in below)
            stack.pop()
        else:
            opened.add(element)
            stack += [one for one in below if one not in sizes and one not in opened]
    return sizes[root]


def _below(element: etree._Element, ids: dict[str, etree._Element]) -> list[etree._Element]:
    if element.tag.rpartition("}")[2] == "use":
        address = target(element)
        found = ids.get(address[1:]) if address and address.startswith("#") else None
        return [found] if found is not None else []
    return [one for one in element if isinstance(one.tag, str) and one.tag.rpartition("}")[2] not in _APART]
