"""The process inks of images, against the numbers they were made of and against PDFium."""

from __future__ import annotations

import io
import zlib

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from preflight.artwork import Artwork
from preflight.engine import Engine
from preflight.job import Job
from preflight.profile import Profile

SIZE = 64


def page_of(
    data: bytes, size: tuple[int, int] = (SIZE, SIZE), matrix: str = "100 0 0 100 0 0", **entries: object
) -> bytes:
    """A page of 100 × 100 points all under one image of CMYK."""
    pdf = pikepdf.new()
    image = pikepdf.Stream(pdf, data)
    given = {"Type": "/XObject", "Subtype": "/Image", "ColorSpace": "/DeviceCMYK"}
    for key, name in given.items():
        image[f"/{key}"] = pikepdf.Name(name)
    for key, value in {"Width": size[0], "Height": size[1], "BitsPerComponent": 8, **entries}.items():
        image[f"/{key}"] = pikepdf.Name(value) if isinstance(value, str) else value
    page = pdf.add_blank_page(page_size=(100, 100))
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(I=image))
    page.Contents = pikepdf.Stream(pdf, f"{matrix} cm /I Do".encode())
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def job_of(content: bytes) -> Job:
    return Engine(Profile.default()).read_bytes(content, "image.pdf")[1][0]


def inks_of(content: bytes, columns: int = SIZE, rows: int = SIZE) -> np.ndarray | None:
    artwork: Artwork = job_of(content).artwork
    (index,) = artwork.inks
    assert artwork.objects[index].pixel_size is not None
    return artwork.inks[index].decode(columns, rows)


def jpeg(inks: tuple[int, int, int, int]) -> bytes:
    out = io.BytesIO()
    Image.new("CMYK", (SIZE, SIZE), inks).save(out, "JPEG", quality=95)
    return out.getvalue()


def shown(content: bytes) -> list[int]:
    """Blue, green and red in the middle of the page as PDFium draws it."""
    document = pypdfium2.PdfDocument(content)
    try:
        found: list[int] = document[0].render(scale=0.2).to_numpy()[10, 10].tolist()
    finally:
        document.close()
    return found


TURNED = pikepdf.Array([1, 0] * 4)


@pytest.mark.parametrize("turned", [False, True])
def test_a_jpeg_is_taken_as_pdfium_takes_it(turned: bool) -> None:
    """Programs store the inks of a JPEG turned round and say so in the Decode array; without it they count as they are stored."""
    content = page_of(jpeg((255, 0, 0, 0)), Filter="/DCTDecode", **({"Decode": TURNED} if turned else {}))
    found = inks_of(content)
    assert found is not None
    assert found.shape == (SIZE, SIZE, 4)
    wanted = (255, 0, 0, 0) if turned else (0, 255, 255, 255)
    assert np.abs(found.astype(int) - wanted).max() <= 2
    blue, green, red = shown(content)
    assert (blue > 150 and green > 100) if turned else max(blue, green, red) < 60


def test_a_jpeg_is_opened_no_finer_than_is_asked_for() -> None:
    found = inks_of(page_of(jpeg((51, 102, 0, 25)), Filter="/DCTDecode", Decode=TURNED), 16, 8)
    assert found is not None
    assert found.shape == (8, 16, 4)
    assert np.abs(found.astype(int) - (51, 102, 0, 25)).max() <= 2


PIXELS = np.random.default_rng(3).integers(0, 256, (SIZE, SIZE, 4), dtype=np.uint8)


@pytest.mark.parametrize("columns", [SIZE, 500])
def test_pixels_are_given_as_they_are_where_no_fewer_are_asked_for(columns: int) -> None:
    content = page_of(zlib.compress(PIXELS.tobytes()), Filter="/FlateDecode")
    found = inks_of(content, columns, columns)
    assert found is not None
    assert (found == PIXELS).all()


def test_averages_are_those_of_the_pixels_they_stand_for() -> None:
    found = inks_of(page_of(PIXELS.tobytes()), 16, 8)
    assert found is not None
    blocks = PIXELS.astype(float).reshape(8, 8, 16, 4, 4).mean(axis=(1, 3))
    assert np.abs(found - blocks).max() <= 0.5 + 1e-9


def test_samples_of_sixteen_bits_and_of_four() -> None:
    deep = (PIXELS.astype(">u2") * 257).tobytes()
    found = inks_of(page_of(deep, BitsPerComponent=16))
    assert found is not None
    assert (found == PIXELS).all()
    coarse = PIXELS >> 4
    packed = (coarse.reshape(-1, 2)[:, 0] << 4 | coarse.reshape(-1, 2)[:, 1]).astype(np.uint8).tobytes()
    found = inks_of(page_of(packed, BitsPerComponent=4))
    assert found is not None
    assert (found == coarse * 17).all()


