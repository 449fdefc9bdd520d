"""Fonts of a document, each read once (ISO 32000-1, 9.5 to 9.8). Knows no page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec
import pikepdf

from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.values import entry, identity, name_text, number
from preflight.readers.pdf.text.cmaps import CMap, parsed_cmap
from preflight.readers.pdf.text.font_programs import FontProgram, GlyphOutline, font_program

__all__ = ["UNKNOWN", "Font", "Fonts", "Glyph"]

UNKNOWN = "\ufffd"
"""Stands for a character that the font does not tell."""
_ASCENT, _DESCENT = 0.8, -0.22
"""In units of the font size, where nothing else is known: as for live text in SVG."""
_TAG = 6
"""Letters before the plus sign in the name of a subset (9.6.4)."""


class Glyph(msgspec.Struct):
    """One code of a font.

    Attributes
    ----------
    code : as its font's program is asked for it.
    across : how far it moves on, in units of the font size; of vertical writing ``down``, which is negative downwards.
    shift : of vertical writing, from the place of the glyph in the line to its own origin, x and y, to be taken off.
    text : its characters, or None.
    word_space : word spacing applies to it.
    """

    code: int
    across: float
    down: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    text: str | None = None
    word_space: bool = False


class Font:
    """One font, of whatever kind.

    Attributes
    ----------
    name : without the tag of a subset.
    dictionary : as the file has it.
    vertical : it is written downwards.
    holds_program : the file holds the font itself.
    notes : what is to be said of it, once on each page: whose matter, and a sentence.
    """

    vertical = False

    def __init__(self, dictionary: Any, context: Context) -> None:
        self.dictionary = dictionary
        name = name_text(entry(dictionary, "/BaseFont")) or "?"
        tag, plus, rest = name.partition("+")
        self.name = (rest if plus and len(tag) == _TAG else name)[:60]
        self.notes: list[tuple[bool, str]] = []
        self._streams = context.streams
        self._glyphs: dict[Any, Glyph] = {}
        self._outlines: dict[int, GlyphOutline | None] = {}
        self._program: FontProgram | None = None
        self._opened = False
        self.descriptor = self._descriptor()
        files = (entry(self.descriptor, key) for key in ("/FontFile", "/FontFile2", "/FontFile3"))
        self.holds_program = any(isinstance(file, pikepdf.Stream) for file in files)
        self.to_unicode = self._to_unicode()

    def _descriptor(self) -> Any:
        return entry(self.dictionary, "/FontDescriptor")

    def fault(self, message: str) -> None:
        """Have a fault of the font said where it is used."""
        self.notes.append((True, message))

    def _to_unicode(self) -> CMap | None:
        given = entry(self.dictionary, "/ToUnicode")
        if not isinstance(given, pikepdf.Stream):
            return None
        unpacked = self._streams.unpacked(given)
        if unpacked.fault:
            self.fault(f"The characters of the font “{self.name}” are not all known. {unpacked.fault}.")
        found = parsed_cmap(unpacked.data)
        return found if found.characters else None

    @property
    def program(self) -> FontProgram | None:
        """The font as PDFium opens it, or None where it cannot."""
        if not self._opened:
            self._opened = True
            self._program = font_program(self.dictionary, self._streams)
            if self.holds_program and not (self._program is not None and self._program.embedded):
                self.fault(f"The font “{self.name}” is embedded, but cannot be opened.")
        return self._program

    def close(self) -> None:
        """Let go of what PDFium holds of it."""
        if self._program is not None:
            self._program.close()
            self._program = None

    @property
    def has_outlines(self) -> bool:
        """Whether glyphs are drawn with the font that the file holds."""
        return self.holds_program and self.program is not None and self.program.embedded

    def outline(self, code: int) -> GlyphOutline | None:
        """A glyph's outline; None where there is none."""
        if code not in self._outlines:
            self._outlines[code] = self.program.outline(code) if self.program is not None else None
        return self._outlines[code]

    def measured(self, code: int) -> float:
        """The width that PDFium has for a code; 0 where it has none."""
        return (self.program.width(code) if self.program is not None else None) or 0.0

    @property
    def reach(self) -> tuple[float, float]:
        """How far letters go below and above the line, in units of the font size."""
        found = []
        for key, usual, program in (("/Descent", _DESCENT, "descent"), ("/Ascent", _ASCENT, "ascent")):
            stated = number(entry(self.descriptor, key))
            if stated:
                # Some writers forget the sign.
                size = abs(stated) / 1000.0 * (-1 if usual < 0 else 1)
            else:
                size = (getattr(self.program, program) if self.program is not None else None) or usual
            found.append(size if 0 < size / usual < 3 else usual)
        return found[0], found[1]

    def glyphs(self, string: bytes) -> Iterator[Glyph]:
        """The glyphs of a string that is shown."""
        raise NotImplementedError


class Fonts:
    """The fonts of one document; `close` them."""

    def __init__(self) -> None:
        self._fonts: dict[Any, tuple[Any, Font]] = {}
        self._default: Font | None = None

    def font_of(self, dictionary: Any, context: Context) -> Font:
        """The font of a dictionary; the one that viewers fall back on where it is none.

        Raises
        ------
        preflight.readers.errors.Unreadable
            What it holds is over a limit.
        """
        if not isinstance(dictionary, pikepdf.Dictionary):
            if self._default is None:
                self._default = _read(_fallback(), context)
            return self._default
        # A font without a number of its own is kept as long as its number in memory is.
        key = identity(dictionary) or id(dictionary)
        if key not in self._fonts:
            self._fonts[key] = (dictionary, _read(dictionary, context))
        return self._fonts[key][1]

    def close(self) -> None:
        """Let go of all of them."""
        for _, font in self._fonts.values():
            font.close()
        if self._default is not None:
            self._default.close()


def _fallback() -> pikepdf.Dictionary:
    name = pikepdf.Name
    return pikepdf.Dictionary(
        Type=name.Font, Subtype=name.Type1, BaseFont=name.Helvetica, Encoding=name.WinAnsiEncoding
    )


def _read(dictionary: pikepdf.Dictionary, context: Context) -> Font:
    from preflight.readers.pdf.text.composite_fonts import CompositeFont
    from preflight.readers.pdf.text.simple_fonts import SimpleFont
    from preflight.readers.pdf.text.type3_fonts import Type3Font

    kind = name_text(entry(dictionary, "/Subtype"))
    if kind == "Type3":
        return Type3Font(dictionary, context)
    if kind == "Type0" or entry(dictionary, "/DescendantFonts") is not None:
        return CompositeFont(dictionary, context)
    font = SimpleFont(dictionary, context)
    if kind not in ("Type1", "MMType1", "TrueType"):
        font.fault(f"The font “{font.name}” is of no kind that is known; it is read as one of Type 1.")
    return font
