"""Where images print: every kind of mask of PDF and picture of SVG, turned and skewed, against the pixels it was made from."""

from __future__ import annotations

import base64
import io
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from small_pdfs import one_page, stream

from preflight.artwork import Artwork
from preflight.job import Job
from preflight.job.making.final_size import at_final_size
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read as read_pdf
from preflight.readers.svg.read import read as read_svg

ROWS, COLUMNS = 60, 48


def blobs(seed: int, rows: int = ROWS, columns: int = COLUMNS) -> NDArray[np.bool_]:
    """Smooth random blobs."""
    noise = np.fft.rfft2(np.random.default_rng(seed).normal(size=(rows, columns)))
    coarse = np.exp(-300 * (np.fft.fftfreq(rows)[:, None] ** 2 + np.fft.rfftfreq(columns)[None] ** 2))
    return np.asarray(np.fft.irfft2(noise * coarse, (rows, columns)) > 0)


def packed(values: NDArray[Any], bits: int) -> bytes:
    """Rows of samples, each row from a byte of its own on."""
    if bits == 16:
        return values.astype(">u2").tobytes()
    if bits == 8:
        return values.astype(np.uint8).tobytes()
    each = (values[..., None] >> np.arange(bits - 1, -1, -1)) & 1
    return np.packbits(each.reshape(len(values), -1), axis=1).tobytes()


