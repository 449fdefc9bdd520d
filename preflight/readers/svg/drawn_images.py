"""Draws images as the box their pixels land in. Opens no image."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from preflight.artwork.model import Alpha, Kind, NoteKind
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.paint import target
from preflight.readers.svg.state import Entered
from preflight.readers.svg.units import multiplied
from preflight.readers.svg.viewport import ViewBox, view_box_matrix

if TYPE_CHECKING:
    from preflight.readers.svg.images import ImageFacts

__all__ = ["draw_image"]


def draw_image(canvas: Canvas, entered: Entered) -> None:
    """One ``<image>``, embedded or linked."""
    context = canvas.context
    origin = canvas.origin(entered)
    from preflight.readers.svg.images import image_facts  # with what decodes addresses

    facts = image_facts(target(entered.element), canvas.folder, context.limits)
    if facts.unmodelled:
        context.note(NoteKind.NOT_MODELLED, "image", facts.unmodelled, origin)
    absent = facts.left
    if facts.broken:
        absent = f"{facts.broken[0].upper()}{facts.broken[1:]}."
    if absent:
        kind = NoteKind.FAULT if facts.broken else NoteKind.NOT_MODELLED
        context.note(kind, "image", absent, origin)
    placing = _placed(canvas, entered, facts)
    broken, placed, curve = facts.broken, None, context.curves.path("")
    if placing is None:
        if broken is None:
            broken = "the image has no size"
            context.note(NoteKind.FAULT, "image", "The image has no size.", origin)
    else:
        curve = context.curves.box(*placing.shown)
        a, b, c, d = entered.matrix[:4]
        left, top, width, height = placing.whole
        if facts.decode is not None:
            unit = multiplied(entered.matrix, (width, 0.0, 0.0, height, left, top))
            canvas.alphas[len(canvas.objects)] = Alpha(unit, facts.decode)
        placed = (width * (a * a + b * b) ** 0.5, height * (c * c + d * d) ** 0.5)
    canvas.add(
        entered,
        Kind.IMAGE,
        origin,
        curve,
        broken,
        placed_size=placed,
        pixel_size=facts.pixels,
        linked=facts.linked,
        absent=absent,
    )


class _Placing(NamedTuple):
    """The box in which pixels show, and x, y, width and height of all of them: more where the box slices some off."""

    shown: tuple[float, float, float, float]
    whole: tuple[float, float, float, float]


def _placed(canvas: Canvas, entered: Entered, facts: ImageFacts) -> _Placing | None:
    """Where the pixels land, user units, by ``preserveAspectRatio``; None where there is no room."""
    value, element, style = canvas.context.value, entered.element, entered.style
    x, y = value(element, style, "x", "x") or 0.0, value(element, style, "y", "y") or 0.0
    width, height = value(element, style, "width", "x"), value(element, style, "height", "y")
    if facts.pixels and all(facts.pixels):
        columns, rows = facts.pixels
        if width is None and height is None:
            width, height = float(columns), float(rows)
        elif width is None and height is not None:
            width = height * columns / rows
        elif height is None and width is not None:
            height = width * rows / columns
    if not width or not height or width < 0 or height < 0:
        return None
    if not facts.pixels or not all(facts.pixels):
        return _Placing((x, y, x + width, y + height), (x, y, width, height))
    box = ViewBox(0, 0, *facts.pixels)
    a, _, _, d, e, f = view_box_matrix(box, width, height, entered.attributes.get("preserveAspectRatio"))
    left, top = x + max(e, 0.0), y + max(f, 0.0)
    right, bottom = x + min(e + a * box.width, width), y + min(f + d * box.height, height)
    return _Placing((left, top, right, bottom), (x + e, y + f, a * box.width, d * box.height))
