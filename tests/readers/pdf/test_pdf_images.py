"""Images of PDF: where they land, how many pixels they hold, what is said of masks and of damage."""

from __future__ import annotations

import base64
import io
import math
import zlib

import numpy as np
import pytest
from PIL import Image
from small_pdfs import one_page, stream

from preflight.artwork import Artwork, Kind, NoteKind, Object, PaintKind, Raster
from preflight.readers.limits import Limits
from preflight.readers.pdf.images.image_bytes import jpeg_2000_pixels, jpeg_pixels, sample_fault, unwrapped
from preflight.readers.pdf.read import read

GRAY = "/Width 4 /Height 2 /ColorSpace /DeviceGray /BitsPerComponent 8"


def page_of(
    image: bytes | str,
    content: str = "q 72 0 0 36 10 20 cm /Im0 Do Q",
    limits: Limits | None = None,
    **more: object,
) -> Artwork:
    """A page of 200 × 100 points that draws object 5 as Im0."""
    resources = "/XObject << /Im0 5 0 R >>"
    others = {5: image, **{int(key[1:]): value for key, value in more.items()}}
    data = one_page(content, resources=resources, others=others)  # type: ignore[arg-type]
    (page,) = read(data, "image.pdf", limits or Limits())
    return page


def image_of(page: Artwork) -> Object:
    (found,) = [one for one in page.objects if one.kind is Kind.IMAGE]
    return found


def said(page: Artwork, kind: NoteKind) -> list[str]:
    return [note.message for note in page.notes if note.kind is kind]


def image(entries: str = GRAY, data: bytes = bytes(8), **keys: str) -> bytes:
    return stream(data, f"/Subtype /Image {entries}")


def test_an_image_is_the_unit_square_where_it_lands_with_its_resolution() -> None:
    page = page_of(image())
    found = image_of(page)
    # 72 × 36 pt are 25.4 × 12.7 mm, 10 pt from the left, and 100 - 20 - 36 = 44 pt from the top.
    corners = page.outlines.segments[:, 0]
    low, high = corners.min(axis=0), corners.max(axis=0)
    assert low == pytest.approx([10 * 25.4 / 72, 44 * 25.4 / 72])
    assert high - low == pytest.approx([25.4, 12.7])
    assert found.placed_size == pytest.approx((25.4, 12.7))
    assert found.pixel_size == (4, 2)
    # 4 pixels on one inch, 2 on half an inch.
    assert found.pixels_per_inch == pytest.approx((4.0, 4.0))
    assert found.raster == Raster("device-gray", 8, None)
    assert found.linked is None
    assert found.broken is None
    assert not page.notes


def test_a_turned_and_skewed_image_keeps_its_corners_and_is_measured_along_its_edges() -> None:
    turn = math.radians(30)
    a, b = 60 * math.cos(turn), 60 * math.sin(turn)
    c, d = -20 * math.sin(turn) + 8.0, 20 * math.cos(turn)
    page = page_of(image(), f"q {a} {b} {c} {d} 80 20 cm /Im0 Do Q")
    found = image_of(page)
    corners = {tuple(np.round(point, 6)) for point in page.outlines.segments[:, 0]}
    scale = 25.4 / 72
    points = [(80, 20), (80 + a, 20 + b), (80 + a + c, 20 + b + d), (80 + c, 20 + d)]
    assert corners == {tuple(np.round((x * scale, (100 - y) * scale), 6)) for x, y in points}
    assert found.placed_size == pytest.approx((60 * scale, math.hypot(c, d) * scale))
    across, down = found.pixels_per_inch or (0, 0)
    assert across == pytest.approx(4 / (60 / 72))
    assert down == pytest.approx(2 / (math.hypot(c, d) / 72))


@pytest.mark.parametrize(
    ("entries", "mask"),
    [
        (f"{GRAY} /SMask 6 0 R", "soft"),
        (f"{GRAY} /Mask 7 0 R", "explicit"),
        (f"{GRAY} /Mask [0 10]", "colour-key"),
    ],
)
def test_a_masked_image_says_how_and_holds_its_alpha(entries: str, mask: str) -> None:
    soft = image()
    stencil = stream(bytes(2), "/Subtype /Image /Width 4 /Height 2 /ImageMask true /BitsPerComponent 1")
    page = page_of(image(entries), o6=soft, o7=stencil)
    assert image_of(page).raster == Raster("device-gray", 8, mask)
    assert not said(page, NoteKind.NOT_MODELLED)
    assert list(page.alphas) == [page.objects.index(image_of(page))]


