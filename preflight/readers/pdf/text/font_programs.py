"""Glyph outlines and widths of one font, by PDFium. Knows no page.

A small document of its own is made for each font, so that nothing has to be matched with what PDFium finds on a page.
PDFium is asked for glyphs by character; there each code stands for the character of the same number.
"""

from __future__ import annotations

import ctypes
import io
from typing import Any

import msgspec
import numpy as np
import pikepdf

from preflight.geometry.outlines import Floats
from preflight.readers.pdf.content.paths import Bytes
from preflight.readers.pdf.content.tokens import PATH_OPERATORS
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry

__all__ = ["FontProgram", "GlyphOutline", "font_program"]

_MOVE, _LINE, _CURVE, _CLOSE = (PATH_OPERATORS.index(name) for name in ("m", "l", "c", "h"))
_KEPT = frozenset(
    [
        "/Type",
        "/Subtype",
        "/BaseFont",
        "/Encoding",
        "/FirstChar",
        "/LastChar",
        "/Widths",
        "/FontDescriptor",
        "/DescendantFonts",
        "/CIDSystemInfo",
        "/DW",
        "/DW2",
        "/W",
        "/W2",
        "/CIDToGIDMap",
        "/BaseEncoding",
        "/Differences",
        "/FontName",
        "/FontFamily",
        "/FontStretch",
        "/FontWeight",
        "/Flags",
        "/FontBBox",
        "/ItalicAngle",
        "/Ascent",
        "/Descent",
        "/Leading",
        "/CapHeight",
        "/XHeight",
        "/StemV",
        "/StemH",
        "/AvgWidth",
        "/MaxWidth",
        "/MissingWidth",
        "/FontFile",
        "/FontFile2",
        "/FontFile3",
        "/Style",
        "/Registry",
        "/Ordering",
        "/Supplement",
        "/Length1",
        "/Length2",
        "/Length3",
        "/CMapName",
        "/WMode",
        "/UseCMap",
    ]
)
"""Entries of fonts that decide about glyphs (ISO 32000-1, 9.6 to 9.8)."""
_CMAP = (
    b"/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapName /Same def /CMapType 2 def"
    b" 1 begincodespacerange %s endcodespacerange %s endcmap"
)
_BYTES = _CMAP % (b"<00> <ff>", b"1 beginbfrange <00> <ff> <0000> endbfrange")
_CODES = _CMAP % (
    b"<0000> <ffff>",
    # A range varies in the last byte of its codes only (9.10.3); PDFium goes by the count of each block.
    b" ".join(
        b"1 beginbfrange <%02x00> <%02xff> <%02x00> endbfrange" % (high, high, high) for high in range(256)
    ),
)
_DEEPEST = 8
_MOST_COPIED = 500_000
"""Values of one font; a large one states some 50,000 widths."""
_MOST_SEGMENTS = 20_000
"""Segments of one glyph; the most intricate ones in use stay below a few thousand."""


class GlyphOutline(msgspec.Struct, frozen=True, eq=False):
    """A glyph as rows of path construction (codes (k,), operands (k, 6)) in units of the font size, y up."""

    codes: Bytes
    numbers: Floats


