"""Operators that draw what is kept elsewhere (ISO 32000-1, 8.7.4.2, 8.8, 8.9.7): ``Do BI sh``, ``d0 d1``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pikepdf

from preflight.artwork.model import Kind, Stroke
from preflight.readers.pdf.forms import draw_form
from preflight.readers.pdf.images import draw_image, draw_inline_image
from preflight.readers.pdf.layers import Content
from preflight.readers.pdf.operator import Operator
from preflight.readers.pdf.shadings import shading_of
from preflight.readers.pdf.values import entry, name_text

if TYPE_CHECKING:
    from preflight.readers.pdf.interpreter import Interpreter

__all__ = ["OPERATORS"]


def _draw(run: Interpreter, name: str) -> None:
    """``Do``."""
    found = run.frame.resources.find("XObject", name)
    if not isinstance(found, pikepdf.Stream):
        what = "is not in the resources" if found is None else "is no stream"
        run.context.fault("XObject", f"The object “{name[:40]}” that is to be drawn {what}.")
        return
    optional = entry(found, "/OC")
    content: Content | None = None
    if optional is not None:
        content = run.layers.entered(optional, run.canvas.layer)
    run.enter(content)
    kind = name_text(entry(found, "/Subtype"))
    if kind == "Image":
        draw_image(run, found, name)
    elif kind == "Form" or (kind is None and entry(found, "/BBox") is not None):
        draw_form(run, found, name)
    elif kind == "PS":
        run.context.not_modelled("PostScript", f"The PostScript of the object “{name[:40]}” is not run.")
    else:
        run.context.fault("XObject", f"The object “{name[:40]}” is neither a form nor an image.")
    run.leave()


def _inline_image(run: Interpreter, keys: dict[str, Any], data: bytes) -> None:
    draw_inline_image(run, keys, data)


def _shade(run: Interpreter, name: str) -> None:
    """``sh``: paints all that the clip in force leaves, within the shading's own box."""
    value = run.frame.resources.find("Shading", name)
    if value is None:
        run.context.fault("sh", f"The shading “{name[:40]}” is not in the resources.")
        return
    shading = shading_of(value, run.frame.resources, run.colours)
    canvas, state = run.canvas, run.state
    if all(abs(side) < run.limits.coordinate for side in shading.box):
        shape = canvas.paths.box(shading.box, state.matrix)
    else:
        inner = canvas.clip_shape(state.clips)
        shape = canvas.page_shape() if inner is None else inner
    run.draw(Kind.SHADING, shape, shading.paint, Stroke())


def _glyph_width(run: Interpreter, *numbers: float) -> None:
    """``d0`` and ``d1`` belong to the glyphs of Type 3 fonts; elsewhere they do nothing.

    The widths that count are those of the font's dictionary. After ``d1`` a glyph is a shape without colours of its own.
    """
    painting = run.lettering.painting
    if painting is None:
        run.context.fault("d0", "A glyph's width is set where no glyph is drawn.", once=True)
    elif len(numbers) == 6:
        painting.uncoloured = True


OPERATORS: dict[str, Operator] = {
    "Do": Operator(_draw, "N"),
    "BI": Operator(_inline_image, "ds"),
    "sh": Operator(_shade, "N"),
    "d0": Operator(_glyph_width, "nn"),
    "d1": Operator(_glyph_width, "nnnnnn"),
}
