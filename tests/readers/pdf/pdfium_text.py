"""What PDFium finds of text and images on a page: an outside check of places and characters."""

from __future__ import annotations

import ctypes
from collections.abc import Iterator

import msgspec
import pypdfium2 as pdfium
import pypdfium2.raw as raw

__all__ = ["ShownText", "image_quads", "shown_text"]

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]


class ShownText(msgspec.Struct):
    """What one operator shows, blanks left out.

    ``box`` is x0, y0, x1, y1 of its glyphs in points of the page, y up; ``level`` that it is neither turned nor slanted.
    """

    characters: str
    box: tuple[float, float, float, float]
    level: bool


def shown_text(data: bytes, page: int = 0) -> list[ShownText]:
    """Text objects in the order in which PDFium reads them, which need not be that of painting."""
    document = pdfium.PdfDocument(data)
    sheet = document[page]
    held = sheet.get_textpage()
    found: dict[int, ShownText] = {}
    for index in range(raw.FPDFText_CountChars(held.raw)):
        character = chr(raw.FPDFText_GetUnicode(held.raw, index))
        if raw.FPDFText_IsGenerated(held.raw, index) == 1 or character.isspace():
            continue
        left, right, low, high = (ctypes.c_double() for _ in range(4))
        raw.FPDFText_GetCharBox(held.raw, index, left, right, low, high)
        key = ctypes.cast(raw.FPDFText_GetTextObject(held.raw, index), ctypes.c_void_p).value or 0
        box = (left.value, low.value, right.value, high.value)
        known = found.get(key)
        if known is None:
            matrix = raw.FS_MATRIX()
            raw.FPDFText_GetMatrix(held.raw, index, matrix)
            found[key] = ShownText(character, box, abs(matrix.b) + abs(matrix.c) < 1e-6)
        else:
            a, b = known.box, box
            known.box = (min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3]))
            known.characters += character
    held.close()
    sheet.close()
    document.close()
    return list(found.values())


def image_quads(data: bytes, page: int = 0) -> list[tuple[Point, Point, Point, Point]]:
    """Corners of each image, from the lower left one of the unit square on, in points of the page, y up."""
    document = pdfium.PdfDocument(data)
    sheet = document[page]
    found = []
    for index in range(raw.FPDFPage_CountObjects(sheet.raw)):
        one = raw.FPDFPage_GetObject(sheet.raw, index)
        for a, b, c, d, e, f in _images(one, (1, 0, 0, 1, 0, 0)):
            found.append(((e, f), (a + e, b + f), (a + c + e, b + d + f), (c + e, d + f)))
    sheet.close()
    document.close()
    return found


def _images(one: object, outer: Matrix) -> Iterator[Matrix]:
    held = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(one, held)
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = held.a, held.b, held.c, held.d, held.e, held.f
    matrix = (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )
    kind = raw.FPDFPageObj_GetType(one)
    if kind == raw.FPDF_PAGEOBJ_IMAGE:
        yield matrix
    elif kind == raw.FPDF_PAGEOBJ_FORM:
        for index in range(raw.FPDFFormObj_CountObjects(one)):
            yield from _images(raw.FPDFFormObj_GetObject(one, index), matrix)
