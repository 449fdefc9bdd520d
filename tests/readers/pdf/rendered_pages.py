"""Where PDFium puts ink on a page when it prints it: an outside check of places."""

from __future__ import annotations

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
from numpy.typing import NDArray

__all__ = ["PIXELS_PER_POINT", "inked_box", "printed"]

PIXELS_PER_POINT = 8


def printed(
    data: bytes, page: int = 0, scale: int = PIXELS_PER_POINT, *, shown: bool = False
) -> NDArray[np.uint8]:
    """The page as printed, or as ``shown`` on a screen, annotations included, (rows, columns, 3), blue first."""
    document = pdfium.PdfDocument(data)
    sheet = document[page]
    width, height = (round(side * scale) for side in sheet.get_size())
    bitmap = pdfium.PdfBitmap.new_native(width, height, raw.FPDFBitmap_BGR)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    flags = raw.FPDF_ANNOT | (0 if shown else raw.FPDF_PRINTING)
    raw.FPDF_RenderPageBitmap(bitmap.raw, sheet.raw, 0, 0, width, height, 0, flags)
    pixels = np.array(bitmap.to_numpy())
    bitmap.close()
    sheet.close()
    document.close()
    return pixels


def inked_box(
    pixels: NDArray[np.uint8], scale: int = PIXELS_PER_POINT
) -> tuple[float, float, float, float] | None:
    """x0, y0, x1, y1 in mm, y down, of all that is not white; None where all is."""
    inked = (pixels < 128).any(axis=2)
    if not inked.any():
        return None
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    mm = 25.4 / 72 / scale
    return columns[0] * mm, rows[0] * mm, (columns[-1] + 1) * mm, (rows[-1] + 1) * mm
