"""What the operators of a content stream set and ``q``/``Q`` save. Knows no operator and draws nothing."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, Any

import msgspec

from preflight.artwork.model import Color, Paint, PaintKind
from preflight.readers.matrices import IDENTITY, Matrix

if TYPE_CHECKING:
    from preflight.readers.pdf.colours.colour_space import ColourSpace

__all__ = ["BLACK", "GraphicsState", "TextState"]

BLACK = Paint(PaintKind.COLOR, Color((0.0, 0.0, 0.0), 1.0, "device-gray", (0.0,)))
"""What a page starts with: ISO 32000-1, table 52."""


class TextState(msgspec.Struct):
    """Text state of ISO 32000-1, 9.3; lengths in text space units.

    ``font`` is the font dictionary (`pikepdf.Object`), or None until one is chosen; ``font_name`` its resource name.
    """

    font: Any = None
    font_name: str = ""
    size: float = 0.0
    character_spacing: float = 0.0
    word_spacing: float = 0.0
    horizontal_scale: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    render_mode: int = 0


class GraphicsState(msgspec.Struct):
    """Graphics state of ISO 32000-1, 8.4, as far as it decides what a page looks like.

    Attributes
    ----------
    matrix : from user space to mm on the page as a viewer shows it.
    fill, stroke : current paints; ``fill_space`` and ``stroke_space`` the spaces their numbers are read in.
    line_width, dash, dash_phase : user space units; 0 is the thinnest line the device can draw.
    fill_alpha, stroke_alpha : ``ca`` and ``CA``, 0 to 1.
    blend : as CSS writes it: ``normal``, ``multiply``, ``color-dodge`` …
    soft_mask : a soft mask other than /None is in force.
    overprint, stroke_overprint, overprint_mode : ``op``, ``OP``, ``OPM``.
    clips : numbers of the clips in force, as the canvas counts them, outermost first.
    group_alpha, group_blend, group_effect : of the transparency groups around, which ``Q`` cannot change.
    groups : numbers of those that are see-through, outermost first.
    """

    matrix: Matrix = IDENTITY
    fill: Paint = BLACK
    stroke: Paint = BLACK
    fill_space: ColourSpace | None = None
    stroke_space: ColourSpace | None = None
    line_width: float = 1.0
    line_cap: int = 0
    line_join: int = 0
    miter_limit: float = 10.0
    dash: tuple[float, ...] = ()
    dash_phase: float = 0.0
    fill_alpha: float = 1.0
    stroke_alpha: float = 1.0
    blend: str = "normal"
    soft_mask: bool = False
    overprint: bool = False
    stroke_overprint: bool = False
    overprint_mode: int = 0
    clips: tuple[int, ...] = ()
    group_alpha: float = 1.0
    group_blend: str = "normal"
    group_effect: str | None = None
    groups: tuple[int, ...] = ()
    text: TextState = msgspec.field(default_factory=TextState)

    def copied(self) -> GraphicsState:
        """A state of its own with the same values."""
        state = copy.copy(self)
        state.text = copy.copy(self.text)
        return state