def test_what_jpeg_2000_is_said_to_have_of_bits_is_of_no_weight() -> None:
    entries = (
        "/Width 4 /Height 2 /ColorSpace /DeviceGray /Mask [0 10] /Filter /JPXDecode /BitsPerComponent {}"
    )
    for bits, taken in ((8, 8), (2**31 - 1, None)):
        found = image_of(page_of(image(entries.format(bits))))
        assert found.raster == Raster("device-gray", taken, "colour-key")


def test_matte_is_noted() -> None:
    soft = image(f"{GRAY} /Matte [1]")
    page = page_of(image(f"{GRAY} /SMask 6 0 R"), o6=soft)
    assert any("Matte" in message for message in said(page, NoteKind.NOT_MODELLED))


def test_a_stencil_is_painted_in_the_fill_paint() -> None:
    entries = "/Width 8 /Height 2 /ImageMask true /Decode [1 0]"
    page = page_of(image(entries, bytes(2)), "1 0 0 rg q 72 0 0 36 10 20 cm /Im0 Do Q")
    found = image_of(page)
    assert found.raster == Raster(None, 1, "stencil")
    assert found.fill.color is not None
    assert found.fill.color.components == (1.0, 0.0, 0.0)


def test_an_image_of_a_named_ink_names_it() -> None:
    function = "<< /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 1 1 0] >>"
    entries = f"/Width 4 /Height 2 /BitsPerComponent 8 /ColorSpace [/Separation /Harbour#20Red /DeviceCMYK {function}]"
    page = page_of(image(entries))
    fill = image_of(page).fill
    assert (fill.kind, fill.spot, fill.inks) == (PaintKind.PATTERN, "Harbour Red", (("Harbour Red", 1.0),))
    assert [spot.name for spot in page.spots] == ["Harbour Red"]


def test_an_inline_image_is_read_like_any_other() -> None:
    content = b"q 36 0 0 18 0 0 cm BI /W 4 /H 2 /CS /RGB /BPC 8 /F /AHx ID " + b"00" * 24 + b"> EI Q"
    page = page_of(image(), content.decode("latin-1"))
    found = image_of(page)
    assert found.pixel_size == (4, 2)
    assert found.raster == Raster("device-rgb", 8, None)
    assert found.pixels_per_inch == pytest.approx((8.0, 8.0))
    assert not page.notes


@pytest.mark.parametrize("packed", [False, True])
def test_a_stream_that_is_cut_off_is_a_fault(packed: bool) -> None:
    entries = "/Width 40 /Height 20 /ColorSpace /DeviceRGB /BitsPerComponent 8"
    samples = np.random.default_rng(1).integers(0, 255, 2400, np.uint8).tobytes()
    data = zlib.compress(samples)[:1300] if packed else samples[:1200]
    page = page_of(image(entries + (" /Filter /FlateDecode" if packed else ""), data))
    (message,) = said(page, NoteKind.FAULT)
    assert "cut off" in message
    assert image_of(page).broken is not None
    whole = page_of(image(entries, samples))
    assert not whole.notes
    assert image_of(whole).broken is None


def test_damaged_packing_is_a_fault() -> None:
    samples = np.random.default_rng(1).integers(0, 255, 2400, np.uint8).tobytes()
    data = bytearray(zlib.compress(samples))
    data[100:104] = b"\xff\xff\xff\xff"
    data[2] ^= 0x06  # the block's kind becomes one that does not exist
    page = page_of(
        image(
            "/Width 40 /Height 20 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter /FlateDecode",
            bytes(data),
        )
    )
    assert "damaged" in said(page, NoteKind.FAULT)[0]


def test_a_predicted_image_has_a_byte_before_each_row() -> None:
    rows = b"".join(b"\x00" + bytes(12) for _ in range(2))
    entries = "/Width 4 /Height 2 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter /FlateDecode"
    parms = " /DecodeParms << /Predictor 15 /Colors 3 /Columns 4 >>"
    assert not page_of(image(entries + parms, zlib.compress(rows))).notes
    assert said(page_of(image(entries + parms, zlib.compress(rows[:-2]))), NoteKind.FAULT)


def jpeg(size: tuple[int, int], form: str = "JPEG") -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", size, (200, 30, 30)).save(buffer, form)
    return buffer.getvalue()


