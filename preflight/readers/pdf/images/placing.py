"""Images (ISO 32000-1, 8.9) as objects of the page. Knows no operator; opens no image."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pikepdf

from preflight.artwork.model import Alpha, InkPixels, Kind
from preflight.readers.matrices import multiplied
from preflight.readers.pdf.document.values import object_of
from preflight.readers.pdf.images.image_facts import ImageFacts, image_facts

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["draw_image", "draw_inline_image"]

_KEYS = {
    "BPC": "BitsPerComponent",
    "CS": "ColorSpace",
    "D": "Decode",
    "DP": "DecodeParms",
    "F": "Filter",
    "H": "Height",
    "IM": "ImageMask",
    "I": "Interpolate",
    "L": "Length",
    "W": "Width",
}
"""Short keys of inline images: ISO 32000-1, table 93."""

_STEPS = 64
"""What looking at an inline image takes; one that has a name is looked at once."""
_LARGEST = 1e15
"""Numbers that PDF objects hold; what is larger means nothing in an image."""


def draw_image(run: Interpreter, stream: pikepdf.Stream, name: str) -> None:
    """Put an image XObject on the page: the unit square of user space."""
    resources = run.frame.resources
    key = ("image", name)
    facts: ImageFacts | None = resources.kept.get(key)
    if facts is None:
        facts = resources.kept[key] = image_facts(
            stream,
            stream.read_raw_bytes,
            lambda value: run.colours.space_of(value, resources),
            run.context,
        )
    _place(run, facts)


def draw_inline_image(run: Interpreter, keys: dict[str, Any], data: bytes) -> None:
    """Put an inline image on the page.

    Parameters
    ----------
    keys : its dictionary, short keys as written; values as `preflight.readers.pdf.content.operands.operand_at` gives them.
    data : its bytes, packed as they are.
    """
    resources = run.frame.resources
    # Content that is kept holds the same dictionary each time it is drawn: letters made of pictures are many.
    key = ("inline image", str(id(keys)))
    if key not in resources.kept:
        run.context.workload.take(_STEPS)
        facts = image_facts(
            _spelt_out(keys),
            lambda: data,
            lambda value: run.colours.space_of(value, resources, inline=True),
            run.context,
        )
        # Its number in memory is its own as long as it is kept.
        resources.kept[key] = (keys, facts)
    _place(run, resources.kept[key][1])


def _spelt_out(keys: dict[str, Any]) -> pikepdf.Dictionary:
    """The dictionary with long keys. Names of filters stay as they are."""
    found = pikepdf.Dictionary()
    for key, value in keys.items():
        held = _held(value)
        if held is not None and key and "\0" not in key:
            found[f"/{_KEYS.get(key, key)}"] = held
    return found


def _held(value: Any) -> Any:
    if isinstance(value, bool):
        return value
    if isinstance(value, dict):
        return _spelt_out(value)
    if isinstance(value, list):
        held = [_held(one) for one in value]
        return pikepdf.Array([pikepdf.Dictionary() if one is None else one for one in held])
    if isinstance(value, str) and (not value or "\0" in value):
        return None  # no name that pikepdf can hold, and none that means anything
    if isinstance(value, float) and not abs(value) < _LARGEST:
        return None
    return object_of(value)


def _place(run: Interpreter, facts: ImageFacts) -> None:
    context = run.context
    a, b, c, d, _, _ = run.state.matrix
    size = (math.hypot(a, b), math.hypot(c, d))
    broken = facts.broken
    if not (math.isfinite(size[0]) and math.isfinite(size[1])) or a * d == b * c:
        broken = broken or "the image has no size"
    if broken is not None:
        context.fault("image", f"{broken[0].upper()}{broken[1:]}.")
    absent = facts.left
    if facts.broken is not None:
        absent = f"{facts.broken[0].upper()}{facts.broken[1:]}."
    elif absent is not None:
        context.not_modelled("image", absent)
    for message in facts.faults:
        context.fault("image", f"{message}.")
    for message in facts.unmodelled:
        context.not_modelled("image", message, once=True)
    # Rows of pixels run down from the top of the unit square.
    matrix = multiplied(run.state.matrix, (1.0, 0.0, 0.0, -1.0, 0.0, 1.0))
    if facts.decode is not None:
        run.canvas.alphas[len(run.canvas.objects)] = Alpha(matrix, facts.decode)
    if facts.inks is not None:
        run.canvas.inks[len(run.canvas.objects)] = InkPixels(matrix, facts.inks)
    run.draw_box(
        Kind.IMAGE,
        run.state.matrix,
        run.state.fill if facts.stencil else facts.paint,
        placed_size=size,
        pixel_size=facts.pixels,
        linked=facts.linked,
        raster=facts.raster,
        broken=broken,
        absent=absent,
    )
