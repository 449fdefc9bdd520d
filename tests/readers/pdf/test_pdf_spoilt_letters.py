"""Fonts, character maps, images and annotations spoilt by chance: each file has an answer, none a traceback."""

from __future__ import annotations

import io
import random

import pikepdf
import pytest
from lettered_pdfs import needs_fonts, of_reportlab
from mutated_pdfs import spoilt
from small_pdfs import one_page, stream

from preflight.artwork import Artwork
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

LIMITS = Limits(
    seconds=10, decompressed_size=20_000_000, path_segments=200_000, objects=50_000, use_expansion=5_000
)
CONTENT = """BT /F0 12 Tf 20 30 Td 2 Tr <00010002> Tj [<0003> -20 <00010001>] TJ /F1 9 Tf 3 Tc (ab ab) ' ET
BT 7 Tr /F2 20 Tf 30 TL 50 90 Td T* (Tea) Tj 0 0 0 0 0 0 Tm (x) Tj ET 0 0 90 90 re f
q 10 3 -3 10 50 50 cm /I0 Do Q q 9 0 0 9 9 9 cm BI /W 4 /H 4 /BPC 1 /IM true /F [/AHx /Fl] /D [1 0] ID 789c0300> EI Q"""
CMAP = """/WMode 1 def 1 begincodespacerange <0000> <ffff> endcodespacerange 1 begincidrange <0000> <00ff> 0 endcidrange
2 beginbfrange <0001> <0003> <0041> <0004> <0005> [<0061> <0062>] endbfrange 1 begincidchar <0101> 3 endcidchar"""
OBJECTS: dict[int, bytes | str] = {
    5: "<< /Type /Font /Subtype /Type0 /BaseFont /Ferry /Encoding 6 0 R /ToUnicode 6 0 R /DescendantFonts [7 0 R] >>",
    6: stream(CMAP, "/Type /CMap /WMode 0 /UseCMap /UniJIS-UTF16-V"),
    7: "<< /Type /Font /Subtype /CIDFontType0 /BaseFont /Ferry /DW 700 /DW2 [880 -900] /W [1 [400 500] 3 9 600]"
    " /W2 [1 [-800 1 2]] /CIDSystemInfo << /Registry (Adobe) /Ordering (Japan1) /Supplement 4 >> /FontDescriptor 8 0 R >>",
    8: "<< /Type /FontDescriptor /FontName /Ferry /Flags 4 /FontBBox [0 0 1 1] /Ascent 800 /Descent -200 /FontFile3 12 0 R >>",
    9: "<< /Type /Font /Subtype /Type3 /FontBBox [0 0 9 9] /FontMatrix [0.1 0 0 0.1 0 0] /FirstChar 97 /LastChar 98"
    " /Widths [10 5] /Encoding << /Differences [97 /a /b] >> /CharProcs << /a 10 0 R /b 11 0 R >> >>",
    10: stream("9 0 0 0 9 9 d1 0 0 8 8 re f BT /F1 3 Tf (b) Tj ET"),
    11: stream("9 0 d0 1 0 0 rg 0 0 8 8 re B /I0 Do"),
    12: stream("%!PS no font", "/Subtype /CIDFontType0C"),
    13: stream(
        bytes(48),
        "/Type /XObject /Subtype /Image /Width 4 /Height 4 /BitsPerComponent 8 /ColorSpace /DeviceRGB"
        " /Mask [0 1 0 1 0 1] /Decode [0 1 1 0 0 1]",
    ),
    14: "<< /Type /Annot /Subtype /Widget /F 4 /Rect [10 10 60 40] /AS /On /AP << /N << /On 15 0 R /Off 15 0 R >> >> >>",
    15: stream(
        "1 0 0 rg 0 0 5 5 re f BT /F1 3 Tf (b) Tj ET",
        "/Type /XObject /Subtype /Form /BBox [0 0 5 5] /Matrix [0 1 -1 0 0 0]",
    ),
}
HAND = one_page(
    CONTENT,
    page="/MediaBox [0 0 200 100] /Annots [14 0 R << /Subtype /Ink /F 4 /Rect [0 0 5 5] >>]",
    resources="/Font << /F0 5 0 R /F1 9 0 R /F2 << /Type /Font /Subtype /TrueType /BaseFont /Tea /Widths [1 2 3]"
    " /FirstChar 84 /FontDescriptor 8 0 R /Encoding << /Differences [84 /T /e /a] >> >> >> /XObject << /I0 13 0 R >>",
    others=OBJECTS,
)


def answer(data: bytes) -> tuple[Artwork, ...] | Unreadable:
    try:
        return read(data, "spoilt.pdf", LIMITS)
    except Unreadable as refusal:
        return refusal


def answered(data: bytes) -> bool:
    """Whether the file was read; a refusal says what to do."""
    found = answer(data)
    if isinstance(found, Unreadable):
        assert found.what
        assert found.mend
        return False
    for page in found:
        references = [one.origin.ref for one in page.objects]
        assert len(references) == len(set(references))
        assert len(page.objects) == page.outlines.object_count
    return True


def test_the_sound_file_draws_all_it_holds() -> None:
    (page,) = read(HAND, "sound.pdf", LIMITS)
    kinds = [one.kind.value for one in page.objects]
    assert kinds.count("text") >= 8
    # The image itself, the stencil, and one in each glyph of b: two shown, two inside a, one in the annotation.
    assert kinds.count("image") == 7
    assert page.objects[-2].origin.ref.startswith("p1 annotation 1 op")


@pytest.mark.parametrize("batch", range(4))
def test_spoilt_files_get_an_answer(batch: int) -> None:
    read_at_all = sum(
        answered(spoilt(HAND, random.Random(seed)))  # noqa: S311 - nothing secret
        for seed in range(batch * 50, batch * 50 + 50)
    )
    assert read_at_all > 25


def test_spoilt_fonts_get_an_answer() -> None:
    needs_fonts()
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(of_reportlab())) as pdf:
        for found in pdf.objects:
            # Unpacked, the damage goes into the fonts, not into their packing.
            if isinstance(found, pikepdf.Stream) and "/Length1" in found:
                found.write(found.read_bytes())
        pdf.save(out, static_id=True, compress_streams=False)
    assert sum(answered(spoilt(out.getvalue(), random.Random(seed))) for seed in range(40)) > 20  # noqa: S311
