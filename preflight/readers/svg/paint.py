"""Paints and the named colours behind them: swatches, gradients, icc-color. Knows no shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

import msgspec
from lxml import etree

from preflight.artwork.model import NO_PAINT, Color, NoteKind, Origin, Paint, PaintKind, Spot
from preflight.readers.svg.cascade import INITIAL_STYLE, Cascade, Style
from preflight.readers.svg.document import XLINK
from preflight.readers.svg.names import line_of, own_name
from preflight.readers.svg.properties import PaintValue

__all__ = ["ContextPaints", "Paints", "Problem", "target"]

GRADIENTS = {"linearGradient", "radialGradient"}


class Problem(NamedTuple):
    """What a note is to say."""

    kind: NoteKind
    what: str
    message: str


class ContextPaints(NamedTuple):
    """What ``context-fill`` and ``context-stroke`` mean inside a ``<use>`` or marker."""

    fill: Paint
    stroke: Paint


Resolved = tuple[Paint, Problem | None]


def target(element: etree._Element) -> str | None:
    """The address an element refers to (``href``, or the older ``xlink:href``)."""
    address = element.get("href")
    return address if address is not None else element.get(f"{{{XLINK}}}href")


class Paints:
    """Follows paints to what they stand for, each once."""

    def __init__(self, ids: Callable[[], Mapping[str, etree._Element]], cascade: Cascade) -> None:
        self._ids = ids
        self._cascade = cascade
        self._known: dict[tuple[PaintValue, PaintValue], Resolved] = {}
        self._servers: dict[etree._Element, Resolved] = {}
        self._chains: dict[etree._Element, tuple[etree._Element, list[etree._Element], bool]] = {}
        self.spots: dict[tuple[str, Color | None], Spot] = {}
        """Named colours; a name that stands for two colours is there twice."""

    def resolve(self, value: PaintValue, style: Style, context: ContextPaints | None) -> Resolved:
        """The paint of a value, and what has to be said about it."""
        if value.kind == "context-fill":
            return (context.fill if context else NO_PAINT), None
        if value.kind == "context-stroke":
            return (context.stroke if context else NO_PAINT), None
        key = (value, style["color"])
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._resolved(value, style)
        return known

    def collect(self, root: etree._Element) -> None:
        """Meet every swatch the file defines, used or not."""
        for element in root.iter("{*}solidColor", "{*}linearGradient", "{*}radialGradient"):
            if element.get("id") and element.tag.rpartition("}")[2] in (*GRADIENTS, "solidColor"):
                self._server(element)

    def _resolved(self, value: PaintValue, style: Style) -> Resolved:
        match value.kind:
            case "none":
                return NO_PAINT, None
            case "current":
                color = style["color"]
                return self._resolved(color, style) if color.kind != "current" else (NO_PAINT, None)
            case "unknown":
                message = f"The colour “{value.text[:60]}” depends on the screen or is worked out; it is not known here."
                return Paint(PaintKind.UNKNOWN), Problem(NoteKind.NOT_MODELLED, "colour", message)
            case "url":
                return self._followed(value, style)
        if value.name:
            definition = "icc-color"
            self.spots.setdefault((value.name, value.color), Spot(value.name, definition, value.color))
        return Paint(PaintKind.COLOR, value.color, value.name), None

    def _followed(self, value: PaintValue, style: Style) -> Resolved:
        element = self._ids().get(value.url[1:]) if value.url.startswith("#") else None
        name = element.tag.rpartition("}")[2] if element is not None else ""
        if element is not None and name in (*GRADIENTS, "solidColor", "pattern"):
            return self._server(element)
        if element is not None and name in ("meshgradient", "meshGradient", "hatch"):
            problem = Problem(NoteKind.NOT_MODELLED, name, f"A paint of kind <{name}> is not modelled.")
            return Paint(PaintKind.UNKNOWN), problem
        kind = NoteKind.FAULT if value.url.startswith("#") else NoteKind.NOT_MODELLED
        problem = Problem(kind, "paint", f"The paint “{value.url[:60]}” is not in the file.")
        if value.fallback is not None:
            paint, _ = self._resolved(value.fallback, style)
            return paint, problem
        return NO_PAINT, problem

    def _server(self, element: etree._Element) -> Resolved:
        known = self._servers.get(element)
        if known is None:
            known = self._servers[element] = self._read_server(element)
        return known

    def _read_server(self, element: etree._Element) -> Resolved:
        name = element.tag.rpartition("}")[2]
        if name == "pattern":
            return Paint(PaintKind.PATTERN), Problem(
                NoteKind.NOT_MODELLED, "pattern", "A pattern fill is not modelled."
            )
        if name == "solidColor":
            style = self._style(element)
            return self._swatch(element, style, "solid-color", "solid-opacity", "solidColor"), None
        owner, stops, cyclic = self._stops(element)
        problem = None
        if cyclic:
            problem = Problem(
                NoteKind.FAULT, "gradient", "A gradient refers to itself; the loop is left out."
            )
        if not stops:
            return NO_PAINT, problem or Problem(
                NoteKind.FAULT, "gradient", "A gradient has no stops and paints nothing."
            )
        if len(stops) == 1:
            style = self._style(stops[0])
            return self._swatch(owner, style, "stop-color", "stop-opacity", "one-stop gradient"), problem
        colors = tuple(self._color(self._style(stop), "stop-color", "stop-opacity") for stop in stops)
        return Paint(PaintKind.GRADIENT, stops=colors), problem

    def _stops(self, element: etree._Element) -> tuple[etree._Element, list[etree._Element], bool]:
        """The gradient of the chain that owns the stops, its stops, and whether the chain bites its tail."""
        chain: dict[etree._Element, None] = {}
        current, found = element, None
        while found is None and current not in chain:
            chain[current] = None
            stops = [child for child in current if isinstance(child.tag, str) and child.tag.endswith("}stop")]
            address = target(current)
            following = self._ids().get(address[1:]) if address and address.startswith("#") else None
            if stops or following is None or following.tag.rpartition("}")[2] not in GRADIENTS:
                found = current, stops, False
            else:
                found, current = self._chains.get(following), following
        if found is None:
            found = element, [], True
        # All gradients are asked for, and a chain of them may be as long as the file.
        self._chains.update(dict.fromkeys(chain, found))
        return found

    def _style(self, element: etree._Element) -> Style:
        """Computed style of an element outside the walk, by way of its ancestors."""
        style = INITIAL_STYLE
        for ancestor in reversed([element, *element.iterancestors()]):
            style = self._cascade.style_of(ancestor, style)
        return style

    def _swatch(
        self, element: etree._Element, style: Style, color: str, opacity: str, definition: str
    ) -> Paint:
        shown = self._color(style, color, opacity)
        name = own_name(element)
        if name is None:
            return Paint(PaintKind.COLOR, shown)
        origin = Origin(ref=element.get("id") or name, line=line_of(element), id=element.get("id"))
        self.spots.setdefault((name, shown), Spot(name, definition, shown, origin))
        return Paint(PaintKind.COLOR, shown, name)

    def _color(self, style: Style, color: str, opacity: str) -> Color:
        value: PaintValue = style[color]
        if value.kind == "current":
            value = style["color"]
        found = value.color or Color((0.0, 0.0, 0.0))
        share: float = style[opacity]
        return found if share == 1.0 else msgspec.structs.replace(found, alpha=found.alpha * share)
