"""Type 3 fonts, whose glyphs are content streams (ISO 32000-1, 9.6.5). Knows no page; runs nothing."""

from __future__ import annotations

from typing import Any

import pikepdf

from preflight.readers.matrices import Matrix
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, name_text, numbers
from preflight.readers.pdf.text.simple_fonts import SimpleFont, differences

__all__ = ["Type3Font"]

_USUAL: Matrix = (0.001, 0.0, 0.0, 0.001, 0.0, 0.0)


class Type3Font(SimpleFont):
    """A font drawn by operators.

    Attributes
    ----------
    matrix : from glyph space to text space.
    resources : its own resource dictionary, or None.
    """

    def __init__(self, dictionary: Any, context: Context) -> None:
        given = numbers(entry(dictionary, "/FontMatrix"))
        usable = given is not None and len(given) == 6
        self.matrix: Matrix = tuple(given) if usable and given is not None else _USUAL  # type: ignore[assignment]
        super().__init__(dictionary, context)
        self.name = (name_text(entry(dictionary, "/Name")) or self.name)[:60]
        if not usable:
            self.fault(f"The matrix of the font “{self.name}” is damaged; the usual one is assumed.")
        self.resources = entry(dictionary, "/Resources")
        self._names = differences(entry(dictionary, "/Encoding"))
        self._procedures = entry(dictionary, "/CharProcs")

    @property
    def _unit(self) -> float:
        return self.matrix[0]

    def _width(self, code: int) -> float:
        place = code - self._first
        return (self._widths[place] if 0 <= place < len(self._widths) else None) or 0.0

    def procedure(self, code: int) -> pikepdf.Stream | None:
        """The content that draws a code, or None."""
        name = self._names.get(code)
        found = entry(self._procedures, f"/{name}") if name else None
        return found if isinstance(found, pikepdf.Stream) else None
