"""The box of what an element draws, before its own transform, by drawing it on a canvas that is thrown away."""

from __future__ import annotations

import numpy as np
from lxml import etree

from preflight.artwork.model import Box, NoteKind
from preflight.geometry import extents, transform
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.state import State
from preflight.readers.svg.units import IDENTITY
from preflight.readers.svg.walk import walk

__all__ = ["fill_box"]


_DEEPEST = 40
"""Boxes inside boxes that are measured; each takes several levels of the call stack."""


def fill_box(canvas: Canvas, element: etree._Element, state: State) -> Box | None:
    """x0, y0, x1, y1 in the element's user space, stroke and markers left out; None where nothing is drawn.

    Parameters
    ----------
    state : what the element's parent passes on.
    """
    context = canvas.context
    # Boxes inside boxes are asked for again by each that holds them.
    key = (element, state.style, state.viewport, state.uses)
    if key not in context.boxes:
        context.boxes[key] = _measured(canvas, element, state)
    return context.boxes[key]


def _measured(canvas: Canvas, element: etree._Element, state: State) -> Box | None:
    context = canvas.context
    quiet, viewport = context.quiet, context.viewport
    if canvas.depth >= _DEEPEST:
        context.quiet = False
        message = (
            "Transforms about the objects' own boxes are nested too deeply; the inner ones are left out."
        )
        context.note(NoteKind.NOT_MODELLED, "transform-box", message, element)
        context.quiet = quiet
        return None
    aside = Canvas(context, canvas.folder, fill_box, untransformed=element, depth=canvas.depth + 1)
    before = State(
        style=state.style,
        matrix=IDENTITY,
        viewport=state.viewport,
        place=state.place,
        prefix="box/",  # what is measured counts as drawn again
        uses=state.uses,
    )
    context.quiet = True
    try:
        walk(aside, before, iter((element,)))
    finally:
        context.quiet, context.viewport = quiet, viewport
    shown = [index for index, one in enumerate(aside.objects) if one.hidden in (None, "visibility")]
    if not shown:
        return None
    curves = context.curves.built().of_objects(np.array(aside.curves, np.intp)[shown])
    with np.errstate(over="ignore", invalid="ignore"):
        boxes = extents.object_boxes(transform.apply(curves, np.array(aside.matrices)[shown]))
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if not len(boxes):
        return None
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    return x0, y0, x1, y1
