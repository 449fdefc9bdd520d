"""The PDF of a sheet holds what the sheet holds, as qpdf and PDFium read it."""

from __future__ import annotations

import io

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from demo_sheet.faults import faulty
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.season import summer_season
from demo_sheet.sheet import Group, Shape, Sheet

MILLIMETRE = 72 / 25.4


@pytest.fixture(scope="module", params=["clean", "faulty"])
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return summer_season() if request.param == "clean" else faulty()[0]


def shapes(items: tuple[object, ...]) -> list[Shape]:
    found: list[Shape] = []
    for item in items:
        found += shapes(item.items) if isinstance(item, Group) else [item] if isinstance(item, Shape) else []
    return found


def test_qpdf_has_nothing_to_say_about_it(sheet: Sheet) -> None:
    with pikepdf.open(io.BytesIO(pdf_bytes(sheet))) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert pdf.get_warnings() == []


def test_writing_twice_gives_the_same_bytes(sheet: Sheet) -> None:
    assert pdf_bytes(sheet) == pdf_bytes(sheet)


def control_box(shape: Shape) -> tuple[float, float, float, float]:
    """The box of all control points: what PDFium tells of an object without a stroke."""
    points = [
        point
        for contour in shape.path.contours
        for numbers in (contour.start, *contour.segments)
        for point in zip(numbers[::2], numbers[1::2], strict=True)
    ]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def test_pdfium_finds_every_filled_shape_where_it_was_drawn(sheet: Sheet) -> None:
    page = pypdfium2.PdfDocument(pdf_bytes(sheet))[0]
    height = page.get_height() / MILLIMETRE
    found = []
    for item in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = (value / MILLIMETRE for value in item.get_bounds())
        found.append((left, height - top, right, height - bottom))
    every = [shape for layer in sheet.layers for shape in shapes(layer.items)]
    assert len(found) == len(every)
    for box, shape in zip(found, every, strict=True):
        if shape.stroke is None:
            assert box == pytest.approx(control_box(shape), abs=0.01), shape.name
