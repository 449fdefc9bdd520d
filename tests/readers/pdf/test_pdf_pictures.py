"""Pictures of PDF pages for reports."""

from __future__ import annotations

import base64
import io

import numpy as np
import pytest
from PIL import Image
from small_pdfs import one_page, stream, written

from preflight.readers.limits import Limits
from preflight.readers.pdf import picture as module
from preflight.readers.pdf.picture import LONGEST, PIXELS, picture
from preflight.readers.pdf.read import read


def shown(data: bytes, page: int = 1) -> Image.Image:
    uri = picture(data, page)
    assert uri is not None
    kind, _, packed = uri.partition(",")
    assert kind == "data:image/png;base64"
    return Image.open(io.BytesIO(base64.b64decode(packed)))


def test_the_picture_shows_the_page_as_it_lies() -> None:
    image = shown(one_page("0 50 100 50 re f", page="/MediaBox [0 0 200 100] /Rotate 90"))
    assert image.width * 2 == pytest.approx(image.height, abs=2)
    pixels = np.asarray(image.convert("L"))
    dark_rows, dark_columns = np.nonzero(pixels < 128)
    # The upper left quarter, turned a quarter clockwise, is the upper right one.
    assert dark_columns.min() == pytest.approx(image.width / 2, abs=2)
    assert dark_rows.max() == pytest.approx(image.height / 2, abs=2)


@pytest.mark.parametrize("size", ["14400 14400", "14400 30", "3 3", "200 100"])
def test_the_picture_is_bounded_whatever_the_page(size: str) -> None:
    image = shown(one_page(page=f"/MediaBox [0 0 {size}]"))
    assert max(image.size) <= LONGEST
    assert image.width * image.height <= PIXELS * 1.01
    assert max(image.size) > 1000


def test_where_no_picture_can_be_made_there_is_none() -> None:
    assert picture(b"%PDF-1.7 nonsense", 1) is None
    assert picture(one_page(), 2) is None
    assert picture(one_page(), 0) is None


def test_a_picture_that_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "SECONDS", -1.0)
    assert picture(one_page("0 0 10 10 re f\n" * 5000), 1) is None


def dark(data: bytes, page: int) -> float:
    """Part of the page that is black."""
    return float((np.asarray(shown(data, page).convert("L")) < 128).mean())


TREES = {
    # PDFium goes by the counts, finds no page without its type, or counts a branch that leads nowhere.
    "sound": ("[3 0 R 5 0 R]", 2, "/Type /Page"),
    "count too small": ("[3 0 R 5 0 R]", 1, "/Type /Page"),
    "count too large": ("[3 0 R 5 0 R]", 7, "/Type /Page"),
    "count of a branch": ("[9 0 R 5 0 R]", 2, "/Type /Page"),
    "an entry that is no page": ("[8 0 R 3 0 R 5 0 R]", 3, "/Type /Page"),
    "an entry that is missing": ("[99 0 R 3 0 R 5 0 R]", 3, "/Type /Page"),
    "no type": ("[3 0 R 5 0 R]", 2, ""),
    "holds itself": ("[2 0 R 3 0 R 5 0 R]", 3, "/Type /Page"),
    "no list": ("null", 2, "/Type /Page"),
}


@pytest.mark.parametrize("kind", TREES)
def test_of_a_broken_list_of_pages_the_picture_is_of_the_page_that_was_read(kind: str) -> None:
    kids, count, of_page = TREES[kind]
    document = written(
        {
            1: "<< /Type /Catalog /Pages 2 0 R >>",
            2: f"<< /Type /Pages /Kids {kids} /Count {count} /MediaBox [0 0 100 100] >>",
            3: f"<< {of_page} /Parent 2 0 R /Contents 4 0 R /MediaBox [0 0 100 100] >>",
            4: stream("0 0 100 20 re f"),
            5: f"<< {of_page} /Parent 2 0 R /Contents 6 0 R /MediaBox [0 0 100 100] >>",
            6: stream("0 0 100 70 re f"),
            8: "<< /Type /Font >>",
            9: "<< /Type /Pages /Parent 2 0 R /Kids [3 0 R] /Count 4 >>",
        }
    )
    pages = read(document, "broken.pdf", Limits())
    drawn = [page.outlines.segments[:, :, 1].max() - page.outlines.segments[:, :, 1].min() for page in pages]
    inked = [height / page.page.height for height, page in zip(drawn, pages, strict=True)]
    assert len(pages) == 2
    assert [dark(document, page.page.number) for page in pages] == pytest.approx(inked, abs=0.01)
    assert sorted(inked) == pytest.approx([0.2, 0.7], abs=0.01)


def test_there_is_no_picture_rather_than_one_of_another_page(monkeypatch: pytest.MonkeyPatch) -> None:
    document = one_page("0 0 100 20 re f")
    monkeypatch.setattr(module, "with_plain_tree", lambda data: (data, 2))
    assert picture(document, 1) is None