def picture(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def fax(shown: NDArray[np.bool_]) -> bytes:
    """CCITT group 4 data in which ``shown`` is black: what is white in a TIFF that counts black as 0."""
    tiff = picture(Image.fromarray(shown), "TIFF", compression="group4")
    with Image.open(io.BytesIO(tiff)) as image:
        (place,), (size,) = image.tag_v2[273], image.tag_v2[279]  # type: ignore[attr-defined]
    return tiff[place : place + size]


SIZE = f"/Subtype /Image /Width {COLUMNS} /Height {ROWS}"
GRAY = "/ColorSpace /DeviceGray /BitsPerComponent"
FILLED = stream(bytes(ROWS * COLUMNS), f"{SIZE} {GRAY} 8 /SMask 6 0 R")
MASKED = stream(bytes(ROWS * COLUMNS), f"{SIZE} {GRAY} 8 /Mask 6 0 R")
FLATE, FAX = (
    "/Filter /FlateDecode",
    f"/Filter /CCITTFaxDecode /DecodeParms << /K -1 /Columns {COLUMNS} /Rows {ROWS}",
)
STENCIL = f"{SIZE} /ImageMask true /BitsPerComponent 1"


def soft(shown: NDArray[np.bool_], bits: int, entries: str = "", turned: bool = False) -> tuple[bytes, bytes]:
    """An image with a soft mask, samples of some bits."""
    samples = np.where(shown != turned, 2**bits - 1, 0)
    return FILLED, stream(zlib.compress(packed(samples, bits)), f"{SIZE} {GRAY} {bits} {FLATE} {entries}")


def predicted(shown: NDArray[np.bool_]) -> bytes:
    """Flate with PNG's predictor "up" (ISO/IEC 15948, 9.2)."""
    samples = np.where(shown, 255, 0).astype(np.uint8)
    up = np.diff(np.vstack([np.zeros((1, COLUMNS), np.uint8), samples]), axis=0)
    rows = np.hstack([np.full((ROWS, 1), 2, np.uint8), up])
    parameters = f"/DecodeParms << /Predictor 12 /Columns {COLUMNS} >>"
    return stream(zlib.compress(rows.tobytes()), f"{SIZE} {GRAY} 8 {FLATE} {parameters}")


def keyed_rgb(shown: NDArray[np.bool_]) -> bytes:
    pixels = np.where(shown[..., None], [10, 20, 30], [250, 240, 1]).astype(np.uint8)
    return stream(
        pixels.tobytes(), f"{SIZE} /ColorSpace /DeviceRGB /BitsPerComponent 8 /Mask [249 251 235 240 0 5]"
    )


def keyed_index(shown: NDArray[np.bool_]) -> bytes:
    indexed = (
        "/ColorSpace [/Indexed /DeviceRGB 3 <000000 111111 222222 FFFFFF>] /BitsPerComponent 2 /Mask [3 3]"
    )
    return stream(packed(np.where(shown, 1, 3), 2), f"{SIZE} {indexed}")


def within(shown: NDArray[np.bool_]) -> bytes:
    """JPEG 2000 with an alpha channel of its own."""
    alpha = np.where(shown, 255, 0).astype(np.uint8)
    image = Image.fromarray(np.dstack([np.zeros((ROWS, COLUMNS, 3), np.uint8), alpha]))
    return stream(picture(image, "JPEG2000", irreversible=False), f"{SIZE} /Filter /JPXDecode /SMaskInData 1")


def grey(shown: NDArray[np.bool_]) -> Image.Image:
    return Image.fromarray(np.where(shown, 255, 0).astype(np.uint8))


PDF_MASKS: dict[str, Any] = {
    **{f"soft, {bits} bits": (lambda shown, bits=bits: soft(shown, bits)) for bits in (1, 2, 4, 8, 16)},
    "soft, turned": lambda shown: soft(shown, 8, "/Decode [1 0]", turned=True),
    "soft, PNG rows": lambda shown: (FILLED, predicted(shown)),
    "soft, JPEG": lambda shown: (
        FILLED,
        stream(picture(grey(shown), "JPEG", quality=95), f"{SIZE} {GRAY} 8 /Filter /DCTDecode"),
    ),
    "soft, JPEG 2000": lambda shown: (
        FILLED,
        stream(picture(grey(shown), "JPEG2000"), f"{SIZE} {GRAY} 8 /Filter /JPXDecode"),
    ),
    "soft, two filters": lambda shown: (
        FILLED,
        stream(
            base64.a85encode(zlib.compress(packed(np.where(shown, 255, 0), 8))) + b"~>",
            f"{SIZE} {GRAY} 8 /Filter [/ASCII85Decode /FlateDecode]",
        ),
    ),
    "soft, within": lambda shown: (within(shown),),
    "explicit": lambda shown: (MASKED, stream(packed(np.where(shown, 0, 1), 1), STENCIL)),
    "explicit, turned": lambda shown: (
        MASKED,
        stream(packed(np.where(shown, 1, 0), 1), f"{STENCIL} /Decode [1 0]"),
    ),
    "explicit, fax": lambda shown: (MASKED, stream(fax(shown), f"{STENCIL} {FAX} >>")),
    "explicit, fax of ones": lambda shown: (
        MASKED,
        stream(fax(shown), f"{STENCIL} {FAX} /BlackIs1 true >> /Decode [1 0]"),
    ),
    "colour key": lambda shown: (
        stream(packed(np.where(shown, 3, 200), 8), f"{SIZE} {GRAY} 8 /Mask [200 210]"),
    ),
    "colour key of 16 bits": lambda shown: (
        stream(packed(np.where(shown, 3, 60000), 16), f"{SIZE} {GRAY} 16 /Mask [60000 60001]"),
    ),
    "colour key of three": lambda shown: (keyed_rgb(shown),),
    "colour key of an index": lambda shown: (keyed_index(shown),),
    "stencil": lambda shown: (stream(packed(np.where(shown, 0, 1), 1), STENCIL),),
    "stencil, turned": lambda shown: (stream(packed(np.where(shown, 1, 0), 1), f"{STENCIL} /Decode [1 0]"),),
}

MATRIX = (60.0, 20.0, -15.0, 70.0, 70.0, 5.0)
"""Turned and skewed, points from the lower left corner."""


def pdf(shown: NDArray[np.bool_], kind: str) -> bytes:
    numbers = " ".join(map(str, MATRIX))
    objects = dict(enumerate(PDF_MASKS[kind](shown), start=5))
    content = f"0 g q {numbers} cm /Im0 Do Q"
    return one_page(content, resources="/XObject << /Im0 5 0 R >>", others=objects)


def job_of(artwork: Artwork) -> Job:
    return Job(artwork, Profile.default())


def printed(artwork: Artwork) -> tuple[Any, Any, Job]:
    job = job_of(artwork)
    found = job.printed.around([shapely.box(-500, -500, 500, 500)])
    return found.ink[0], found.doubtful[0], job


def expected(shown: NDArray[np.bool_], matrix: tuple[float, ...], seen: Any = None) -> Any:
    """The pixels that show as what a matrix makes of their squares; rows run down from (0, 0)."""
    rows, columns = np.nonzero(shown)
    squares = shapely.union_all(shapely.box(columns, rows, columns + 1, rows + 1))
    a, b, c, d, e, f = matrix
    units = (1 / shown.shape[1], 1 / shown.shape[0])
    return shapely.transform(squares, lambda points: points * units @ np.array([[a, b], [c, d]]) + (e, f))


def agree(region: Any, pixels: Any, size: float) -> None:
    """Within 0.7 pixel of a size, mm."""
    assert region.area == pytest.approx(pixels.area, rel=0.01)
    assert region.boundary.hausdorff_distance(pixels.boundary) < 0.7 * size


@pytest.mark.parametrize("kind", PDF_MASKS)
def test_every_kind_of_mask_of_pdf(kind: str) -> None:
    shown = blobs(len(kind))
    (artwork,) = read_pdf(pdf(shown, kind), "image.pdf", Limits())
    region, doubtful, job = printed(artwork)
    mm = 25.4 / 72
    a, b, c, d, e, f = (one * mm for one in MATRIX)
    # From points, y up, to mm, y down, with the first row on top.
    matrix = (a, -b, -c, d, e + c, 100 * mm - f - d)
    agree(region, expected(shown, matrix), 70 * mm / ROWS)
    assert doubtful.is_empty
    assert not job.printed.notes


@pytest.mark.parametrize("kind", PDF_MASKS)
def test_every_kind_of_mask_as_pdfium_shows_it(kind: str) -> None:
    shown = blobs(len(kind) + 100)
    data = pdf(shown, kind)
    (artwork,) = read_pdf(data, "image.pdf", Limits())
    region, _, _ = printed(artwork)
    document = pdfium.PdfDocument(data)
    bitmap = document[0].render(scale=4, grayscale=True)
    dark = bitmap.to_numpy().squeeze() < 128
    bitmap.close()
    document.close()
    rows, columns = np.mgrid[: dark.shape[0], : dark.shape[1]] + 0.5
    points = shapely.points(columns.ravel() * 25.4 / 288, rows.ravel() * 25.4 / 288)
    shapely.prepare(region)
    # PDFium shows each pixel as a square or softens it: what lies by the border, by a pixel of the image, is left out.
    clear = shapely.distance(region.boundary, points) > 70 / ROWS * 25.4 / 72
    assert np.array_equal(shapely.contains(region, points)[clear], dark.ravel()[clear])


def svg(body: str) -> Artwork:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">{body}</svg>'
    (artwork,) = read_svg(text.encode(), "image.svg", Limits(), None)
    return artwork


def embedded(image: Image.Image, kind: str, **options: Any) -> str:
    return f"data:image/{kind.lower()};base64,{base64.b64encode(picture(image, kind, **options)).decode()}"


def clear(shown: NDArray[np.bool_]) -> Image.Image:
    alpha = np.where(shown, 255, 0).astype(np.uint8)
    return Image.fromarray(np.dstack([np.full((*shown.shape, 3), 90, np.uint8), alpha]))


def palette(shown: NDArray[np.bool_]) -> Image.Image:
    image = Image.fromarray(np.where(shown, 1, 0).astype(np.uint8))
    image.putpalette([255, 0, 0, 0, 0, 255])
    return image.convert("P") if image.mode != "P" else image


PICTURES: dict[str, Any] = {
    "PNG": lambda shown: embedded(clear(shown), "PNG"),
    "PNG, grey": lambda shown: embedded(clear(shown).convert("LA"), "PNG"),
    "PNG, palette": lambda shown: embedded(palette(shown), "PNG", transparency=0),
    "PNG, one colour clear": lambda shown: embedded(
        Image.fromarray(np.where(shown, 9, 200).astype(np.uint8)), "PNG", transparency=200
    ),
    "WebP": lambda shown: embedded(clear(shown), "WEBP", lossless=True),
    "GIF": lambda shown: embedded(palette(shown), "GIF", transparency=0),
}


@pytest.mark.parametrize("kind", PICTURES)
def test_pictures_of_svg(kind: str) -> None:
    shown = blobs(len(kind))
    turned = '<g transform="translate(50 10) rotate(35) skewX(20)">'
    address = PICTURES[kind](shown)
    region, doubtful, _ = printed(svg(f'{turned}<image href="{address}" width="24" height="30"/></g>'))
    cosine, sine, skew = np.cos(np.radians(35)), np.sin(np.radians(35)), np.tan(np.radians(20))
    down = (cosine * skew - sine, sine * skew + cosine)
    matrix = (24 * cosine, 24 * sine, 30 * down[0], 30 * down[1], 50, 10)
    agree(region, expected(shown, matrix), 0.5 * 1.2)
    assert doubtful.is_empty


def test_a_picture_that_is_sliced_and_one_that_leaves_room() -> None:
    shown = blobs(5)
    address = PICTURES["PNG"](shown)
    sliced, _, _ = printed(
        svg(
            f'<image href="{address}" x="10" y="20" width="48" height="30" preserveAspectRatio="xMidYMin slice"/>'
        )
    )
    # What is cut off by the border keeps clear of it, so that nothing only touches it.
    whole = expected(shown, (48, 0, 0, 60, 10, 20)).intersection(shapely.box(10, 20, 58, 49.99))
    agree(sliced, whole, 1.0)
    fitted, _, _ = printed(
        svg(f'<image href="{address}" x="10" y="20" width="48" height="30" preserveAspectRatio="xMaxYMid"/>')
    )
    agree(fitted, expected(shown, (24, 0, 0, 30, 34, 20)), 0.5)


def test_a_clip_cuts_a_picture() -> None:
    shown = blobs(6)
    clip = '<clipPath id="c"><circle cx="22" cy="25" r="11"/></clipPath>'
    region, _, _ = printed(
        svg(
            f'{clip}<image clip-path="url(#c)" href="{PICTURES["PNG"](shown)}" x="10" y="10" width="24" height="30"/>'
        )
    )
    whole = expected(shown, (24, 0, 0, 30, 10, 10)).intersection(shapely.Point(22, 25).buffer(11, 64))
    assert region.area == pytest.approx(whole.area, rel=0.01)


def test_pictures_without_alpha_print_all_over() -> None:
    plain = Image.fromarray(np.full((4, 6, 3), 255, np.uint8))
    for kind in ("PNG", "JPEG"):
        artwork = svg(f'<image href="{embedded(plain, kind)}" width="30" height="20"/>')
        assert not artwork.alphas
        assert printed(artwork)[0].equals(shapely.box(0, 0, 30, 20))


def test_a_linked_picture_below_the_folder(tmp_path: Path) -> None:
    shown = blobs(7)
    clear(shown).save(tmp_path / "gull.png")
    text = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><image href="gull.png" width="24" height="30"/></svg>'
    (artwork,) = read_svg(text.encode(), "image.svg", Limits(), tmp_path)
    agree(printed(artwork)[0], expected(shown, (24, 0, 0, 30, 0, 0)), 0.5)


def test_a_shadow_is_in_doubt() -> None:
    alpha = np.zeros((60, 60), np.uint8)
    alpha[10:50, 10:50] = 60
    alpha[20:40, 20:40] = 255
    image = Image.fromarray(np.dstack([np.zeros((60, 60, 3), np.uint8), alpha]))
    region, doubtful, job = printed(svg(f'<image href="{embedded(image, "PNG")}" width="60" height="60"/>'))
    assert region.area == pytest.approx(400, rel=0.04)  # the half lies nearer to the fainter side
    assert doubtful.area == pytest.approx(1600 - 24**2, rel=0.05)
    assert [note.what for note in job.printed.notes] == ["printed area"]


def test_what_cannot_be_decoded_is_in_doubt() -> None:
    # JBIG2 is not decoded; a soft mask that ends too soon is none.
    jbig2 = stream(b"\x97JB2", f"{STENCIL} /Filter /JBIG2Decode")
    short = stream(b"\xff" * 9, f"{SIZE} {GRAY} 8")
    for image, mask in ((MASKED, jbig2), (FILLED, short)):
        data = one_page(
            "q 48 0 0 60 10 20 cm /Im0 Do Q",
            resources="/XObject << /Im0 5 0 R >>",
            others={5: image, 6: mask},
        )
        (artwork,) = read_pdf(data, "image.pdf", Limits())
        region, doubtful, job = printed(artwork)
        assert region.is_empty
        assert doubtful.area == pytest.approx(48 * 60 * (25.4 / 72) ** 2)
        (note,) = job.printed.notes
        assert note.origin is not None


def test_a_picture_above_the_limit_is_in_doubt() -> None:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"><image href="{PICTURES["PNG"](blobs(1))}" width="9" height="9"/></svg>'
    (artwork,) = read_svg(text.encode(), "image.svg", Limits(image_pixels=100), None)
    region, doubtful, _ = printed(artwork)
    assert region.is_empty
    assert not doubtful.is_empty


def test_one_picture_drawn_often_is_decoded_once() -> None:
    uses = "".join(f'<use href="#p" x="{x}"/>' for x in range(0, 90, 10))
    artwork = svg(f'<image id="p" href="{PICTURES["PNG"](blobs(1))}" width="8" height="10"/>{uses}')
    assert len({alpha.decode for alpha in artwork.alphas.values()}) == 1
    assert len(artwork.alphas) == 10


def test_alphas_grow_with_the_page() -> None:
    artwork = svg(f'<image href="{PICTURES["PNG"](blobs(2))}" x="3" y="4" width="24" height="30"/>')
    small, large = printed(artwork)[0], printed(at_final_size(artwork, 2.0))[0]
    assert large.area == pytest.approx(4 * small.area)
    assert np.array(large.bounds) == pytest.approx(2 * np.array(small.bounds))
