"""Groups, nested viewports and ``<use>``: what they pass on to the elements they hold. Draws nothing."""

from __future__ import annotations

import msgspec
from lxml import etree

from preflight.artwork.model import NoteKind
from preflight.readers.svg import conditions
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.clip import ClipNode, viewport_clip
from preflight.readers.svg.names import line_of
from preflight.readers.svg.paint import ContextPaints, target
from preflight.readers.svg.state import Entered, Frame
from preflight.readers.svg.units import Matrix, multiplied
from preflight.readers.svg.viewport import parse_view_box, view_box_matrix

__all__ = ["open_group", "open_use"]


def open_group(canvas: Canvas, entered: Entered, use: etree._Element | None) -> Frame:
    """The frame of ``<g>``, ``<svg>``, ``<a>``, ``<switch>``, or of a ``<symbol>`` drawn through ``use``."""
    element, name, state, style = entered.element, entered.name, entered.state, entered.style
    matrix, hidden, clip = entered.matrix, entered.hidden, entered.clip
    if style.effects:
        canvas.note_effects(style, element)
    boxed = canvas.own_box(entered)
    layer = state.layer
    if name in ("g", "svg"):
        layer = canvas.layers.of(element, state.layer, style.displayed)
        if hidden == "display" and layer != state.layer:
            hidden = "layer"
    viewport = state.viewport
    if name in ("svg", "symbol"):
        matrix, viewport, clip, shown = _viewport(canvas, entered, use)
        hidden = hidden or shown
    below = msgspec.structs.replace(
        state,
        style=style,
        matrix=matrix,
        viewport=viewport,
        place=entered.place,
        layer=layer,
        clip=clip,
        opacity=state.opacity * style.opacity,
        blend=style.blend if style.blend != "normal" else state.blend,
        effect=canvas.effect(style, state),
        groups=canvas.groups(style, state),
        hidden=hidden,
        waive=canvas.waivers(entered),
    )
    if boxed is not None:
        boxed.first = len(canvas.objects)
    switch = name == "switch"
    chosen = conditions.chosen_child(element) if switch else None
    return Frame(below, iter(element), switch=switch, chosen=chosen, boxed=boxed)


def _viewport(
    canvas: Canvas, entered: Entered, use: etree._Element | None
) -> tuple[Matrix, tuple[float, float], tuple[ClipNode, ...], str | None]:
    """Matrix, size and clip of a nested ``<svg>`` or an instance of a ``<symbol>``, and why it shows nothing."""
    context, element, style = canvas.context, entered.element, entered.style
    matrix, clip = entered.matrix, entered.clip
    if entered.name == "symbol" and not {"refX", "refY"}.isdisjoint(entered.attributes):
        message = "The reference point of a symbol (refX, refY) is left out, as browsers leave it out."
        context.note(NoteKind.ASSUMED, "symbol", message, element)
    size = []
    for side, axis in (("width", "x"), ("height", "y")):
        value = context.value(use, context.outside_style(use), side, axis) if use is not None else None
        if value is None:
            value = context.value(element, style, side, axis)
        size.append(context.whole(axis) if value is None else value)
    width, height = size
    if width <= 0 or height <= 0:
        return matrix, (0.0, 0.0), clip, "viewport without size"
    x = context.value(element, style, "x", "x") or 0.0
    y = context.value(element, style, "y", "y") or 0.0
    matrix = multiplied(matrix, (1, 0, 0, 1, x, y))
    if style["overflow"] not in ("visible", "auto"):
        clip = (*clip, viewport_clip(context, width, height, matrix))
    box = parse_view_box(element.get("viewBox"))
    if box is None:
        return matrix, (width, height), clip, None
    if box.width == 0 or box.height == 0:
        return matrix, (width, height), clip, "viewBox without size"
    fitted = view_box_matrix(box, width, height, element.get("preserveAspectRatio"))
    return multiplied(matrix, fitted), (box.width, box.height), clip, None


def open_use(canvas: Canvas, element: etree._Element, place: str, frame: Frame) -> Frame | None:
    """The frame of a ``<use>``, which holds the one element it draws; None where there is nothing to draw."""
    context, state = canvas.context, frame.state
    address = target(element)
    found = context.ids.get(address[1:]) if address and address.startswith("#") else None
    if found is None:
        kind = NoteKind.FAULT if not address or address.startswith("#") else NoteKind.NOT_MODELLED
        message = f"<use> refers to “{(address or '')[:60]}”, which is not in the file; nothing is drawn."
        context.note(kind, "use", message, element)
        return None
    if found in state.uses or found is element or found in element.iterancestors():
        message = "<use> draws itself in a circle; the inner one is left out."
        context.note(NoteKind.FAULT, "use", message, element)
        return None
    entered = canvas.entered(element, "use", place, frame)
    style = entered.style
    if style.effects:
        canvas.note_effects(style, element)
    boxed = canvas.own_box(entered)
    x = context.value(element, style, "x", "x") or 0.0
    y = context.value(element, style, "y", "y") or 0.0
    fill, stroke = canvas.paints(style, state, element)
    below = msgspec.structs.replace(
        state,
        style=style,
        matrix=multiplied(entered.matrix, (1, 0, 0, 1, x, y)),
        clip=entered.clip,
        opacity=state.opacity * style.opacity,
        blend=style.blend if style.blend != "normal" else state.blend,
        effect=canvas.effect(style, state),
        groups=canvas.groups(style, state),
        hidden=entered.hidden,
        waive=canvas.waivers(entered),
        prefix=canvas.ref(entered) + "/",
        uses=(*state.uses, found),
        drawn_at=line_of(element) if state.drawn_at is None else state.drawn_at,
        context=ContextPaints(fill, stroke),
        place=place,
    )
    if boxed is not None:
        boxed.first = len(canvas.objects)
    return Frame(below, iter((found,)), instance=element, boxed=boxed)
