"""Pictures of PDF pages for reports."""

from __future__ import annotations

import base64
import io

import numpy as np
import pytest
from PIL import Image
from small_pdfs import one_page

from preflight.readers.pdf import picture as module
from preflight.readers.pdf.picture import LONGEST, PIXELS, picture


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
