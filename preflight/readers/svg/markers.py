"""Draws the markers at the vertices of lines, each as objects of its own. Knows no shape's curves but their vertices.

Markers are drawn when everything else has been met: where they stand follows from path data, which is read all
at once. Their objects then take their place right after the shape that bears them.
"""

from __future__ import annotations

import msgspec
import numpy as np
from lxml import etree

from preflight.artwork.model import NoteKind
from preflight.geometry.vertices import Vertices, vertices
from preflight.readers.svg.canvas import Canvas, Marked
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.clip import viewport_clip
from preflight.readers.svg.context import Context, local_name
from preflight.readers.svg.paint import ContextPaints
from preflight.readers.svg.state import State
from preflight.readers.svg.units import (
    IDENTITY,
    MM_PER_PX,
    Matrix,
    mean_scale,
    multiplied,
    parse_angle,
    parse_length,
    rotation,
    to_px,
)
from preflight.readers.svg.viewport import parse_view_box, view_box_matrix
from preflight.readers.svg.walk import walk

__all__ = ["draw_markers"]

_POSITIONS = ("marker-start", "marker-mid", "marker-end")
_KEYWORDS = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}


class _Design(msgspec.Struct):
    """A marker as one shape uses it.

    ``placed`` leads from its viewport to the shape's user space at a vertex at the origin, before it is turned;
    ``fitted`` from its contents to its viewport. ``angle`` is None where the path decides; ``reversed`` turns it
    round at the start of the path.
    """

    element: etree._Element
    style: Style
    size: tuple[float, float]
    viewport: tuple[float, float]
    placed: Matrix
    fitted: Matrix
    clips: bool
    angle: float | None
    reversed: bool


def draw_markers(canvas: Canvas) -> None:
    """Draw the markers of every shape met, then those of the shapes inside them.

    Raises
    ------
    preflight.readers.errors.Unreadable
        Markers draw more elements again than the limit allows.
    """
    while canvas.marked:
        shapes, canvas.marked = canvas.marked, []
        found = vertices(canvas.context.curves.texts([one.curve for one in shapes]))
        for shape, places in zip(shapes, found, strict=True):
            _draw_on(canvas, shape, places)
    canvas.bearer = None


def _draw_on(canvas: Canvas, shape: Marked, places: Vertices) -> None:
    """The markers of one shape: at its start, between, at its end, which is the order they are painted in."""
    count = len(places.points)
    if not count or not np.isfinite(places.points).all():
        return
    context = canvas.context
    context.viewport = shape.entered.state.viewport
    canvas.bearer = shape.index
    points, angles = places.points.tolist(), places.angles.tolist()
    spans = ((0, 1), (1, count - 1), (count - 1, count))
    for position, (first, last) in zip(_POSITIONS, spans, strict=True):
        address: str = shape.entered.style[position]
        design = _design(context, shape, address) if address and last > first else None
        if design is None:
            continue
        context.refuse_more((last - first) * (1 + len(design.element)))
        for index in range(first, last):
            context.count_expanded()
            turn = angles[index] if design.angle is None else design.angle
            if design.reversed and position == "marker-start":
                turn += 180.0
            _draw_one(canvas, shape, design, points[index], turn)


def _draw_one(canvas: Canvas, shape: Marked, design: _Design, at: list[float], turn: float) -> None:
    entered, one = shape.entered, canvas.objects[shape.index]
    matrix = multiplied(entered.matrix, multiplied((1, 0, 0, 1, at[0], at[1]), rotation(turn)))
    matrix = multiplied(matrix, design.placed)
    clip = entered.clip
    if design.clips:
        clip = (*clip, viewport_clip(canvas.context, *design.size, matrix))
    element = design.element
    blend = design.style.blend
    state = State(
        style=design.style,
        matrix=multiplied(matrix, design.fitted),
        viewport=design.viewport,
        place=canvas.context.path_of(element),
        layer=one.layer,
        clip=clip,
        opacity=one.opacity * design.style.opacity,
        blend=blend if blend != "normal" else one.blend,
        effect=one.effect,
        groups=one.groups,
        hidden=one.hidden,
        waive=one.waive,
        prefix=f"{one.origin.ref}/{element.get('id')}/",
        uses=(*entered.state.uses, element),
        drawn_at=one.origin.line if one.origin.drawn_at is None else one.origin.drawn_at,
        context=ContextPaints(shape.fill, shape.stroke),
    )
    walk(canvas, state, iter(element))


