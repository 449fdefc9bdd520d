"""Operators that draw what is kept elsewhere (ISO 32000-1, 8.7.4.2, 8.8, 8.9.7): ``Do BI sh``, ``d0 d1``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec
import pikepdf

from preflight.artwork.model import Kind, Stroke
from preflight.readers.pdf.colours.shadings import shading_of
from preflight.readers.pdf.content.forms import draw_form
from preflight.readers.pdf.content.operator import Operator
from preflight.readers.pdf.document.values import entry, name_text
from preflight.readers.pdf.images.placing import draw_image, draw_inline_image
from preflight.readers.pdf.layers.content_layers import Content

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["OPERATORS"]

_SHADING_STEPS = 8
"""What painting with a shading takes beside its operator, one that is known already too."""


class _Drawable(msgspec.Struct, frozen=True):
    """What a name that ``Do`` draws leads to: the stream, ``/OC`` or None, and what kind of object it is."""

    stream: pikepdf.Stream
    optional: Any
    kind: str | None


def _draw(run: Interpreter, name: str) -> None:
    """``Do``."""
    resources, key = run.frame.resources, ("XObject", name)
    one: _Drawable | None = resources.kept.get(key)
    if one is None:
        found = resources.find(*key)
        if not isinstance(found, pikepdf.Stream):
            what = "is not in the resources" if found is None else "is no stream"
            run.context.fault("XObject", f"The object “{name[:40]}” that is to be drawn {what}.")
            return
        one = resources.kept[key] = _drawable(found)
    content: Content | None = None
    if one.optional is not None:
        content = run.layers.entered(one.optional, run.canvas.layer)
    run.enter(content)
    if one.kind == "Image":
        draw_image(run, one.stream, name)
    elif one.kind == "Form":
        draw_form(run, one.stream, name)
    elif one.kind == "PS":
        run.context.not_modelled("PostScript", f"The PostScript of the object “{name[:40]}” is not run.")
    else:
        run.context.fault("XObject", f"The object “{name[:40]}” is neither a form nor an image.")
    run.leave()


def _drawable(stream: pikepdf.Stream) -> _Drawable:
    kind = name_text(entry(stream, "/Subtype"))
    if kind is None and entry(stream, "/BBox") is not None:
        kind = "Form"
    return _Drawable(stream, entry(stream, "/OC"), kind)


def _inline_image(run: Interpreter, keys: dict[str, Any], data: bytes) -> None:
    draw_inline_image(run, keys, data)


def _shade(run: Interpreter, name: str) -> None:
    """``sh``: paints all that the clip in force leaves, within the shading's own box."""
    value = run.frame.resources.find("Shading", name)
    if value is None:
        run.context.fault("sh", f"The shading “{name[:40]}” is not in the resources.")
        return
    run.context.workload.take(_SHADING_STEPS)
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
