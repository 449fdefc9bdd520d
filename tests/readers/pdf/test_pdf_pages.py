"""Boxes, unit and turn of PDF pages, against published values and PDFium's own idea of the page."""

from __future__ import annotations

import io

import numpy as np
import pikepdf
import pypdfium2
import pytest
from small_pdfs import one_page

from preflight.artwork.model import NoteKind
from preflight.readers.limits import Deadline, Limits
from preflight.readers.matrices import mapped
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.page_boxes import Frame, page_frame
from preflight.readers.pdf.document.page_tree import pages_of
from preflight.readers.pdf.document.streams import Streams

POINT = 25.4 / 72
"""mm; ISO 32000-1, 8.3.2.3: the default unit is 1/72 in."""


def framed(page: str, nodes: str = "") -> tuple[Frame, Context]:
    limits = Limits()
    pdf = pikepdf.open(io.BytesIO(one_page(page=page, nodes=nodes)), inherit_page_attributes=False)
    deadline = Deadline(10)
    context = Context(pdf, 1, limits, deadline, Streams(limits, deadline))
    return page_frame(pages_of(pdf, context)[0], context), context


def in_points(box: tuple[float, ...]) -> list[float]:
    return [round(edge / POINT, 6) for edge in box]


def test_a_point_is_a_seventy_second_of_an_inch() -> None:
    frame, context = framed("/MediaBox [0 0 612 792]")
    assert (frame.page.width, frame.page.height) == pytest.approx((215.9, 279.4))
    assert context.notes == []
    assert frame.page.certain


def test_boxes_left_out_are_those_of_the_standard() -> None:
    # ISO 32000-1, Table 30 by way of the Arlington PDF model (PageObject.tsv): CropBox defaults to MediaBox, the others to CropBox.
    frame, _ = framed("/MediaBox [0 0 300 200]")
    assert {tuple(in_points(box)) for box in frame.page.boxes.values()} == {(0, 0, 300, 200)}
    assert frame.page.stated_boxes == ("media",)
    frame, _ = framed("/MediaBox [0 0 300 200] /CropBox [10 20 210 120]")
    assert in_points(frame.page.boxes["media"]) == [-10, -80, 290, 120]
    for name in ("crop", "bleed", "trim", "art"):
        assert in_points(frame.page.boxes[name]) == [0, 0, 200, 100]
    assert frame.page.stated_boxes == ("media", "crop")


def test_trim_and_bleed_are_placed_in_the_page() -> None:
    frame, context = framed("/MediaBox [0 0 300 200] /BleedBox [8 8 292 192] /TrimBox [290 20 10 190]")
    assert in_points(frame.page.boxes["bleed"]) == [8, 8, 292, 192]
    assert in_points(frame.page.boxes["trim"]) == [10, 10, 290, 180]
    assert frame.page.stated_boxes == ("media", "bleed", "trim")
    assert context.notes == []


def test_media_and_crop_box_and_rotate_are_inherited_and_the_others_not() -> None:
    # Arlington PDF model, PageObject.tsv: which keys are inheritable.
    frame, _ = framed(
        "", nodes="/MediaBox [0 0 300 200] /CropBox [0 0 200 100] /Rotate 90 /TrimBox [9 9 99 99] /UserUnit 3"
    )
    assert in_points(frame.page.boxes["crop"]) == [0, 0, 100, 200]
    assert in_points(frame.page.boxes["trim"]) == [0, 0, 100, 200]
    assert frame.millimetres == pytest.approx(POINT)


def test_the_users_unit_scales_everything() -> None:
    frame, context = framed("/MediaBox [0 0 300 200] /TrimBox [10 10 290 190] /UserUnit 10")
    assert frame.page.width == pytest.approx(3000 * POINT)
    assert in_points(frame.page.boxes["trim"]) == [100, 100, 2900, 1900]
    assert mapped(frame.matrix, 300, 0) == pytest.approx((3000 * POINT, 2000 * POINT))
    assert context.notes == []


