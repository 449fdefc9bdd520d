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


_Told = tuple[int | None, bool, bool, bool]
"""Parent of a layer, and whether what lies in it shows, prints, is locked."""


class Layers:
    """The layers of one page.

    A layer that is drawn inside another one that is not above it in the document's list is listed once more, under
    that one: so what lies in it keeps the outer layer's name and metadata. So is one whose content fares otherwise than it
    does, because it lies in a layer that is off, not printed or locked, or by a membership.
    """

    def __init__(self, content: OptionalContent, context: Context) -> None:
        self._content = content
        self._context = context
        self._layers = list(content.layers)
        self._origins = list(range(len(self._layers)))
        """For each layer of the page, which one of the document it is."""
        self._places = {index: index for index in self._origins}
        self._inside: dict[tuple[int, _Told], int] = {}
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
            ``hidden`` takes in what the layer it lies in says; of other marks round it whoever asks keeps track.
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
        layer = self._layer(members, within, state)
        if layer is not None:  # that of the content round it included
            state = State(self._layers[layer].visible, self._layers[layer].printing)
        return Content(layer, _hidden(state))

    def _layer(self, members: list[Any], within: int | None, state: State) -> int | None:
        """The layer that the content counts to: of several, the first that is a processing step, or the first."""
        distinct = [self._place(one) for one in {group_key(one): one for one in members}.values()]
        if not distinct:
            if within is not None:
                return self._as_it_lies(within, within, state)
            if state.shows != state.prints:
                message = "Content that shows or prints, not both, where layers are off is judged as if it did both."
                self._context.not_modelled("layer membership", message, once=True)
            return None
        steps = [one for one in distinct if self._layers[one].step is not None]
        chosen = (steps or distinct)[0]
        if len(distinct) > 1:
            names = "”, “".join(self._layers[one].name for one in distinct)
            message = f"Content belongs to the layers “{names}” at once; it counts to “{self._layers[chosen].name}”."
            self._context.note(NoteKind.ASSUMED, "layer", message)
        return self._as_it_lies(chosen, within, state)

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

    def _as_it_lies(self, layer: int, outer: int | None, state: State) -> int:
        """The layer with what becomes of the content in it: it may lie in another layer, or in several at once."""
        base, own = layer, self._layers[layer]
        parent, shows, prints, locked = own.parent, state.shows, state.prints, own.locked
        if outer is not None:
            above = self._layers[outer]
            if self._origins[layer] in {self._origins[one] for one in self._chain(outer)}:
                base, parent = outer, above.parent
            elif outer not in self._chain(layer):
                parent = outer
            shows, prints, locked = shows and above.visible, prints and above.printing, locked or above.locked
        known = self._layers[base]
        told = (parent, shows, prints, locked)
        if told == (known.parent, known.visible, known.printing, known.locked):
            return base
        if (base, told) not in self._inside:
            inner = msgspec.structs.replace(
                known, parent=parent, visible=shows, printing=prints, locked=locked
            )
            self._inside[base, told] = self._added(inner, self._origins[base])
        return self._inside[base, told]

    def _chain(self, layer: int | None) -> Iterator[int]:
        """A layer and those it lies in."""
        while layer is not None:
            yield layer
            layer = self._layers[layer].parent


def _hidden(state: State) -> str | None:
    return None if state.shows or state.prints else HIDDEN
