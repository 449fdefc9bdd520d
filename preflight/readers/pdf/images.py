"""Images (ISO 32000-1, 8.9) as objects of the page. Knows no operator."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pikepdf

from preflight.artwork.model import NO_PAINT, Kind

if TYPE_CHECKING:
    from preflight.readers.pdf.interpreter import Interpreter

__all__ = ["draw_image", "draw_inline_image"]


def draw_image(run: Interpreter, stream: pikepdf.Object, name: str) -> None:
    """Put an image XObject on the page: the unit square of user space."""
    _place(run, f"The content of the image “{name[:40]}” is not read.")


def draw_inline_image(run: Interpreter, keys: dict[str, Any], data: bytes) -> None:
    """Put an inline image on the page.

    Parameters
    ----------
    keys : its dictionary, short keys as written; values as `preflight.readers.pdf.operands.operand_at` gives them.
    data : its bytes, packed as they are.
    """
    _place(run, "The content of an inline image is not read.")


def _place(run: Interpreter, message: str) -> None:
    run.context.not_modelled("image", message)
    a, b, c, d, _, _ = run.state.matrix
    size = ((a * a + b * b) ** 0.5, (c * c + d * d) ** 0.5)
    run.draw_box(Kind.IMAGE, run.state.matrix, NO_PAINT, placed_size=size)
