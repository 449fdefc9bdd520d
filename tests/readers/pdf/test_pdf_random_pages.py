"""Random valid pages: every path is found, where and as PDFium finds it, and nothing about them is called a fault."""

from __future__ import annotations

import ctypes
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest
from pdfium_paths import path_boxes
from random_pages import random_page

from preflight.artwork.model import Artwork, Kind
from preflight.geometry import extents
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

BATCHES = 8
OF_A_BATCH = 40
WITHIN = 0.01  # pt; the issue's own figure
SHARE = 1000
"""Parts of a point that PDFium tells places on a page to."""
RULES = {raw.FPDF_FILLMODE_ALTERNATE: "evenodd", raw.FPDF_FILLMODE_WINDING: "nonzero"}


def fills_and_strokes(data: bytes) -> list[tuple[str | None, bool]]:
    """Fill rule (None: not filled) of every path in paint order, forms included, and whether it is stroked."""
    found: list[tuple[str | None, bool]] = []

    def look(one: Any) -> None:
        kind = raw.FPDFPageObj_GetType(one)
        if kind == raw.FPDF_PAGEOBJ_PATH:
            mode, stroked = ctypes.c_int(), ctypes.c_int()
            raw.FPDFPath_GetDrawMode(one, mode, stroked)
            found.append((RULES.get(mode.value), bool(stroked.value)))
        elif kind == raw.FPDF_PAGEOBJ_FORM:
            for index in range(raw.FPDFFormObj_CountObjects(one)):
                look(raw.FPDFFormObj_GetObject(one, index))

    with pdfium.PdfDocument(data) as document:
        sheet = document[0]
        for index in range(raw.FPDFPage_CountObjects(sheet.raw)):
            look(raw.FPDFPage_GetObject(sheet.raw, index))
    return found


def placed(data: bytes) -> np.ndarray[Any, np.dtype[np.float64]]:
    """(n, 4) boxes of the paths as PDFium lays the page out: points, y down from the top left."""
    boxes = path_boxes(data)
    found = []
    with pdfium.PdfDocument(data) as document:
        sheet = document[0]
        width, height = (round(side * SHARE) for side in sheet.get_size())
        across, down = ctypes.c_int(), ctypes.c_int()
        for box in boxes:
            corners = []
            for x, y in ((box[0], box[1]), (box[2], box[3])):
                raw.FPDF_PageToDevice(sheet.raw, 0, 0, width, height, 0, x, y, across, down)
                corners.append((across.value / SHARE, down.value / SHARE))
            (x0, x1), (y0, y1) = (sorted(sides) for sides in zip(*corners, strict=True))
            found.append((x0, y0, x1, y1))
    return np.array(found).reshape(-1, 4)


def points_of(artwork: Artwork) -> float:
    """Millimetres that one unit of the page measures; PDFium leaves UserUnit out."""
    unit = artwork.page.unit.removesuffix("pt").strip()
    return 25.4 / 72 * (float(unit) if unit else 1.0)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_paths_are_those_that_pdfium_finds(batch: int) -> None:
    compared = 0
    for number in range(batch * OF_A_BATCH, (batch + 1) * OF_A_BATCH):
        data = random_page(number)
        artwork = read(data, f"{number}.pdf", Limits())[0]
        faults = [note for note in artwork.notes if note.kind == "fault" and note.what != "crop box"]
        assert not faults, number
        boxes = extents.object_boxes(artwork.outlines) / points_of(artwork)
        paths = [index for index, one in enumerate(artwork.objects) if one.kind is Kind.PATH]
        theirs = placed(data)
        assert len(paths) == len(theirs), number
        off = np.abs(boxes[paths] - theirs)
        assert (off <= WITHIN + 1 / SHARE).all(), number
        painted = [
            (one.fill_rule if one.fill.paints else None, one.stroke.paint.paints)
            for one in artwork.objects
            if one.kind is Kind.PATH
        ]
        assert painted == fills_and_strokes(data), number
        compared += len(paths)
    assert compared > OF_A_BATCH
