"""What the text of one page has in common: fonts met, outlines kept, the glyph that is being drawn. Draws nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

from preflight.readers.pdf.content.frame import Program
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.text.fonts import Fonts

if TYPE_CHECKING:
    from preflight.readers.pdf.text.type3 import GlyphPainting

__all__ = ["Lettering"]


class Lettering(msgspec.Struct, eq=False):
    """Of one page.

    Attributes
    ----------
    fonts : of the document; they outlive the page, so that their place in memory can stand for them.
    rows : of each glyph by font and code: its first row and the one after the last, as the canvas numbers them.
    segments : rows of outlines put on the page so far.
    said : how many notes of each font have been written.
    programs : contents of the glyphs of Type 3 fonts, by object number.
    resources : of a Type 3 font, by the font and by those behind its own.
    painting : what the Type 3 glyph at work paints with, or None.
    """

    fonts: Fonts
    rows: dict[tuple[int, int], tuple[int, int]] = msgspec.field(default_factory=dict)
    segments: int = 0
    said: dict[int, int] = msgspec.field(default_factory=dict)
    programs: dict[tuple[int, int], Program] = msgspec.field(default_factory=dict)
    resources: dict[tuple[int, int], Resources] = msgspec.field(default_factory=dict)
    painting: GlyphPainting | None = None
