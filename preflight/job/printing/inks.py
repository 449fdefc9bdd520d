"""Which inks a paint lays down, and which it takes away from what lies below. Knows no geometry and no rule.

After ISO 32000-1, 8.6.7. Without overprint a paint erases every ink it does not name. With it, inks it does
not name stay: a separation names its own; a process colour names the four process inks; a CMYK colour in overprint mode 1
only those it is not zero in.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from preflight.artwork import Color, Kind, Object, Paint, PaintKind, Stroke
from preflight.colour.ink_names import ALL, CMYK, PROCESS
from preflight.job.naming.screen_colours import hex_of, whole_steps

__all__ = [
    "Part",
    "colour_words",
    "known_inks",
    "laid",
    "leaves_trace",
    "own_inks",
    "parts",
    "printed_inks",
    "stroke_shows",
]

Inks = frozenset[str]

_NOTHING: Inks = frozenset()
_EVERY: Inks = PROCESS | {ALL}
_WHITE = 1.0 - 0.5 / 255
"""A screen colour whose least component reaches this is white in whole steps of 1/255."""


class Part(msgspec.Struct, frozen=True, eq=False):
    """The fill or the stroke of one object.

    ``index`` is the object's in the artwork, ``lays`` the inks it leaves on the sheet, ``sure`` whether its shape and its inks
    are known exactly: not those of images, shadings and patterns, nor of text for whose letters a box stands. ``plain`` says whether it is a path or text in one colour.
    """

    index: int
    stroke: bool
    paint: Paint
    overprint: bool
    mode: int
    opaque: bool
    lays: Inks
    sure: bool
    plain: bool

    @property
    def white(self) -> bool:
        """Whether it is painted, and in no ink: a white that only shows by taking away what lies below."""
        return self.plain and self.opaque and not self.lays

    def leaves(self, below: Inks) -> Inks:
        """Those of the inks below that still print where this part is painted over them."""
        if not self.overprint:
            return _NOTHING if self.opaque else below
        if self.paint.inks:
            named = frozenset(name for name, _ in self.paint.inks)
            return _NOTHING if ALL in named else below - named
        color = self.paint.color
        if color is not None and color.space == "device-cmyk" and self.mode == 1:
            return below - laid(self.paint)
        return below - PROCESS


def parts(index: int, drawn: Object) -> Iterator[Part]:
    """The parts of an object that are painted, in the order of painting."""
    of_path = drawn.kind is Kind.PATH
    solid = drawn.blend == "normal" and drawn.opacity == 1.0
    of_colour = drawn.kind in (Kind.PATH, Kind.TEXT)
    outlined = of_colour and not drawn.boxed
    fill, stroke = drawn.fill, drawn.stroke
    if fill.paints or not of_path:
        yield Part(
            index,
            False,
            fill,
            drawn.overprint,
            # Overprint mode counts for colours set by operators only, not for images and shadings.
            drawn.overprint_mode if of_colour else 0,
            solid and drawn.fill_opacity == 1.0 and _opaque(fill),
            laid(fill) if fill.paints and drawn.fill_opacity * drawn.opacity > 0 else _unknown(drawn),
            outlined and fill.kind is PaintKind.COLOR,
            of_colour and fill.kind is PaintKind.COLOR,
        )
    if stroke.paint.paints:
        yield Part(
            index,
            True,
            stroke.paint,
            stroke.overprint,
            drawn.overprint_mode,
            solid and stroke.opacity == 1.0 and _opaque(stroke.paint),
            laid(stroke.paint) if stroke.opacity * drawn.opacity > 0 else _NOTHING,
            outlined and stroke.paint.kind is PaintKind.COLOR,
            of_colour and stroke.paint.kind is PaintKind.COLOR,
        )


def laid(paint: Paint) -> Inks:
    """Names of the inks that a paint leaves on the sheet; all four process inks where it cannot be told which."""
    if not paint.paints:
        return _NOTHING
    if paint.inks:
        tinted = frozenset(name for name, tint in paint.inks if tint > 0)
        return _EVERY if ALL in tinted else tinted
    color = paint.color
    if paint.kind is not PaintKind.COLOR or color is None:
        return PROCESS
    if color.alpha == 0.0:
        return _NOTHING
    if color.space == "device-cmyk" and len(color.components) == 4:
        return frozenset(name for name, value in zip(CMYK, color.components, strict=True) if value > 0)
    return _NOTHING if min(color.rgb) >= _WHITE else PROCESS


def known_inks(paint: Paint) -> int | None:
    """How many inks a paint lays down; None where the file does not say, as with colours of a screen."""
    color = paint.color
    if not paint.inks and not (color is not None and color.space in ("device-cmyk", "device-gray")):
        return None
    if paint.kind is not PaintKind.COLOR:
        return None
    if not paint.inks and color is not None and color.space == "device-gray":
        return 1
    inks = laid(paint)
    return len(PROCESS) if ALL in inks else len(inks)


def leaves_trace(paint: Paint, opacity: float) -> bool:
    """Whether a paint at that opacity leaves ink or takes some away: it paints, and is not wholly see-through."""
    return paint.paints and opacity > 0.0 and (paint.color is None or paint.color.alpha > 0.0)


def stroke_shows(stroke: Stroke) -> bool:
    """Whether a stroke leaves ink or takes some away: it has a width, or is the thinnest line of the device."""
    return leaves_trace(stroke.paint, stroke.opacity) and (stroke.width > 0.0 or stroke.hairline)


def own_inks(paint: Paint) -> bool:
    """Whether a paint lays down separations only, none of them a process ink or the one on every plate."""
    inks = laid(paint) if paint.inks else _NOTHING
    return bool(inks) and not inks & _EVERY


def printed_inks(paint: Paint) -> tuple[str, ...]:
    """Process inks, or the ink on every plate, that a paint of separations lays down besides its own."""
    return tuple(name for name, tint in paint.inks if tint > 0 and (name in PROCESS or name == ALL))


def colour_words(color: Color) -> str:
    """A colour as the file writes it, in words: ``CMYK 0 100 0 0``, ``grey 50``, ``Lab 62 52 60``, ``#cc79a7``."""
    numbers = color.components
    if color.space in ("device-cmyk", "device-gray"):
        name = "CMYK" if color.space == "device-cmyk" else "grey"
        return f"{name} {' '.join(f'{100 * value:.3g}' for value in numbers)}"
    if color.space == "lab" and numbers:
        return f"Lab {' '.join(f'{value:.3g}' for value in numbers)}"
    return hex_of(whole_steps(color.rgb))


def _unknown(drawn: Object) -> Inks:
    """What a thing without paints of its own lays down: an image any of the process inks."""
    return PROCESS if drawn.kind in (Kind.IMAGE, Kind.SHADING) and drawn.opacity > 0 else _NOTHING


def _opaque(paint: Paint) -> bool:
    return paint.kind is PaintKind.COLOR and (paint.color is None or paint.color.alpha == 1.0)
