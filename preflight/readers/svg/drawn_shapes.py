"""Draws basic shapes and paths. Knows no text and no image."""

from __future__ import annotations

from preflight.artwork.model import Kind, NoteKind
from preflight.readers.svg.canvas import Canvas, Marked
from preflight.readers.svg.shapes import MARKED
from preflight.readers.svg.state import Entered

__all__ = ["draw_shape"]


def draw_shape(canvas: Canvas, entered: Entered) -> None:
    """One shape element."""
    origin = canvas.origin(entered)
    fill, stroke = canvas.fill_and_stroke(entered, origin)
    data = entered.attributes.get("d")
    curve, broken = canvas.context.shape(entered.element, entered.name, entered.style, data)
    if broken:
        message = f"{broken[0].upper()}{broken[1:]}."
        canvas.context.note(NoteKind.FAULT, entered.name, message, origin)
    if stroke.dash and "pathLength" in entered.attributes:
        message = "Dashes measured in a length of the author's own (pathLength) are not modelled."
        canvas.context.note(NoteKind.NOT_MODELLED, "pathLength", message, origin)
    canvas.add(entered, Kind.PATH, origin, curve, broken, fill, stroke)
    if entered.style.marked:
        if entered.name in MARKED:
            canvas.marked.append(Marked(len(canvas.objects) - 1, entered, origin, curve, fill, stroke.paint))
        else:
            message = f"Markers on a <{entered.name}> are not drawn, as browsers do not draw them either."
            canvas.context.note(NoteKind.ASSUMED, "marker", message, origin)
