"""Draws live text as the box it is estimated to take. Knows no font."""

from __future__ import annotations

from preflight.artwork.model import Kind, NoteKind
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.state import Entered
from preflight.readers.svg.units import mean_scale

__all__ = ["draw_text"]


def draw_text(canvas: Canvas, entered: Entered) -> None:
    """One ``<text>`` with its spans."""
    context = canvas.context
    origin = canvas.origin(entered)
    fill, stroke = canvas.fill_and_stroke(entered, origin)
    from preflight.readers.svg.text import text_box  # for files whose text is live

    found = text_box(context, entered.element, entered.style)
    canvas.add(
        entered,
        Kind.TEXT,
        origin,
        context.curves.box(*found.box) if found.box else context.curves.path(""),
        None if found.box else "the text holds no characters",
        fill,
        stroke,
        boxed=found.box is not None,
        text=found.characters,
        font_size=found.font_size * mean_scale(entered.matrix),
    )
    if not found.box:
        return
    message = "Live text: its box is estimated without the font."
    if found.on_path:
        message = "Live text on a path: its box is estimated as if it ran straight."
    context.note(NoteKind.NOT_MODELLED, "text", message, origin)
