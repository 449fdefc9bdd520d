"""A page's picture for reports, drawn by PDFium. Knows nothing of the model."""

from __future__ import annotations

import base64
import io
import math
import time
from typing import Any

from preflight.readers.pdf.document.plain_tree import with_plain_tree

__all__ = ["picture"]

PIXELS = 4_000_000
"""Pixels of a picture at most; enough to look at on a screen, and some megabytes at the worst."""
LONGEST = 2_400
"""Pixels of its longer side at most."""
SECONDS = 8.0
"""Time for one picture, asked for between the objects that PDFium draws; a project assumption."""
MEMORY = 256 * 1024 * 1024
"""Bytes for the images of a page; a project assumption. A few kilobytes of a file can ask for gigabytes."""


def picture(data: bytes, page: int) -> str | None:
    """The page as a ``data:`` URI of a PNG; None where PDFium cannot open it, takes too long, or would take too
    much memory for its images.

    It is the page that the reader means by this number: of a document whose list of pages is broken, PDFium is given
    a plain one; where it does not find as many pages even then, there is no picture.

    Parameters
    ----------
    data : the document.
    page : number of the page, from 1.
    """
    import pypdfium2

    plain = with_plain_tree(data, page, MEMORY)
    if plain is None:
        return None
    data, count = plain
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError:
        return None
    try:
        if len(document) != count or not 1 <= page <= count:
            return None
        try:
            drawn = _drawn(document[page - 1])
        except pypdfium2.PdfiumError:
            return None
    finally:
        document.close()
    return None if drawn is None else f"data:image/png;base64,{base64.b64encode(drawn).decode('ascii')}"


def _drawn(page: Any) -> bytes | None:
    import pypdfium2
    import pypdfium2.raw as raw

    width, height = page.get_size()
    if not (0 < width < 1e7 and 0 < height < 1e7):
        return None
    scale = min(LONGEST / max(width, height), math.sqrt(PIXELS / (width * height)))
    columns, rows = max(1, round(width * scale)), max(1, round(height * scale))
    bitmap = pypdfium2.PdfBitmap.new_native(columns, rows, raw.FPDFBitmap_BGR)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, columns, rows)
    end = time.monotonic() + SECONDS
    pause = raw.IFSDK_PAUSE(version=1)
    pypdfium2.internal.set_callback(pause, "NeedToPauseNow", lambda _: time.monotonic() > end)
    status = raw.FPDF_RenderPageBitmap_Start(bitmap, page, 0, 0, columns, rows, 0, raw.FPDF_ANNOT, pause)
    raw.FPDF_RenderPage_Close(page)
    if status != raw.FPDF_RENDER_DONE:
        return None
    buffer = io.BytesIO()
    bitmap.to_pil().convert("RGB").save(buffer, "PNG", optimize=False)
    return buffer.getvalue()
