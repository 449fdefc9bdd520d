"""Letters and images in PDFs by three independent writers, against what PDFium finds and paints.

The writers: ReportLab, cairo (through librsvg) and Skia (Chromium's print to PDF), each with its own way of embedding
fonts.
"""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pikepdf
import pytest
from lettered_pdfs import MM, SIZE, needs_fonts, of_cairo, of_chromium, of_reportlab
from pdfium_text import image_quads, shown_text
from rendered_pages import inked_box, printed

from preflight.artwork.model import Artwork, Kind, NoteKind
from preflight.geometry import extents
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read


def in_points(artwork: Artwork, box: list[float]) -> tuple[float, float, float, float]:
    height = artwork.page.height
    return box[0] / MM, (height - box[3]) / MM, box[2] / MM, (height - box[1]) / MM


def assert_letters_met(data: bytes) -> None:
    """Each piece of text has PDFium's characters, and its letters lie where PDFium has them."""
    (artwork,) = read(data, "letters.pdf", Limits())
    assert not [note for note in artwork.notes if note.what in ("text", "font")]
    boxes = extents.object_boxes(artwork.outlines).tolist()
    ours = [
        ("".join((one.text or "").split()), in_points(artwork, box))
        for one, box in zip(artwork.objects, boxes, strict=True)
        if one.kind is Kind.TEXT and one.drawn
    ]
    theirs = shown_text(data)
    assert len(ours) == len(theirs) >= 3
    assert sorted("".join(text for text, _ in ours)) == sorted("".join(one.characters for one in theirs))
    for one in theirs:
        near = min(ours, key=lambda mine: max(abs(a - b) for a, b in zip(mine[1], one.box, strict=True)))
        assert near[0] == one.characters
        # PDFium's boxes are whole thousandths of the em, and in some fonts 1/64 higher than the letters. Those of
        # turned text are the boxes of turned boxes. It drops fractions of a thousandth from every width.
        slack = (0.0, 0.0, 0.0, SIZE / 64) if one.level else (one.box[3] - one.box[1],) * 4
        drift = len(one.characters) * SIZE / 1000
        outside = (-1, -1, 1, 1)
        for mine, their, way, more in zip(near[1], one.box, outside, slack, strict=True):
            assert -0.05 - drift <= (their - mine) * way <= 0.05 + drift + more, (near, one)


def assert_ink_met(data: bytes) -> None:
    """All that is drawn reaches exactly as far as PDFium's ink."""
    (artwork,) = read(data, "letters.pdf", Limits())
    boxes = extents.object_boxes(artwork.outlines)
    drawn = [one.drawn and one.kind is not Kind.PATH for one in artwork.objects]
    low, high = np.nanmin(boxes[drawn], axis=0), np.nanmax(boxes[drawn], axis=0)
    ink = inked_box(printed(data))
    # A pixel is 1/8 pt, 0.044 mm; faint ones at the edges may count or not. PDFium drops fractions of a thousandth of
    # the font size, 8 mm at most, from the width of every letter.
    longest = max(len(one.text or "") for one in artwork.objects)
    assert [*low[:2], *high[2:]] == pytest.approx(ink, abs=0.07 + longest * 0.008)


def assert_images_met(data: bytes) -> None:
    """Images have PDFium's corners, and the pixels pikepdf reads."""
    (artwork,) = read(data, "letters.pdf", Limits())
    images = [index for index, one in enumerate(artwork.objects) if one.kind is Kind.IMAGE]
    quads = image_quads(data)
    assert len(images) == len(quads) == 1
    for index, quad in zip(images, quads, strict=True):
        first, last = artwork.outlines.contour_offsets[artwork.outlines.object_offsets[index : index + 2]]
        corners = artwork.outlines.segments[first:last, 0]
        points = [(x / MM, (artwork.page.height - y) / MM) for x, y in corners]
        assert np.array(points) == pytest.approx(np.array(quad), abs=0.01)
        one = artwork.objects[index]
        assert one.pixel_size == (40, 24)
        (width, height), (across, down) = one.placed_size or (0, 0), one.pixels_per_inch or (0, 0)
        edges = (math.dist(quad[0], quad[1]) * MM, math.dist(quad[0], quad[3]) * MM)
        assert (width, height) == pytest.approx(edges, abs=0.01)
        assert (across, down) == pytest.approx((40 / edges[0] * 25.4, 24 / edges[1] * 25.4), abs=0.01)
        assert one.raster is not None
        assert one.raster.bits == 8
        assert one.broken is None
    with pikepdf.open(io.BytesIO(data)) as document:
        (picture,) = [
            found
            for found in document.objects
            if isinstance(found, pikepdf.Stream)
            and found.get("/Subtype") == "/Image"
            and found.get("/ColorSpace") != "/DeviceGray"
        ]
        assert pikepdf.PdfImage(picture).size == (40, 24)
        assert pikepdf.PdfImage(picture).as_pil_image().size == (40, 24)


CHECKS = [assert_letters_met, assert_ink_met, assert_images_met]


@pytest.mark.parametrize("check", CHECKS)
def test_reportlab(check: Any) -> None:
    needs_fonts()
    check(of_reportlab())


@pytest.mark.parametrize("check", CHECKS)
def test_cairo(check: Any) -> None:
    needs_fonts()
    check(of_cairo())


@pytest.mark.browser
@pytest.mark.parametrize("check", CHECKS)
def test_chromium(check: Any, chromium: Any) -> None:
    needs_fonts()
    check(of_chromium(chromium))


def test_the_same_text_is_the_same_size_by_every_writer(chromium: Any) -> None:
    needs_fonts()
    for data in (of_cairo(), of_chromium(chromium)):
        (artwork,) = read(data, "letters.pdf", Limits())
        sizes = {round(one.font_size or 0, 2) for one in artwork.objects if one.kind is Kind.TEXT}
        # The font sizes of the drawing, in mm; slant and stretch leave the height.
        assert sizes == {8.0, 6.0}
        assert not [note for note in artwork.notes if note.kind is NoteKind.FAULT]
