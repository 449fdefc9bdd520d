"""Text as objects of the page (ISO 32000-1, 9.4). Knows no operator."""

from __future__ import annotations

from typing import TYPE_CHECKING

from preflight.artwork.model import Kind
from preflight.readers.matrices import mean_scale, multiplied
from preflight.readers.pdf.frame import TextPosition

if TYPE_CHECKING:
    from preflight.readers.pdf.interpreter import Interpreter

__all__ = ["show_text"]

_GUESSED_WIDTH = 0.5
"""Width of a glyph in em where its font is not looked at."""


def show_text(run: Interpreter, position: TextPosition, pieces: list[bytes | float]) -> None:
    """Put a piece of text on the page and move the position to its end.

    Parameters
    ----------
    pieces : strings of character codes, and numbers to step back by, in thousandths of text space.
    """
    text = run.state.text
    run.context.not_modelled(
        "text", "The letters of text are not read; a box of guessed width stands for them."
    )
    count = sum(len(piece) for piece in pieces if isinstance(piece, bytes))
    back = sum(piece for piece in pieces if isinstance(piece, float)) / 1000.0
    width = (count * _GUESSED_WIDTH - back) * text.size * text.horizontal_scale
    matrix = multiplied(run.state.matrix, position.matrix)
    box = multiplied(matrix, (width, 0.0, 0.0, text.size, 0.0, text.rise))
    run.draw_box(Kind.TEXT, box, run.state.fill, font_size=abs(text.size) * mean_scale(matrix))
    position.matrix = multiplied(position.matrix, (1.0, 0.0, 0.0, 1.0, width, 0.0))
