"""What each painted part of an object does to what is on the sheet: leaves ink, takes it away, or may. Knows no geometry and no role."""

from __future__ import annotations

import msgspec

from preflight.artwork import Color, Kind, Object, Paint, PaintKind
from preflight.colour.ink_names import PROCESS
from preflight.job.printing.inks import Part, laid

__all__ = ["Laying", "laying"]

_KEEPS_INK = frozenset({"normal", "multiply", "darken", "color-burn"})
"""Blend modes under which ink never becomes less (ISO 32000-1, table 136): the result is nowhere lighter than what lies beneath."""
_LEAVES_PAPER = frozenset({"multiply", "darken", "color-burn"})
"""Blend modes under which white does nothing."""


class Laying(msgspec.Struct, frozen=True):
    """What a part does where it is painted.

    Attributes
    ----------
    adds, erases : it leaves ink; it takes away the ink beneath, within the innermost see-through group it is part of, and leaves none.
        Both where it may do either.
    cause : why that is not sure, or None.
    """

    adds: bool
    erases: bool
    cause: str | None = None


_ADDS = Laying(True, False)
_ERASES = Laying(False, True)


def laying(part: Part, drawn: Object) -> Laying | None:
    """What a part of an object does to the sheet; None where it leaves everything as it is."""
    opacity = drawn.stroke.opacity if part.stroke else drawn.fill_opacity
    if opacity * drawn.opacity <= 0.0:
        return None
    if not drawn.groups:
        opacity *= drawn.opacity
    found = _of_image(part, drawn, opacity) if drawn.kind is Kind.IMAGE else _of_paint(part, opacity)
    if found is None:
        return None
    if drawn.blend not in _KEEPS_INK:
        found = Laying(True, True, "blend mode")
    elif drawn.blend in _LEAVES_PAPER:
        if not found.adds:
            return None
        found = Laying(True, False, found.cause)
    elif found.erases and part.overprint:
        found = _overprinted(part, found)
    if found is not None and drawn.effect is not None:
        return Laying(found.adds, found.erases, drawn.effect)
    if found is not None and drawn.boxed and found.cause is None:
        return Laying(found.adds, found.erases, "text")
    return found


def _of_image(part: Part, drawn: Object, opacity: float) -> Laying | None:
    if drawn.raster is not None and drawn.raster.mask == "stencil":
        return _of_paint(part, opacity)
    unseen = drawn.broken or drawn.absent or drawn.pixel_size is None
    return Laying(True, False, "image") if unseen else _ADDS


def _of_paint(part: Part, opacity: float) -> Laying | None:
    paint = part.paint
    if not paint.paints:
        return None
    if paint.kind is PaintKind.COLOR:
        if laid(paint):
            return _ADDS
        whole = opacity * (1.0 if paint.color is None else paint.color.alpha)
        return _ERASES if whole >= 1.0 else None
    if paint.kind is PaintKind.GRADIENT:
        return _of_gradient(paint, opacity)
    return Laying(True, True, "pattern" if paint.kind is PaintKind.PATTERN else "paint")


def _of_gradient(paint: Paint, opacity: float) -> Laying | None:
    if not paint.stops:
        return Laying(True, True, "gradient")
    inked = [_inked(paint, stop) for stop in paint.stops]
    white = [not ink and stop.alpha * opacity >= 1.0 for ink, stop in zip(inked, paint.stops, strict=True)]
    if all(inked):
        return _ADDS
    if all(white):
        return _ERASES
    return Laying(any(inked), any(white), "gradient") if any(inked) or any(white) else None


def _inked(paint: Paint, stop: Color) -> bool:
    """Whether a stop leaves ink; its look decides, as the tints of separations at single stops are not known."""
    return bool(laid(Paint(PaintKind.COLOR, stop, paint.spot)))


def _overprinted(part: Part, found: Laying) -> Laying | None:
    """White set to overprint takes away the inks it names, and leaves the others."""
    left = part.leaves(PROCESS)
    if left == PROCESS and not found.adds:
        return None
    return Laying(found.adds, found.erases, found.cause or "overprint")
