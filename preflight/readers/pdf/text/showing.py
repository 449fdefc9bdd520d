"""Text as objects of the page (ISO 32000-1, 9.4). Knows no operator.

Every operator that shows text makes one object. Its outlines are those of its glyphs where the file holds the font,
each at its own place; elsewhere one box, from the widths of the glyphs and the font's ascent and descent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork.model import NO_PAINT, Kind, NoteKind, Stroke
from preflight.readers.matrices import Matrix, mapped, multiplied
from preflight.readers.pdf.content.frame import TextPosition
from preflight.readers.pdf.content.paths import Part
from preflight.readers.pdf.text.fonts import UNKNOWN, Font, Glyph
from preflight.readers.pdf.text.type3 import show_type3
from preflight.readers.pdf.text.type3_fonts import Type3Font

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter
    from preflight.readers.pdf.content.state import TextState

__all__ = ["INVISIBLE", "PlacedGlyph", "end_text", "show_text"]

INVISIBLE = "invisible text"
"""``Object.hidden`` of text that is shown in render mode 3, or serves as a clip only."""
_NO_STROKE = Stroke()
_FILLED, _STROKED = (0, 2, 4, 6), (1, 2, 5, 6)
_CLIPPING = 4
"""Render modes (table 106): from this one on text narrows the clip."""
_LAST_ASKED = 0xFFFF
"""The last code that PDFium can be asked the outline of; boxes stand for letters of longer ones."""
_SHARE = 4
"""Outlines of glyphs may take up this part of the page's segments; beyond, boxes stand for them."""


class PlacedGlyph(msgspec.Struct):
    """A glyph and where the line is when it is shown, in text space."""

    glyph: Glyph
    x: float
    y: float


