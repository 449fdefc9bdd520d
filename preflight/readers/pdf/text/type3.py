"""Runs the glyphs of Type 3 fonts (ISO 32000-1, 9.6.5). Knows no operator.

Each thing that a glyph paints is an object of its own, since it may have a colour of its own. What is filled, stroked
or stencilled is live text; pictures in full colour stay pictures.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec
import pikepdf

from preflight.artwork.model import Kind, Paint, Stroke
from preflight.readers.matrices import Matrix, multiplied
from preflight.readers.pdf.content.forms import borrowing
from preflight.readers.pdf.content.frame import Frame, Program
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.values import identity
from preflight.readers.pdf.text.type3_fonts import Type3Font

if TYPE_CHECKING:
    from preflight.readers.pdf.content.interpreter import Interpreter
    from preflight.readers.pdf.text.showing import PlacedGlyph

__all__ = ["GlyphPainting", "show_type3"]

_STEPS = 16
"""What drawing a glyph takes beside its content."""
_DEEPEST = 40
"""Streams inside one another, as for forms."""


class GlyphPainting(msgspec.Struct):
    """What the operators of a glyph paint with while it is drawn.

    Attributes
    ----------
    fill, stroke : of the text.
    uncoloured : the glyph is a shape only (``d1``), painted in these.
    text, font_size, font : of the glyph; the name of the font.
    """

    fill: Paint
    stroke: Paint
    text: str | None
    font_size: float | None
    font: str
    uncoloured: bool = False

    def painted(
        self, kind: Kind, fill: Paint, stroke: Stroke, facts: dict[str, Any]
    ) -> tuple[Kind, Paint, Stroke, dict[str, Any]]:
        """What becomes of something that the glyph draws."""
        if self.uncoloured:
            fill = self.fill if fill.paints else fill
            if stroke.paint.paints:
                stroke = msgspec.structs.replace(stroke, paint=self.stroke)
        raster = facts.get("raster")
        if kind is Kind.PATH or (raster is not None and raster.mask == "stencil"):
            kind = Kind.TEXT
        told = {"text": self.text, "font_size": self.font_size, "font": self.font, "font_held": True}
        return kind, fill, stroke, facts | told


def show_type3(run: Interpreter, font: Type3Font, placed: list[PlacedGlyph], base: Matrix) -> None:
    """Draw glyphs, each at its place."""
    from preflight.readers.pdf.text.showing import font_size

    text = run.state.text
    size = font_size(text, base)
    for number, one in enumerate(placed, start=1):
        procedure = font.procedure(one.glyph.code)
        if procedure is None:
            continue
        to_page = (text.size * text.horizontal_scale, 0.0, 0.0, text.size, one.x, one.y + text.rise)
        matrix = multiplied(multiplied(base, to_page), font.matrix)
        painting = GlyphPainting(run.state.fill, run.state.stroke, one.glyph.text, size, font.name)
        _draw(run, font, procedure, matrix, painting, number)


def _draw(
    run: Interpreter,
    font: Type3Font,
    procedure: pikepdf.Stream,
    matrix: Matrix,
    painting: GlyphPainting,
    number: int,
) -> None:
    key = identity(procedure) or (-len(run.active) - 1, 0)
    if key in run.active:
        message = f"A glyph of the font “{font.name}” draws itself; it is not drawn again."
        run.context.fault("font", message, once=True)
        return
    if len(run.active) >= _DEEPEST:
        message = (
            f"Glyphs and forms lie more than {_DEEPEST} deep inside one another; the innermost are not read."
        )
        run.context.not_modelled("font", message, once=True)
        return
    run.expansion.enter({}, "")
    run.context.workload.take(_STEPS)
    outer, state, lettering, paths = run.frame, run.state, run.lettering, run.canvas.paths
    around = lettering.painting
    pending, paths.pending = paths.pending, []
    rule, run.clip_rule = run.clip_rule, None
    run.state = state.copied()
    run.state.matrix = matrix
    trail = f"{outer.trail} op {outer.number} glyph {number}"
    run.frame = Frame(_resources(run, font), trail, outer.forms, key[0], matrix)
    lettering.painting = painting
    run.active.add(key)
    run.run_program(_program(run, font, procedure))
    run.active.discard(key)
    run.expansion.leave(None)
    run.frame, run.state, lettering.painting = outer, state, around
    paths.pending, run.clip_rule = pending, rule


def _resources(run: Interpreter, font: Type3Font) -> Resources:
    """The font's own, those of the content that shows it behind them."""
    behind, kept = run.frame.resources, run.lettering.resources
    if font.resources is None:
        return behind
    return kept.setdefault(
        (id(font), id(behind)), Resources(font.resources, behind, borrowing(run, f"font “{font.name}”"))
    )


def _program(run: Interpreter, font: Type3Font, procedure: pikepdf.Stream) -> Program:
    """A glyph's content, read once for the page."""
    key = identity(procedure)
    known = run.lettering.programs.get(key) if key is not None else None
    if known is not None:
        return known
    unpacked = run.context.streams.unpacked(procedure)
    if unpacked.fault:
        message = f"A glyph of the font “{font.name}” is not all read. {unpacked.fault}."
        run.context.fault("font", message, once=True)
    program = run.program(unpacked.data)
    if key is not None:
        run.lettering.programs[key] = program
    return program