class FontProgram:
    """A font that PDFium has opened; `close` it.

    Attributes
    ----------
    embedded : PDFium draws with the font that the file holds, not with another in its place.
    ascent, descent : of the font PDFium draws with, in units of the font size; descent is negative.
    """

    def __init__(self, data: bytes) -> None:
        import pypdfium2
        import pypdfium2.raw as raw

        self._raw = raw
        self._document = pypdfium2.PdfDocument(data)
        self._page = self._document[0]
        shown = raw.FPDFPage_GetObject(self._page.raw, 0)
        self._font: Any = raw.FPDFTextObj_GetFont(shown) if shown else None
        self.embedded = bool(self._font) and raw.FPDFFont_GetIsEmbedded(self._font) == 1
        self.ascent = self._measure(raw.FPDFFont_GetAscent)
        self.descent = self._measure(raw.FPDFFont_GetDescent)

    def close(self) -> None:
        """Let go of it."""
        self._font = None
        self._page.close()
        self._document.close()

    def _measure(self, of: Any, *codes: int) -> float | None:
        if not self._font:
            return None
        found = ctypes.c_float()
        done = of(self._font, *codes, ctypes.c_float(1.0), ctypes.byref(found))
        return found.value if done else None

    def width(self, code: int) -> float | None:
        """How far a glyph moves on, in units of the font size; None where PDFium cannot tell."""
        return self._measure(self._raw.FPDFFont_GetGlyphWidth, code)

    def outline(self, code: int) -> GlyphOutline | None:
        """A glyph's outline, without rows where it is blank; None where there is no glyph.

        PDFium keeps outlines to 1/4096 of the font size.
        """
        raw = self._raw
        path = raw.FPDFFont_GetGlyphPath(self._font, code, ctypes.c_float(1.0)) if self._font else None
        if not path:
            return None
        count = min(raw.FPDFGlyphPath_CountGlyphSegments(path), _MOST_SEGMENTS)
        kinds, points = [], np.empty((max(count, 0), 2))
        x, y = ctypes.c_float(), ctypes.c_float()
        for at in range(count):
            segment = raw.FPDFGlyphPath_GetGlyphPathSegment(path, at)
            raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
            kinds.append(raw.FPDFPathSegment_GetType(segment))
            points[at] = x.value, y.value
        return self._rows(kinds, points)

    def _rows(self, kinds: list[int], points: Floats) -> GlyphOutline:
        raw = self._raw
        codes: list[int] = []
        numbers: list[list[float]] = []
        at, open_ = 0, False
        while at < len(kinds):
            kind, taken = kinds[at], 1
            if kind == raw.FPDF_SEGMENT_BEZIERTO:
                taken = 3
                if at + 3 > len(kinds):
                    break
            elif kind == raw.FPDF_SEGMENT_MOVETO and open_:
                codes.append(_CLOSE)
                numbers.append([np.nan] * 6)
            codes.append({raw.FPDF_SEGMENT_MOVETO: _MOVE, raw.FPDF_SEGMENT_BEZIERTO: _CURVE}.get(kind, _LINE))
            numbers.append([*points[at : at + taken].ravel().tolist(), *[np.nan] * (6 - 2 * taken)])
            open_ = kind != raw.FPDF_SEGMENT_MOVETO
            at += taken
        if open_:
            codes.append(_CLOSE)
            numbers.append([np.nan] * 6)
        if len(codes) < 3:  # a lone moveto is how some fonts write a blank
            codes, numbers = [], []
        return GlyphOutline(np.array(codes, np.uint8), np.array(numbers, np.float64).reshape(-1, 6))


def font_program(font: pikepdf.Dictionary, streams: Streams) -> FontProgram | None:
    """Have PDFium open a font; None where it does not.

    Parameters
    ----------
    font : its dictionary, not of Type 3.
    streams : unpacks what it holds, within the limits of the document.

    Raises
    ------
    preflight.readers.errors.Unreadable
        What it holds is over a limit.
    """
    import pypdfium2

    holder = pikepdf.new()
    try:
        copied = _Copier(holder, streams).copied(font)
        copied.ToUnicode = holder.make_stream(_CODES if "/DescendantFonts" in font else _BYTES)
        page = holder.add_blank_page(page_size=(100, 100))
        page.obj.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F0=holder.make_indirect(copied)))
        page.obj.Contents = holder.make_stream(b"BT /F0 1 Tf <0000> Tj ET")
        buffer = io.BytesIO()
        holder.save(buffer, compress_streams=False, static_id=True)
    finally:
        holder.close()
    try:
        return FontProgram(buffer.getvalue())
    except pypdfium2.PdfiumError:
        return None


class _Copier:
    """Copies what decides about glyphs into another document; anything else becomes null."""

    def __init__(self, holder: pikepdf.Pdf, streams: Streams) -> None:
        self._holder = holder
        self._streams = streams
        self._left = _MOST_COPIED

    def copied(self, value: Any, depth: int = 0) -> Any:
        self._left -= 1
        if depth > _DEEPEST or self._left < 0:
            return None
        if isinstance(value, pikepdf.Stream):
            copied = self._holder.make_stream(self._streams.unpacked(value).data)
            for key, one in self._entries(value, depth):
                copied[key] = one
            return copied
        if isinstance(value, pikepdf.Dictionary):
            return pikepdf.Dictionary(dict(self._entries(value, depth)))
        if isinstance(value, pikepdf.Array):
            return pikepdf.Array([self.copied(one, depth + 1) for one in value])
        if isinstance(value, pikepdf.String):
            return pikepdf.String(bytes(value))
        if isinstance(value, pikepdf.Name):
            return pikepdf.Object.parse(value.unparse(resolved=True))
        return value

    def _entries(self, value: Any, depth: int) -> list[tuple[str, Any]]:
        found = []
        for key in list(value.keys()):
            if key in _KEPT:
                one = self.copied(entry(value, key), depth + 1)
                if one is not None:
                    found.append((key, one))
        return found
