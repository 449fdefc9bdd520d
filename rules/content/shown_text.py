"""Text that is one for people although its glyphs are objects of their own, as those of Type 3 fonts are. Knows no rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from preflight.job import JobObject

__all__ = ["box_of", "shown_by", "spelt"]

_GLYPH = " glyph "
"""In a reference: what follows is within the glyph that its operator draws as content (`preflight.readers.pdf`)."""


def shown_by(item: JobObject) -> str:
    """Reference of the text that an object is part of: its own, or that of the operator which draws the glyph."""
    return item.reference.ref.partition(_GLYPH)[0]


def spelt(items: Sequence[JobObject]) -> str | None:
    """The characters of the parts of a text, each glyph's once, however much it paints; None where they are not known."""
    glyphs: dict[str, str] = {}
    for item in items:
        ref = item.reference.ref
        first, _, rest = ref.partition(_GLYPH)
        glyphs.setdefault(f"{first}{_GLYPH}{rest.partition(' ')[0]}", item.object.text or "")
    return "".join(glyphs.values()) or None


def box_of(items: Sequence[JobObject]) -> tuple[float, float, float, float] | None:
    """The box round the parts of a text."""
    boxes = [item.box for item in items if item.box is not None]
    if not boxes:
        return None
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