def test_a_jpeg_is_held_against_its_own_header() -> None:
    entries = "/Width 30 /Height 20 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter /DCTDecode"
    whole = jpeg((30, 20))
    assert not page_of(image(entries, whole)).notes
    assert "cut off" in said(page_of(image(entries, whole[:-40])), NoteKind.FAULT)[0]
    page = page_of(image(entries, jpeg((60, 40))))
    assert said(page, NoteKind.FAULT) == ["An image states 30 × 20 pixels and holds 60 × 40."]
    assert image_of(page).pixel_size == (30, 20)
    assert "no JPEG" in said(page_of(image(entries, b"nothing of the kind")), NoteKind.FAULT)[0]


def test_a_jpeg_2000_may_bring_its_own_colour_space() -> None:
    data = jpeg((30, 20), "JPEG2000")
    assert jpeg_2000_pixels(data) == (30, 20)
    page = page_of(image("/Width 30 /Height 20 /Filter /JPXDecode", data))
    assert image_of(page).raster == Raster(None, None, None)
    assert not page.notes


def test_the_size_in_a_jpeg_is_what_pillow_says() -> None:
    data = jpeg((123, 45))
    assert jpeg_pixels(data) == Image.open(io.BytesIO(data)).size == (123, 45)
    assert jpeg_pixels(data[:30]) is None


@pytest.mark.parametrize(
    ("entries", "word"),
    [
        ("/Height 2 /ColorSpace /DeviceGray /BitsPerComponent 8", "no size in pixels"),
        ("/Width -4 /Height 2 /ColorSpace /DeviceGray /BitsPerComponent 8", "no size in pixels"),
        ("/Width 4 /Height 2 /BitsPerComponent 8", "no colour space"),
        ("/Width 4 /Height 2 /ColorSpace /DeviceGray", "number of bits"),
        (f"{GRAY} /Filter /LichenDecode", "LichenDecode"),
        (f"{GRAY} /Decode [0 1 0 1]", "decode array"),
        (f"{GRAY} /Mask [0 10 20]", "leaves out"),
        (f"{GRAY} /Mask 12", "mask"),
    ],
)
def test_what_is_wrong_in_the_dictionary_is_a_fault(entries: str, word: str) -> None:
    page = page_of(image(entries))
    assert any(word in message for message in said(page, NoteKind.FAULT))
    assert image_of(page).kind is Kind.IMAGE


def test_an_absurd_size_is_within_the_limit_or_said() -> None:
    entries = "/Width 2000000000 /Height 2000000000 /ColorSpace /DeviceRGB /BitsPerComponent 8"
    page = page_of(image(entries, bytes(8)))
    (message,) = said(page, NoteKind.NOT_MODELLED)
    assert "above the limit; its content is not judged" in message
    small = page_of(image(), limits=Limits(image_pixels=7))
    assert "above the limit" in said(small, NoteKind.NOT_MODELLED)[0]


def test_content_in_another_file_is_named() -> None:
    page = page_of(image(f"{GRAY} /F (tea-room.raw)", b""))
    assert image_of(page).linked == "tea-room.raw"
    assert any("tea-room.raw" in message for message in said(page, NoteKind.NOT_MODELLED))


def test_an_image_without_extent_is_broken() -> None:
    page = page_of(image(), "q 72 0 0 0 10 20 cm /Im0 Do Q")
    found = image_of(page)
    assert found.broken == "the image has no size"
    assert found.pixels_per_inch is None


def test_run_lengths_and_ascii_are_counted() -> None:
    # ISO 32000-1, 7.4.5: 2 copies three bytes, 254 repeats the next one three times, 128 ends.
    packed = bytes([2, 1, 2, 3, 254, 9, 128])
    assert sample_fault(packed, "RunLengthDecode", 6, lambda: None) is None
    assert sample_fault(packed, "RunLengthDecode", 7, lambda: None) is not None


@pytest.mark.parametrize(
    ("packing", "packed"),
    [("FlateDecode", zlib.compress(bytes(4_000_000))), ("RunLengthDecode", b"\xff\x00" * 200_000)],
)
def test_counting_what_much_data_unpacks_to_heeds_the_time(packing: str, packed: bytes) -> None:
    asked = 0

    def check() -> None:
        nonlocal asked
        asked += 1
        if asked > 2:
            raise TimeoutError

    with pytest.raises(TimeoutError):
        sample_fault(packed, packing, 10_000_000, check)
    assert unwrapped(b"<~87cURDZ~>", ["ASCII85Decode"], 0) == b"Hello"
    assert unwrapped(b"48 65 6c6C 6f>", ["ASCIIHexDecode"], 0) == b"Hello"
    assert unwrapped(b"\xff\xfe", ["ASCII85Decode"], 0) is None
    assert unwrapped(zlib.compress(bytes(1000)), ["FlateDecode"], 10) is None


