"""Which layer content of one page belongs to, and whether it is drawn. Knows no operator."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from typing import Any

import msgspec
import pikepdf

from preflight.artwork.model import Layer, NoteKind
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, identity, name_text
from preflight.readers.pdf.layers.membership import membership
from preflight.readers.pdf.layers.optional_content import OptionalContent, State, group_key

__all__ = ["HIDDEN", "Content", "Layers"]

HIDDEN = "layer"
"""``Object.hidden`` of what lies on a layer that neither shows nor prints."""


class Content(msgspec.Struct, frozen=True):
    """Where optional content lies: its layer (index into ``Artwork.layers``, or None), and why it is not drawn."""

    layer: int | None
    hidden: str | None


class Layers:
    """The layers of one page.

    A layer that is drawn inside another one that is not above it in the document's list is listed once more, under
    that one: so what lies in it keeps the outer layer's name and metadata.
    """

    def __init__(self, content: OptionalContent, context: Context) -> None:
        self._content = content
        self._context = context
        self._layers = list(content.layers)
        self._origins = list(range(len(self._layers)))
        """For each layer of the page, which one of the document it is."""
        self._places = {index: index for index in self._origins}
        self._inside: dict[tuple[int, int], int] = {}
        self._known: dict[tuple[Hashable, int | None], Content] = {}

    @property
    def layers(self) -> tuple[Layer, ...]:
        """All layers of the document, and those that arose on this page."""
        return tuple(self._layers)

    def entered(self, properties: Any, within: int | None = None) -> Content:
        """What ``/OC`` with these properties means for the content it marks.

        Parameters
        ----------
        properties : an optional content group or membership dictionary (`pikepdf.Object`); anything else is noted.
        within : the layer the content lies in already; it is also the answer where the properties name no layer.

        Returns
        -------
        Content
            ``hidden`` is this mark's alone: content is drawn only where every mark round it lets it.
        """
        if not isinstance(properties, pikepdf.Dictionary):
            message = "Content is marked for a layer that does not exist; it is taken to show."
            self._context.note(NoteKind.FAULT, "layer", message)
            return Content(within, None)
        number = identity(properties)
        if number is None:
            return self._looked_at(properties, within)
        found = self._known.get((number, within))
        if found is None:
            found = self._known[number, within] = self._looked_at(properties, within)
        return found

    def _looked_at(self, properties: Any, within: int | None) -> Content:
        kind = name_text(entry(properties, "/Type"))
        if kind == "OCMD" or (
            kind != "OCG" and any(entry(properties, key) is not None for key in ("/OCGs", "/VE"))
        ):
            state, members = membership(properties, self._content, self._context)
        elif kind == "OCG" or entry(properties, "/Name") is not None:
            state, members = self._content.state(properties), [properties]
        else:
            message = "Content is marked for a layer by something that is no layer; it is taken to show."
            self._context.note(NoteKind.FAULT, "layer", message)
            return Content(within, None)
        return Content(self._layer(members, within), _hidden(state))

    def _layer(self, members: list[Any], within: int | None) -> int | None:
        """The layer that the content counts to: of several, the first that is a processing step, or the first."""
        distinct = [self._place(one) for one in {group_key(one): one for one in members}.values()]
        if not distinct:
            return within
        steps = [one for one in distinct if self._layers[one].step is not None]
        chosen = (steps or distinct)[0]
        if len(distinct) > 1:
            names = "”, “".join(self._layers[one].name for one in distinct)
            message = f"Content belongs to the layers “{names}” at once; it counts to “{self._layers[chosen].name}”."
            self._context.note(NoteKind.ASSUMED, "layer", message)
        return chosen if within is None else self._under(chosen, within)

    def _place(self, group: Any) -> int:
        """Where a group stands among the page's layers."""
        origin = self._content.of(group)
        if origin not in self._places:
            self._places[origin] = self._added(self._content.layers[origin], origin)
        return self._places[origin]

    def _added(self, layer: Layer, origin: int) -> int:
        self._layers.append(layer)
        self._origins.append(origin)
        return len(self._layers) - 1

    def _under(self, layer: int, outer: int) -> int:
        """The layer as it lies inside another one."""
        own, above = self._layers[layer], self._layers[outer]
        parent = outer
        if outer in self._chain(layer):
            if own.visible <= above.visible and own.printing <= above.printing and own.locked >= above.locked:
                return layer
            parent = own.parent
        if self._origins[layer] in {self._origins[one] for one in self._chain(outer)}:
            return outer
        if (layer, outer) not in self._inside:
            inner = msgspec.structs.replace(
                own,
                parent=parent,
                visible=own.visible and above.visible,
                printing=own.printing and above.printing,
                locked=own.locked or above.locked,
            )
            self._inside[layer, outer] = self._added(inner, self._origins[layer])
        return self._inside[layer, outer]

    def _chain(self, layer: int | None) -> Iterator[int]:
        """A layer and those it lies in."""
        while layer is not None:
            yield layer
            layer = self._layers[layer].parent


def _hidden(state: State) -> str | None:
    return None if state.shows or state.prints else HIDDEN