@pytest.mark.parametrize("turn", [0, 90, 180, 270, -90, 450])
def test_a_turned_page_lies_as_pdfium_shows_it(turn: int) -> None:
    # A black square near the lower left corner of a page that is wider than high; where PDFium paints it is where we say.
    page = f"/MediaBox [10 20 210 120] /Rotate {turn}"
    frame, _ = framed(page)
    document = pypdfium2.PdfDocument(one_page("15 30 20 10 re f", page=page))
    pixels = document[0].render(scale=1).to_numpy()[:, :, 0]
    document.close()
    assert (pixels.shape[1], pixels.shape[0]) == tuple(in_points((frame.page.width, frame.page.height)))
    rows, columns = np.nonzero(pixels < 128)
    seen = (columns.min(), rows.min(), columns.max() + 1, rows.max() + 1)
    corners = [mapped(frame.matrix, x, y) for x, y in ((15, 30), (35, 40))]
    x, y = zip(*corners, strict=True)
    assert in_points((min(x), min(y), max(x), max(y))) == pytest.approx(seen, abs=0.01)


@pytest.mark.parametrize(
    ("page", "what", "size"),
    [
        ("", "media box", (612, 792)),
        ("/MediaBox [0 0 0 100]", "media box", (612, 792)),
        ("/MediaBox [0 0 100]", "media box", (612, 792)),
        ("/MediaBox [0 0 (a) 100]", "media box", (612, 792)),
        ("/MediaBox [0 0 1e30 100]", "media box", (612, 792)),
        ("/MediaBox 7", "media box", (612, 792)),
        ("/MediaBox [0 0 300 200] /CropBox [400 400 500 500]", "crop box", (300, 200)),
        ("/MediaBox [0 0 300 200] /CropBox [5 5 5 5]", "crop box", (300, 200)),
        ("/MediaBox [0 0 300 200] /CropBox [100 100 400 400]", "crop box", (200, 100)),
        ("/MediaBox [0 0 300 200] /TrimBox [1 2 3]", "trim box", (300, 200)),
        ("/MediaBox [0 0 300 200] /UserUnit 0", "user unit", (300, 200)),
        ("/MediaBox [0 0 300 200] /UserUnit -2", "user unit", (300, 200)),
        ("/MediaBox [0 0 300 200] /UserUnit (two)", "user unit", (300, 200)),
        ("/MediaBox [0 0 300 200] /UserUnit 1e30", "user unit", (300, 200)),
        ("/MediaBox [0 0 300 200] /Rotate 45", "rotate", (300, 200)),
        ("/MediaBox [0 0 300 200] /Rotate /Left", "rotate", (300, 200)),
        ("/MediaBox [0 0 14401 200]", "page size", (14401, 200)),
        ("/MediaBox [0 0 2 200]", "page size", (2, 200)),
    ],
)
def test_what_is_wrong_with_a_page_is_said_and_replaced(
    page: str, what: str, size: tuple[float, float]
) -> None:
    frame, context = framed(page)
    assert [(note.kind, note.what) for note in context.notes] == [(NoteKind.FAULT, what)]
    assert in_points((frame.page.width, frame.page.height)) == pytest.approx(size)
    assert frame.page.boxes["trim"][2] == pytest.approx(frame.page.width)


def test_two_hundred_inches_are_the_largest_side() -> None:
    # ISO 32000-1, Annex C.2: 14 400 units, 5080 mm at the default unit (from memory).
    frame, context = framed("/MediaBox [0 0 14400 100]")
    assert frame.page.width == pytest.approx(5080.0)
    assert context.notes == []


def test_rounding_beyond_the_media_box_is_no_fault() -> None:
    frame, context = framed("/MediaBox [0 0 300 200] /TrimBox [0 0 300.004 200]")
    assert context.notes == []
    assert in_points(frame.page.boxes["trim"]) == [0, 0, 300, 200]
