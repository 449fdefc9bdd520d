"""Named groups as layers, in the order met. Knows no geometry."""

from __future__ import annotations

from lxml import etree

from preflight.artwork.model import Layer
from preflight.readers.svg.names import INKSCAPE, SODIPODI, own_name

__all__ = ["Layers"]

_GROUP_MODE = f"{{{INKSCAPE}}}groupmode"
_LOCKED = f"{{{SODIPODI}}}insensitive"


class Layers:
    """Collects layers; a group drawn again through ``<use>`` under the same parent is the same layer."""

    def __init__(self) -> None:
        self.found: list[Layer] = []
        self._known: dict[tuple[etree._Element, int | None, bool], int] = {}

    def of(self, element: etree._Element, parent: int | None, visible: bool) -> int | None:
        """Index of the layer an element opens; its parent's where it has no name."""
        name = own_name(element)
        if name is None:
            return parent
        key = (element, parent, visible)
        if key in self._known:
            return self._known[key]
        above = self.found[parent] if parent is not None else None
        self.found.append(
            Layer(
                name=name,
                parent=parent,
                visible=visible and (above is None or above.visible),
                locked=element.get(_LOCKED) in ("true", "1") or (above is not None and above.locked),
                explicit=element.get(_GROUP_MODE) == "layer" or _exported_layer(element),
            )
        )
        self._known[key] = len(self.found) - 1
        return self._known[key]


def _exported_layer(element: etree._Element) -> bool:
    """Whether an attribute ``layer="yes"`` of a drawing program's own namespace says so."""
    return any(
        value == "yes" and str(name).endswith("}layer") and not str(name).startswith(f"{{{INKSCAPE}}}")
        for name, value in element.attrib.items()
    )
