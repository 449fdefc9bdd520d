"""How light an object prints: L* of its paints on the paper. Knows no role, no geometry and no limit."""

from __future__ import annotations

from preflight.artwork import Color, Object, Paint, PaintKind
from preflight.colour.ink_names import ALL
from preflight.colour.lightness import lightness_of_inks, lightness_of_screen, lightness_of_tint

__all__ = ["lightness", "lightness_of_paint"]


def lightness(drawn: Object) -> float | None:
    """L* of the lightest paint of an object as it prints on white paper; None where it is not known, or nothing is painted.

    Named colours count by the alternate the file gives, ``All`` as all four process inks, gradients by their lightest stop.
    """
    found = []
    for paint, opacity in ((drawn.fill, drawn.fill_opacity), (drawn.stroke.paint, drawn.stroke.opacity)):
        if paint.paints:
            own = lightness_of_paint(paint, opacity * drawn.opacity)
            if own is None:
                return None
            found.append(own)
    return max(found, default=None)


def lightness_of_paint(paint: Paint, opacity: float) -> float | None:
    """L* of a paint as it prints on white paper, of a gradient its lightest stop; None where it is not known."""
    if paint.kind is PaintKind.GRADIENT and paint.stops:
        stops = [_of_color(color, opacity) for color in paint.stops]
        return None if None in stops else max(stop for stop in stops if stop is not None)
    if paint.kind is not PaintKind.COLOR or paint.color is None:
        return None
    on_every_plate = [tint for name, tint in paint.inks if name == ALL]
    if on_every_plate:
        tint = on_every_plate[0] * opacity
        return lightness_of_inks(tint, tint, tint, tint)
    return _of_color(paint.color, opacity)


def _of_color(color: Color, opacity: float) -> float | None:
    share, numbers = opacity * color.alpha, color.components
    if color.space == "unknown":
        return None
    if color.space in ("device-cmyk", "icc") and len(numbers) == 4:
        cyan, magenta, yellow, black = (value * share for value in numbers)
        return lightness_of_inks(cyan, magenta, yellow, black)
    if color.space == "device-gray" and len(numbers) == 1:
        return lightness_of_inks(0.0, 0.0, 0.0, (1.0 - numbers[0]) * share)
    if color.space == "lab" and numbers:
        return lightness_of_tint(numbers[0], share)
    red, green, blue = (value * share + 1.0 - share for value in color.rgb)
    return lightness_of_screen((red, green, blue))
