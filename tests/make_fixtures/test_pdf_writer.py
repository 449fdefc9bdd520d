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
from demo_sheet.sheet import Group, Layer, Shape, Sheet, Words
from demo_sheet.windows import window_films

MILLIMETRE = 72 / 25.4


@pytest.fixture(scope="module", params=["clean", "faulty", "roll"])
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return {"clean": summer_season, "faulty": lambda: faulty()[0], "roll": window_films}[request.param]()


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


def test_pdfium_reads_live_text_where_it_was_written() -> None:
    words = Words("Notice", "No boats (winter)", 40.0, 20.0, 5.0, "#173f63")
    page = pypdfium2.PdfDocument(pdf_bytes(Sheet("Notice", "", 80.0, 30.0, (Layer("Print Art", (words,)),))))[
        0
    ]
    assert page.get_textpage().get_text_bounded() == words.text
    (item,) = page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT])
    left, bottom, right, top = (value / MILLIMETRE for value in item.get_bounds())
    x0, y0, x1, y1 = words.bounds
    # PDFium draws with a font of its own, whose letters lie within the box but for the overhang of the first and last.
    assert x0 - 0.5 < left < right < x1 + 0.5
    assert y0 - 0.5 < 30.0 - top < 30.0 - bottom < y1 + 0.5
    assert right - left > 0.9 * (x1 - x0)