def _design(context: Context, shape: Marked, address: str) -> _Design | None:
    """The marker that an address names; None where none is drawn, and a note then says why."""
    origin, entered = shape.origin, shape.entered
    element = context.ids.get(address[1:]) if address.startswith("#") else None
    if element is None or local_name(element) != "marker":
        known = address.startswith("#")
        kind = NoteKind.FAULT if known else NoteKind.NOT_MODELLED
        message = f"The marker “{address[:60]}” is not in the file; it is not drawn."
        context.note(kind, "marker", message, origin)
        return None
    if element in entered.state.uses:
        message = "A marker draws itself in a circle; the inner one is left out."
        context.note(NoteKind.FAULT, "marker", message, origin)
        return None
    style = context.outside_style(element)
    scale = 1.0 if element.get("markerUnits") == "userSpaceOnUse" else _stroke_width(context, shape)
    size = tuple(
        _length(context, element, style, name, axis, 3.0)
        for name, axis in (("markerWidth", "x"), ("markerHeight", "y"))
    )
    width, height = size
    box = parse_view_box(element.get("viewBox"))
    if min(size) < 0:
        message = "A marker has a negative size and is not drawn."
        context.note(NoteKind.FAULT, "marker", message, element)
    if min(size) <= 0 or scale <= 0 or (box is not None and not (box.width and box.height)):
        return None
    fitted = view_box_matrix(box, width, height, element.get("preserveAspectRatio")) if box else IDENTITY
    viewport = (box.width, box.height) if box else (width, height)
    x, y = (
        _reference(context, element, style, name, whole)
        for name, whole in (("refX", viewport[0]), ("refY", viewport[1]))
    )
    a, _, _, d, e, f = fitted
    placed = multiplied((scale, 0, 0, scale, 0, 0), (1, 0, 0, 1, -(a * x + e), -(d * y + f)))
    orient = (element.get("orient") or "0").strip()
    auto = orient in ("auto", "auto-start-reverse")
    return _Design(
        element=element,
        style=style,
        size=(width, height),
        viewport=viewport,
        placed=placed,
        fitted=fitted,
        clips=style["overflow"] not in ("visible", "auto"),
        angle=None if auto else parse_angle(orient) or 0.0,
        reversed=orient == "auto-start-reverse",
    )


def _stroke_width(context: Context, shape: Marked) -> float:
    """User units; that of a stroke which does not scale is undone by the scale of its surroundings."""
    style = shape.entered.style
    width = to_px(style["stroke-width"], context.whole("o"), style.font_size, context.window)
    if style["vector-effect"] == "non-scaling-stroke":
        scale = mean_scale(shape.entered.matrix)
        return width * MM_PER_PX / scale if scale else 0.0
    return width


def _length(
    context: Context, element: etree._Element, style: Style, name: str, axis: str, initial: float
) -> float:
    value = context.value(element, style, name, axis)
    return initial if value is None else value


def _reference(context: Context, element: etree._Element, style: Style, name: str, whole: float) -> float:
    """``refX`` or ``refY`` in the units of the marker's contents; percentages and words are of its view box."""
    text = (element.get(name) or "0").strip()
    length = parse_length(_KEYWORDS.get(text, text))
    if length is None:
        message = f"“{name}={text[:60]}” is no length and is left out."
        context.note(NoteKind.FAULT, "length", message, element)
        return 0.0
    return to_px(length, whole, style.font_size, context.window)