def show_text(run: Interpreter, position: TextPosition, pieces: list[bytes | float]) -> None:
    """Put a piece of text on the page and move the position to its end.

    Parameters
    ----------
    pieces : strings of character codes, and numbers to step back by, in thousandths of text space.
    """
    text = run.state.text
    run.context.workload.take(sum(len(piece) for piece in pieces if isinstance(piece, bytes)) // 2)
    font = run.lettering.fonts.font_of(text.font, run.context)
    placed, end = _placed(font, text, pieces)
    base = multiplied(run.state.matrix, position.matrix)
    _say(run, font)
    if placed and isinstance(font, Type3Font):
        show_type3(run, font, placed, base)
    elif placed:
        _draw(run, position, font, placed, base, end)
    position.matrix = multiplied(position.matrix, (1.0, 0.0, 0.0, 1.0, *end))


def _placed(
    font: Font, text: TextState, pieces: list[bytes | float]
) -> tuple[list[PlacedGlyph], tuple[float, float]]:
    """Every glyph with its place, and where the line ends (9.4.4)."""
    x = y = 0.0
    size, scale, vertical = text.size, text.horizontal_scale, font.vertical
    placed = []
    for piece in pieces:
        if isinstance(piece, float):
            step = piece / 1000.0 * size
            x, y = (x, y - step) if vertical else (x - step * scale, y)
            continue
        for glyph in font.glyphs(piece):
            placed.append(PlacedGlyph(glyph, x, y))
            space = text.character_spacing + (text.word_spacing if glyph.word_space else 0.0)
            if vertical:
                y += glyph.down * size + space
            else:
                x += (glyph.across * size + space) * scale
    return placed, (x, y)


def _say(run: Interpreter, font: Font) -> None:
    said = run.lettering.said
    if said.get(id(font), 0) == len(font.notes):
        return
    said[id(font)] = len(font.notes)
    for is_fault, message in font.notes:
        kind = NoteKind.FAULT if is_fault else NoteKind.ASSUMED
        run.context.note(kind, "font", message, once=True)


def _draw(
    run: Interpreter,
    position: TextPosition,
    font: Font,
    placed: list[PlacedGlyph],
    base: Matrix,
    end: tuple[float, float],
) -> None:
    text, canvas = run.state.text, run.canvas
    characters = "".join(one.glyph.text or UNKNOWN for one in placed)
    mode = text.render_mode
    visible = mode in _FILLED or mode in _STROKED
    outlined = (visible or mode >= _CLIPPING) and font.has_outlines and _room(run)
    outlined = outlined and all(one.glyph.code <= _LAST_ASKED for one in placed)
    _say(run, font)  # opening the font may have brought something to light
    if outlined:
        parts = list(_parts(run, font, placed, base))
        if not parts:
            return  # blanks leave nothing
    elif characters.isspace():
        return
    else:
        parts = [canvas.paths.box_part(_box(font, text, placed, end), base)]
        if visible:
            _say_box(run, font)
    if visible and UNKNOWN in characters:
        message = (
            f"What characters the font “{font.name}” draws is not all known; “{UNKNOWN}” stands for them."
        )
        run.context.note(NoteKind.ASSUMED, "text", message, once=True)
    hidden, canvas.hidden = canvas.hidden, canvas.hidden or (None if visible else INVISIBLE)
    run.draw(
        Kind.TEXT,
        canvas.paths.shape(parts),
        run.state.fill if mode in _FILLED else NO_PAINT,
        canvas.stroke(run.state) if mode in _STROKED else _NO_STROKE,
        boxed=not outlined,
        text=characters,
        font_size=font_size(text, base),
        font=font.name,
        font_held=font.has_outlines if visible else font.holds_program,
    )
    canvas.hidden = hidden
    if mode >= _CLIPPING:
        position.clip += parts
        if not outlined:
            message = "Text serves as a clip; boxes stand for its letters."
            run.context.not_modelled("text clip", message, once=True)


def _say_box(run: Interpreter, font: Font) -> None:
    if font.holds_program:
        message = f"Boxes from widths and heights stand for letters of the font “{font.name}”."
    else:
        message = f"The font “{font.name}” is not embedded; boxes from its widths and heights stand for its letters."
    run.context.note(NoteKind.ASSUMED, "text", message, once=True)


def _room(run: Interpreter) -> bool:
    """Whether the outlines of further glyphs are within bounds."""
    if run.lettering.segments < run.limits.path_segments // _SHARE:
        return True
    message = f"The letters of the page come to more than {run.lettering.segments:,} segments; boxes stand for further ones."
    run.context.note(NoteKind.ASSUMED, "text", message, once=True)
    return False


def _parts(run: Interpreter, font: Font, placed: list[PlacedGlyph], base: Matrix) -> Iterator[Part]:
    """Rows of each glyph's outline with the matrix that puts them on the page."""
    text = run.state.text
    wide, high = text.size * text.horizontal_scale, text.size
    a, b, c, d, _, _ = base
    for one in placed:
        first, last = _rows(run, font, one.glyph.code)
        if first == last:
            continue
        run.lettering.segments += last - first
        shift_x, shift_y = one.glyph.shift
        e, f = mapped(base, one.x - shift_x * wide, one.y - shift_y * high + text.rise)
        yield first, last, (a * wide, b * wide, c * high, d * high, e, f)


def _rows(run: Interpreter, font: Font, code: int) -> tuple[int, int]:
    """First row of a glyph's outline and the one after the last, as the canvas numbers them."""
    key = (id(font), code)
    known = run.lettering.rows.get(key)
    if known is None:
        run.context.deadline.check()
        found = font.outline(code)
        if found is None or not len(found.codes):
            known = (0, 0)
        else:
            first = run.canvas.paths.keep(found.codes, found.numbers)
            known = (first, first + len(found.codes))
        run.lettering.rows[key] = known
    return known


def _box(
    font: Font, text: TextState, placed: list[PlacedGlyph], end: tuple[float, float]
) -> tuple[float, float, float, float]:
    """What the glyphs take up in text space."""
    size, wide = text.size, text.size * text.horizontal_scale
    if font.vertical:
        across = max(one.glyph.across for one in placed) * wide / 2
        ys = [one.y for one in placed] + [end[1]]
        return -across, min(ys) + text.rise, across, max(ys) + text.rise
    low, high = font.reach
    xs = [one.x for one in placed] + [one.x + one.glyph.across * wide for one in placed]
    return min(xs), low * size + text.rise, max(xs), high * size + text.rise


def font_size(text: TextState, base: Matrix) -> float | None:
    """Height of the font on the page, mm; of slanted text at right angles to the line."""
    a, b, c, d, _, _ = base
    length = math.hypot(a, b)
    if not length or not math.isfinite(length):
        return None
    found = abs(text.size * (a * d - b * c)) / length
    return found if math.isfinite(found) else None


def end_text(run: Interpreter, position: TextPosition | None) -> None:
    """Let text that was shown as a clip take effect (9.3.6)."""
    if position is None or not position.clip:
        return
    canvas = run.canvas
    run.state.clips = canvas.clipped(run.state.clips, "nonzero", canvas.paths.shape(position.clip))
    position.clip = []
