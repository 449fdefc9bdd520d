"""Fonts whose codes are single bytes: Type 1 and TrueType (ISO 32000-1, 9.6). Knows no page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf

from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, name_text, number
from preflight.readers.pdf.text.fonts import Font, Glyph
from preflight.readers.pdf.text.glyph_names import base_encoding, character

__all__ = ["SimpleFont", "differences"]

_NONSYMBOLIC = 1 << 5
"""Flag of a font descriptor: ISO 32000-1, table 123."""
_OWN_LETTERS = ("Symbol", "ZapfDingbats")
"""Standard fonts with an encoding of their own."""
_MOST_WIDTHS = 256


class SimpleFont(Font):
    """A font of single bytes."""

    def __init__(self, dictionary: Any, context: Context) -> None:
        super().__init__(dictionary, context)
        self._first, self._widths = self._stated_widths()
        missing = number(entry(self.descriptor, "/MissingWidth"))
        self._missing = None if missing is None else missing / 1000.0
        self._characters = self._encoded()

    def _stated_widths(self) -> tuple[int, list[float | None]]:
        given = entry(self.dictionary, "/Widths")
        first = number(entry(self.dictionary, "/FirstChar"))
        if not isinstance(given, pikepdf.Array):
            return 0, []
        widths = [number(given[at]) for at in range(min(len(given), _MOST_WIDTHS))]
        return int(first or 0), [None if width is None else width * self._unit for width in widths]

    @property
    def _unit(self) -> float:
        """Of the numbers that state widths, in units of the font size."""
        return 0.001

    def _encoded(self) -> list[str | None]:
        """The characters of the codes as far as the encoding tells (9.6.6)."""
        given = entry(self.dictionary, "/Encoding")
        name = name_text(given) or name_text(entry(given, "/BaseEncoding"))
        found = base_encoding(name) if name is not None else None
        if found is None:
            found = (base_encoding("StandardEncoding") if self._stands_on_standard() else None) or [
                None
            ] * 256
        for code, glyph in differences(given).items():
            found[code] = character(glyph)
        return found

    def _stands_on_standard(self) -> bool:
        """Whether codes without a stated encoding mean those of StandardEncoding, not the font's own."""
        flags = int(number(entry(self.descriptor, "/Flags")) or 0)
        if self.holds_program:
            return bool(flags & _NONSYMBOLIC) and name_text(entry(self.dictionary, "/Subtype")) == "TrueType"
        return not self.name.startswith(_OWN_LETTERS)

    def glyphs(self, string: bytes) -> Iterator[Glyph]:
        """A glyph for each byte."""
        for code in string:
            found = self._glyphs.get(code)
            if found is None:
                found = self._glyphs[code] = Glyph(
                    code, self._width(code), text=self.text(code), word_space=code == 32
                )
            yield found

    def text(self, code: int) -> str | None:
        """What a code stands for."""
        if self.to_unicode is not None:
            known = self.to_unicode.characters.get((1, code))
            if known is not None:
                return known
        return self._characters[code]

    def _width(self, code: int) -> float:
        place = code - self._first
        if 0 <= place < len(self._widths):
            stated = self._widths[place]
            if stated is not None:
                return stated
        # What the file does not state is the font's own, as viewers have it; a standard font states nothing.
        return self.measured(code) if self._missing is None else self._missing


def differences(encoding: Any) -> dict[int, str]:
    """Glyph names by code that an encoding dictionary sets (table 114)."""
    given = entry(encoding, "/Differences")
    found: dict[int, str] = {}
    code = 0.0
    for one in given if isinstance(given, pikepdf.Array) else ():
        start = number(one)
        name = name_text(one)
        if start is not None:
            code = start
        elif name is not None:
            if 0 <= code < 256:
                found[int(code)] = name
            code += 1
    return found
