"""Pictures of PDF pages for reports."""

from __future__ import annotations

import base64
import io
import struct

import numpy as np
import pytest
from PIL import Image
from small_pdfs import one_page, stream, written

from preflight.readers.limits import Limits
from preflight.readers.pdf import picture as module
from preflight.readers.pdf.document.plain_tree import with_plain_tree
from preflight.readers.pdf.picture import LONGEST, MEMORY, PIXELS, picture
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
    monkeypatch.setattr(module, "with_plain_tree", lambda data, page, memory: (data, 2))
    assert picture(document, 1) is None


SIZE = "/Type /XObject /Subtype /Image /BitsPerComponent 8"
MANY_INKS = f"[/DeviceN [{'/a ' * 3000}] /DeviceCMYK 9 0 R]"


def jpeg_2000(side: int) -> bytes:
    """The beginning of a codestream that says how large it is (ISO/IEC 15444-1, A.5.1)."""
    return b"\xff\x4f\xff\x51\0\x29\0\0" + struct.pack(">IIII", side, side, 0, 0) + bytes(32)


def jpx(says: int, holds: int) -> bytes:
    return stream(
        jpeg_2000(holds),
        f"{SIZE} /Width {says} /Height {says} /ColorSpace /DeviceRGB /Filter /JPXDecode",
    )


def rows(width: int, space: str, bits: int = 8, more: str = "") -> bytes:
    entries = f"{SIZE} /Width {width} /Height 1 /ColorSpace {space} {more}".replace("nent 8", f"nent {bits}")
    return stream("", entries)


FORM = "/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /I 8 0 R /F 7 0 R >> >>"
HOLDERS = {
    "on the page": "/XObject << /I 8 0 R >>",
    "in a form that holds itself": "/XObject << /F 7 0 R >>",
    "in a pattern": "/Pattern << /P 7 0 R >>",
    "in a soft mask": "/ExtGState << /G << /SMask << /S /Alpha /G 7 0 R >> >> >>",
    "in letters": "/Font << /T << /Type /Font /Subtype /Type3 /Resources << /XObject << /I 8 0 R >> >> >> >>",
    "as the mask of an image": "/XObject << /I 6 0 R >>",
}


def holding(image: bytes, resources: str) -> bytes:
    return written(
        {
            1: "<< /Type /Catalog /Pages 2 0 R >>",
            2: f"<< /Type /Pages /Kids [3 0 R 5 0 R] /Count 2 /MediaBox [0 0 100 100] /Resources << {resources} >> >>",
            3: "<< /Type /Page /Parent 2 0 R /Contents 4 0 R >>",
            4: stream("0 0 100 20 re f"),
            5: "<< /Type /Page /Parent 2 0 R /Contents 4 0 R /Resources << >> >>",
            6: rows(1, "/DeviceGray", more="/SMask 8 0 R"),
            7: stream("", FORM),
            8: image,
            9: stream("{}", "/FunctionType 4 /Domain [0 1] /Range [0 1]"),
        }
    )


@pytest.mark.parametrize("where", HOLDERS)
@pytest.mark.parametrize(
    ("image", "fits"),
    [
        (jpx(8_000, 8_000), True),
        (jpx(9_000, 9_000), False),
        (jpx(10, 9_000), False),
        (rows(30_000_000, "/DeviceCMYK", 16), True),
        (rows(40_000_000, "/DeviceCMYK", 16), False),
        (rows(80_000, MANY_INKS), True),
        (rows(80_000, MANY_INKS, 16), False),
    ],
    ids=["jpx", "large jpx", "jpx that says less", "row", "long row", "inks", "many inks"],
)
def test_of_a_page_whose_images_take_too_much_memory_there_is_no_picture(
    image: bytes, fits: bool, where: str
) -> None:
    document = holding(image, HOLDERS[where])
    assert (with_plain_tree(document, 1, MEMORY) is not None) is fits
    assert fits or picture(document, 1) is None
    assert picture(document, 2) is not None