@pytest.mark.parametrize("keys", ["/BPC 1" + "0" * 400, "/BPC 1e400", "/W 9" + "9" * 30, "/ 4", "/CS /"])
def test_wild_values_of_an_inline_image_are_left_out(keys: str) -> None:
    page = page_of(image(), f"q 36 0 0 18 0 0 cm BI /W 4 /H 2 /CS /G {keys} ID 12345678 EI Q")
    assert image_of(page).kind is Kind.IMAGE


def lzw(data: bytes) -> bytes:
    """Literal codes of nine bits with a clear code before each hundred: no table grows (ISO 32000-1, 7.4.4.2)."""
    codes: list[int] = []
    for start in range(0, len(data), 100):
        codes += [256, *data[start : start + 100]]
    codes.append(257)
    bits = "".join(f"{code:09b}" for code in codes)
    bits += "0" * (-len(bits) % 8)
    return int(bits, 2).to_bytes(len(bits) // 8, "big")


def packed(data: bytes, *filters: str) -> bytes:
    """Data packed so that the filters, in this order, undo it."""
    pack = {
        "LZWDecode": lzw,
        "FlateDecode": zlib.compress,
        "ASCII85Decode": lambda raw: base64.a85encode(raw) + b"~>",
        "ASCIIHexDecode": lambda raw: raw.hex().encode() + b">",
    }
    for name in reversed(filters):
        data = pack[name](data)
    return data


@pytest.mark.parametrize(
    "filters",
    [
        ("LZWDecode",),
        ("ASCII85Decode", "LZWDecode"),
        ("ASCIIHexDecode", "LZWDecode"),
        ("FlateDecode", "LZWDecode"),
        ("FlateDecode", "FlateDecode"),
        ("ASCII85Decode", "FlateDecode"),
    ],
)
def test_samples_packed_over_and_over_are_held_against_the_size(filters: tuple[str, ...]) -> None:
    names = " ".join(f"/{name}" for name in filters)
    entries = f"/Width 40 /Height 20 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter [{names}]"
    samples = np.random.default_rng(1).integers(0, 255, 2400, np.uint8).tobytes()
    assert not page_of(image(entries, packed(samples, *filters))).notes
    (message,) = said(page_of(image(entries, packed(samples[:1200], *filters))), NoteKind.FAULT)
    assert "50% of its pixels" in message


def test_a_picture_beneath_another_packing_is_held_against_its_size() -> None:
    entries = (
        "/Width 30 /Height 20 /ColorSpace /DeviceRGB /BitsPerComponent 8 /Filter [/FlateDecode /DCTDecode]"
    )
    whole = jpeg((30, 20))
    assert not page_of(image(entries, packed(whole, "FlateDecode"))).notes
    assert said(page_of(image(entries, packed(whole[:-40], "FlateDecode"))), NoteKind.FAULT)
    assert said(page_of(image(entries, packed(whole, "FlateDecode")[:-60])), NoteKind.FAULT)


@pytest.mark.parametrize(
    "filters",
    ["/CCITTFaxDecode", "/JBIG2Decode", "[/LZWDecode /FlateDecode]", "[/RunLengthDecode /DCTDecode]"],
)
def test_what_cannot_be_told_complete_is_said(filters: str) -> None:
    entries = f"/Width 8 /Height 8 /ColorSpace /DeviceGray /BitsPerComponent 1 /Filter {filters}"
    page = page_of(image(entries, b"whatever it holds"))
    assert any("complete cannot be told" in message for message in said(page, NoteKind.NOT_MODELLED))


@pytest.mark.parametrize("name", ["<EFBBBFEDA08041>", "(boat.dat)", "<< >>", "7", "<FEFFD8000041>"])
def test_an_image_kept_in_another_file_is_told_whatever_that_is_called(name: str) -> None:
    page = page_of(image(f"{GRAY} /F << /Type /Filespec /UF {name} >>"))
    found = image_of(page)
    assert found.linked
    assert "not opened" in (found.absent or "")
    found.linked.encode()


def test_a_filter_whose_name_is_no_text_is_told() -> None:
    page = page_of(stream(bytes(8), f"/Subtype /Image {GRAY} /Filter /B#FF"))
    assert image_of(page).absent
