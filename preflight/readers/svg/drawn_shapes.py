"""Draws basic shapes and paths. Knows no text and no image."""

from __future__ import annotations

from preflight.artwork.model import Kind, NoteKind
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.state import Entered

__all__ = ["draw_shape"]


def draw_shape(canvas: Canvas, entered: Entered) -> None:
    """One shape element."""
    origin = canvas.origin(entered)
    fill, stroke = canvas.fill_and_stroke(entered, origin)
    curve, broken = canvas.context.shape(entered.element, entered.name, entered.style)
    if broken:
        message = f"{broken[0].upper()}{broken[1:]}."
        canvas.context.note(NoteKind.FAULT, entered.name, message, origin)
    canvas.add(entered, Kind.PATH, origin, curve, broken, fill, stroke)
    if entered.style.marked:
        message = "The markers at the nodes of a line (arrow heads and the like) are not modelled."
        canvas.context.note(NoteKind.NOT_MODELLED, "marker", message, origin)
