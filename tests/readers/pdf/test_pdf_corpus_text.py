"""Letters of embedded fonts over the corpus, against the boxes PDFium has for them (first two pages of each file);
skipped where the corpus is not beside the project.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pdfium_text import shown_text

from preflight.artwork.model import Artwork, Kind
from preflight.geometry import extents
from preflight.geometry.outlines import Floats
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

CORPUS = Path(__file__).parents[4] / "shared" / "corpus" / "pdf"
MM = 25.4 / 72
PAGES = 2

pytestmark = pytest.mark.skipif(not CORPUS.is_dir(), reason="the corpus is not beside the project")


def sizes_of_text(page: Artwork) -> Floats:
    """(n, 2) width and height of each object of text, in points; alike however the page is turned and cropped."""
    boxes = extents.object_boxes(page.outlines)
    chosen = [one.kind is Kind.TEXT for one in page.objects]
    sizes = (boxes[:, 2:] - boxes[:, :2])[chosen] / MM
    return sizes[np.isfinite(sizes).all(axis=1)]


def test_letters_are_as_large_as_pdfium_has_them() -> None:
    met = wanted = 0
    for path in sorted(CORPUS.glob("[gls]*/*.pdf")):
        data = path.read_bytes()
        try:
            pages = read(data, path.name, Limits())[:PAGES]
            held = pypdfium2.PdfDocument(data)
            embedded = [page_is_plain(held, index) for index in range(min(len(held), len(pages)))]
            held.close()
        except (Unreadable, pypdfium2.PdfiumError):
            continue
        for index, plain in enumerate(embedded):
            ours = sizes_of_text(pages[index])
            if not plain or not len(ours):
                continue
            for one in shown_text(data, index):
                if not one.level:
                    continue
                size = np.array([one.box[2] - one.box[0], one.box[3] - one.box[1]])
                # Whole thousandths, control points and 1/64 above the letters: see test_pdf_text_writers.
                off = np.abs(ours - size).max(axis=1).min()
                wanted += 1
                met += bool(off <= 0.25 + 0.05 * size[1] + 0.002 * size[0])
    assert wanted > 1000
    assert met / wanted > 0.98, f"{met} of {wanted}"


def page_is_plain(document: pypdfium2.PdfDocument, index: int) -> bool:
    """Whether all its text is in embedded fonts, the page is not turned and has no user unit of its own."""
    page = document[index]
    raw = pypdfium2.raw
    fonts = [
        raw.FPDFTextObj_GetFont(one.raw)
        for one in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=9)
    ]
    found = page.get_rotation() == 0 and all(raw.FPDFFont_GetIsEmbedded(font) == 1 for font in fonts)
    page.close()
    return bool(fonts) and found