@pytest.mark.parametrize(
    "content",
    [
        page_of(PIXELS.tobytes()[:1000]),
        page_of(PIXELS.tobytes(), Decode=pikepdf.Array([0, 1])),
        page_of(jpeg((0, 0, 0, 0)), (32, 32), Filter="/DCTDecode"),
        page_of(jpeg((0, 0, 0, 0))[:200], Filter="/DCTDecode"),
        page_of(b"no picture", Filter="/JPXDecode"),
        page_of(PIXELS.tobytes(), BitsPerComponent=10**15),
    ],
    ids=[
        "cut off",
        "decode array of one ink",
        "other size",
        "jpeg cut off",
        "jpeg 2000",
        "bits that cannot be",
    ],
)
def test_what_cannot_be_decoded_is_not_known_and_noted(content: bytes) -> None:
    assert inks_of(content) is None
    job = job_of(content)
    if job.content.printing:
        assert job.colours.ink_cover.heavy(300.0, 100.0) == ()
        assert [note.what for note in job.colours.notes] == ["ink of an image"]


def test_images_beyond_the_bound_are_noted_and_those_before_are_judged(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    full = np.full((SIZE, SIZE, 4), 255, np.uint8).tobytes()
    job = job_of(page_of(full))
    monkeypatch.setattr("preflight.job.colours.image_ink._LEAST_PIXELS", 1)
    monkeypatch.setattr("preflight.job.colours.image_ink._MOST_PIXELS", SIZE * SIZE)
    (heavy,) = job.colours.ink_cover.heavy(300.0, 100.0)
    assert heavy.total == pytest.approx(400)
    assert heavy.box == pytest.approx((0, 0, 100 / 72 * 25.4, 100 / 72 * 25.4), abs=1e-6)
    monkeypatch.setattr("preflight.job.colours.image_ink._MOST_PIXELS", SIZE * SIZE - 1)
    job = job_of(page_of(full))
    assert job.colours.ink_cover.heavy(300.0, 100.0) == ()
    assert [note.what for note in job.colours.notes] == ["ink of an image"]


@pytest.mark.parametrize(
    ("matrix", "box"),
    [
        ("100 0 0 100 0 0", (0.5, 0, 1, 1)),
        ("-100 0 0 100 100 0", (0, 0, 0.5, 1)),
        ("0 100 -100 0 100 0", (0, 0, 1, 0.5)),
        ("0 -100 100 0 0 100", (0, 0.5, 1, 1)),
    ],
    ids=["upright", "mirrored", "a quarter to the left", "a quarter to the right"],
)
def test_the_heavy_half_of_an_image_lies_where_the_image_is_placed(
    matrix: str, box: tuple[float, float, float, float]
) -> None:
    """The right half of the image is heavy; ISO 32000-1, 8.9.5.1: its first row lies at the top of the unit square."""
    pixels = np.full((SIZE, SIZE, 4), 128, np.uint8)
    pixels[:, SIZE // 2 :] = 255
    (heavy,) = job_of(page_of(pixels.tobytes(), matrix=matrix)).colours.ink_cover.heavy(300.0, 100.0)
    side = 100 / 72 * 25.4
    assert heavy.box == pytest.approx(
        [side * one for one in box], abs=0.6
    )  # averages over 1 mm meet the edge or not
    assert heavy.total == pytest.approx(400)


def test_heavy_parts_have_the_ink_of_their_own_pixels() -> None:
    pixels = np.zeros((SIZE, SIZE, 4), np.uint8)
    pixels[4:28, 4:60] = (255, 255, 230, 128)
    pixels[36:60, 4:60] = (200, 200, 200, 200)
    pixels[40:46, 40:46] = 255
    found = job_of(page_of(pixels.tobytes())).colours.ink_cover.heavy(300.0, 100.0)
    assert [round(one.total) for one in found] == [340, 400]


def test_an_image_below_the_area_that_is_asked_about_is_not_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("preflight.job.colours.image_ink._MOST_PIXELS", 0)
    full = np.full((SIZE, SIZE, 4), 255, np.uint8).tobytes()
    job = job_of(page_of(full, matrix="28 0 0 28 10 10"))
    assert job.colours.ink_cover.heavy(300.0, 100.0) == ()
    assert job.colours.notes == ()
