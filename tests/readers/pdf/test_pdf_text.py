"""Text of PDF, worked by hand from ISO 32000-1, 9.3 and 9.4: where it lands, how large, in what paint, what it says."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
import reportlab
from drawn_pages import MM, drawn, noted
from lettered_pdfs import needs_fonts, of_reportlab
from small_pdfs import stream

from preflight.artwork import Artwork, Kind, NoteKind, Object
from preflight.geometry import extents
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read
from preflight.readers.pdf.text.showing import INVISIBLE

# Every letter is 500 wide, a space 250; 0.2 below the line, 0.7 above.
FONT = (
    "<< /Type /Font /Subtype /TrueType /BaseFont /ABCDEF+Ferry /FirstChar 32 /LastChar 126 /Encoding /WinAnsiEncoding"
    f" /Widths [250 {'500 ' * 94}] /FontDescriptor << /Type /FontDescriptor /FontName /Ferry /Flags 32"
    " /Ascent 700 /Descent -200 /MissingWidth 300 >> >>"
)


def text_of(content: str, font: str = FONT, **more: object) -> Artwork:
    others = {int(key[1:]): value for key, value in more.items() if key[1:].isdigit()}
    return drawn(content, resources=f"/Font << /F0 {font} >>", others=others)  # type: ignore[arg-type]


def boxes(page: Artwork) -> list[tuple[float, float, float, float]]:
    """Of each object, in points, y up from the bottom."""
    found = []
    for x0, y0, x1, y1 in extents.object_boxes(page.outlines).tolist():
        found.append((x0 / MM, 100 - y1 / MM, x1 / MM, 100 - y0 / MM))
    return found


def only(page: Artwork) -> Object:
    (found,) = page.objects
    assert found.kind is Kind.TEXT
    return found


def test_a_box_from_widths_and_heights_stands_for_a_font_that_is_not_there() -> None:
    page = text_of("1 0 0 rg BT /F0 10 Tf 20 30 Td (Tea) Tj ET")
    assert boxes(page) == [pytest.approx((20, 28, 35, 37))]
    found = only(page)
    assert (found.text, found.font_size) == ("Tea", pytest.approx(10 * MM))
    assert found.fill.color is not None
    assert found.fill.color.components == (1.0, 0.0, 0.0)
    assert not found.stroke.paint.paints
    (note,) = noted(page, "text")
    assert note.kind is NoteKind.ASSUMED
    assert "“Ferry” is not embedded" in note.message


@pytest.mark.parametrize(
    ("state", "shown", "box"),
    [
        # Each letter moves on by (w × size + Tc + Tw) × Tz; the box ends with the last letter itself.
        ("2 Tc", "(ab) Tj", (0, -2, 12, 7)),
        ("3 Tw", "(a b) Tj", (0, -2, 15.5, 7)),
        ("50 Tz 2 Tc", "(ab) Tj", (0, -2, 6, 7)),
        ("4 Ts", "(a) Tj", (0, 2, 5, 11)),
        ("", "[(a) -1000 (b)] TJ", (0, -2, 20, 7)),
        ("", "[(a) 1000 (b)] TJ", (-5, -2, 5, 7)),
        ("50 Tz", "[(a) -1000 (b)] TJ", (0, -2, 10, 7)),
        ("12 TL", "T* (a) Tj", (0, -14, 5, -5)),
        ("12 TL", "(a) '", (0, -14, 5, -5)),
        ("12 TL", '3 2 (a b) "', (0, -14, 19.5, -5)),
        ("", "5 -20 TD T* (a) Tj", (5, -42, 10, -33)),
        ("", "2 0 0 3 1 1 Tm (a) Tj", (1, -5, 11, 22)),
    ],
)
def test_the_text_state_moves_and_sizes_text(state: str, shown: str, box: tuple[float, ...]) -> None:
    page = text_of(f"1 0 0 1 50 50 cm BT /F0 10 Tf {state} {shown} ET")
    found = [tuple(side - 50 for side in one) for one in boxes(page)]
    assert found == [pytest.approx(box)]


def test_the_next_string_goes_on_where_the_last_one_ended() -> None:
    page = text_of("BT /F0 10 Tf 2 Tc 20 30 Td (ab) Tj [(c) -100] TJ (d) Tj ET")
    assert [box[0] for box in boxes(page)] == pytest.approx([20, 34, 42])
    assert [one.text for one in page.objects] == ["ab", "c", "d"]
    assert [one.origin.ref for one in page.objects] == ["p1 op 5", "p1 op 6", "p1 op 7"]


def test_the_size_is_the_height_on_the_page() -> None:
    # Turned by 90°, stretched along the line, slanted: the height at right angles to the line is 3 × 10 pt.
    page = text_of("0 3 -3 0 100 10 cm BT /F0 5 Tf 4 0 0.7 2 0 0 Tm 130 Tz (a) Tj ET")
    assert only(page).font_size == pytest.approx(30 * MM)


@pytest.mark.parametrize(
    ("mode", "filled", "stroked", "hidden"),
    [(0, True, False, None), (1, False, True, None), (2, True, True, None), (3, False, False, INVISIBLE)],
)
def test_the_render_mode_paints(mode: int, filled: bool, stroked: bool, hidden: str | None) -> None:
    page = text_of(f"0 1 0 RG 3 w BT /F0 10 Tf {mode} Tr 20 30 Td (a) Tj ET")
    found = only(page)
    assert found.fill.paints is filled
    assert found.stroke.paint.paints is stroked
    assert found.hidden == hidden
    if stroked:
        assert found.stroke.width == pytest.approx(3 * MM)


def test_text_as_a_clip_takes_effect_at_the_end_of_the_text_object() -> None:
    page = text_of(
        "BT /F0 10 Tf 7 Tr 20 30 Td (a) Tj 0 0 1 rg 0 0 5 5 re f 40 0 Td (b) Tj ET 0 0 200 100 re f Q"
    )
    first, inside, second, clipped = page.objects
    assert (first.hidden, second.hidden) == (INVISIBLE, INVISIBLE)
    assert inside.clip is None
    assert clipped.clip is not None
    clip = extents.contour_boxes(page.clips[clipped.clip]) / MM
    assert clip[:, 0] == pytest.approx([20, 60])
    assert clip[:, 2] == pytest.approx([25, 65])
    assert noted(page, "text clip")[0].kind is NoteKind.NOT_MODELLED


def test_blanks_leave_nothing() -> None:
    page = text_of("BT /F0 10 Tf 20 30 Td (  ) Tj () Tj [] TJ (a) Tj ET")
    assert [one.text for one in page.objects] == ["a"]
    assert boxes(page)[0][0] == pytest.approx(25)


def test_a_missing_font_is_said_and_the_usual_one_stands_in() -> None:
    page = text_of("BT /Nix 10 Tf 20 30 Td (MM) Tj ET")
    assert only(page).text == "MM"
    assert noted(page, "Tf")
    # Helvetica, the widths of which are Adobe's: M is 833 wide.
    assert boxes(page)[0][2] == pytest.approx(20 + 2 * 8.33, abs=0.02)


@pytest.mark.parametrize(
    ("font", "text", "width"),
    [
        # Widths of the standard fonts as published by Adobe (Core 14 AFM), from memory.
        ("/BaseFont /Helvetica /Encoding /WinAnsiEncoding", "iW", 222 + 944),
        ("/BaseFont /Helvetica /Encoding /WinAnsiEncoding", "\\226\\344", 556 + 556),
        ("/BaseFont /Times-Roman /Encoding /MacRomanEncoding", "\\320\\212", 500 + 444),
        ("/BaseFont /Times-Roman", "\\341\\261", 889 + 500),
        ("/BaseFont /Courier", "iW", 1200),
        ("/BaseFont /Symbol", "ab", 631 + 549),
    ],
)
def test_standard_fonts_have_their_own_widths(font: str, text: str, width: float) -> None:
    page = text_of(f"BT /F0 10 Tf 0 30 Td ({text}) Tj ET", f"<< /Type /Font /Subtype /Type1 {font} >>")
    assert boxes(page)[0][2] == pytest.approx(width / 100, abs=0.02)


@pytest.mark.parametrize(
    ("encoding", "codes", "text"),
    [
        ("/Encoding /WinAnsiEncoding", "<80c596b7>", "€Å–·"),
        ("/Encoding /MacRomanEncoding", "<81d0ca8a>", "Å–\u00a0ä"),
        ("/Encoding /StandardEncoding", "<27b1ae60>", "’–ﬁ‘"),
        ("", "<27e1>", "’Æ"),
        (
            "/Encoding << /BaseEncoding /WinAnsiEncoding /Differences [65 /uni20AC /f_i.alt 70 /Aring /g17] >>",
            "<4142434647>",
            "€fiCÅ\ufffd",
        ),
    ],
)
def test_characters_come_from_the_encoding(encoding: str, codes: str, text: str) -> None:
    page = text_of(
        f"BT /F0 10 Tf 0 30 Td {codes} Tj ET",
        f"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica {encoding} >>",
    )
    assert only(page).text == text
    assert any("“\ufffd” stands for them" in note.message for note in page.notes) is ("\ufffd" in text)


def test_a_map_to_characters_goes_before_the_encoding() -> None:
    cmap = (
        "1 begincodespacerange <00> <ff> endcodespacerange 2 beginbfchar <41> <00660066> <42> <d83dde00> endbfchar"
        " 2 beginbfrange <61> <63> <0391> <64> <65> [<0041> <00410042>] endbfrange"
    )
    page = text_of(
        "BT /F0 10 Tf 0 30 Td (ABCabcde) Tj ET", FONT[:-2] + "/ToUnicode 5 0 R >>", o5=stream(cmap)
    )
    assert only(page).text == "ff😀CΑΒΓAAB"


def composite(encoding: str, descendant: str = "", more: str = "") -> str:
    return (
        f"<< /Type /Font /Subtype /Type0 /BaseFont /Ferry /Encoding {encoding} {more} /DescendantFonts ["
        "<< /Type /Font /Subtype /CIDFontType2 /BaseFont /Ferry /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity)"
        f" /Supplement 0 >> /FontDescriptor << /Type /FontDescriptor /FontName /Ferry /Flags 4 /Ascent 700 /Descent -200 >> {descendant} >>] >>"
    )


def test_codes_of_two_bytes_have_widths_of_their_own() -> None:
    font = composite("/Identity-H", "/DW 900 /W [1 [100 200] 5 7 300]")
    page = text_of("BT /F0 10 Tf 4 Tw 0 30 Td <00010002000600200009> Tj ET", font)
    # 100 + 200 + 300 + 900 + 900; word spacing is for single bytes only.
    assert boxes(page)[0] == pytest.approx((0, 28, 24, 37))


def test_an_embedded_cmap_splits_and_numbers_codes() -> None:
    cmap = (
        "/WMode 0 def 2 begincodespacerange <00> <7f> <8000> <ffff> endcodespacerange"
        " 1 begincidchar <41> 1 endcidchar 1 begincidrange <8100> <81ff> 10 endcidrange"
    )
    font = composite("5 0 R", "/DW 1000 /W [1 [100] 12 [400]]")
    page = text_of("BT /F0 10 Tf 3 Tw 0 30 Td <4181022041> Tj ET", font, o5=stream(cmap))
    # A: CID 1, 8102: CID 12, a space of one byte (CID 0, 1000) with word spacing, A again.
    assert boxes(page)[0][2] == pytest.approx(1 + 4 + 10 + 3 + 1)


def test_vertical_writing_goes_down() -> None:
    font = composite("/Identity-V", "/DW 1000 /DW2 [880 -1000] /W2 [3 [-500 250 700]]")
    page = text_of("BT /F0 10 Tf 50 80 Td <000100030001> Tj (\\000\\001) Tj ET", font)
    first, second = boxes(page)
    assert first == pytest.approx((45, 55, 55, 80))
    assert second[3] == pytest.approx(55)


@pytest.mark.parametrize(
    ("name", "codes", "text"),
    [
        ("90ms-RKSJ-H", "<41 8abf b1>", "A漢ｱ"),
        ("GBK-EUC-H", "<41 d7d6>", "A字"),
        ("ETen-B5-H", "<41 a672>", "A字"),
        ("KSCms-UHC-H", "<41 b1db>", "A글"),
        ("EUC-H", "<41 b4c1>", "A漢"),
        ("H", "<3441>", "漢"),
        ("UniJIS-UTF16-H", "<6f22 d83dde00>", "漢😀"),
        ("UniGB-UCS2-H", "<0041 5b57>", "A字"),
    ],
)
def test_cmaps_by_name_tell_characters(name: str, codes: str, text: str) -> None:
    assert only(text_of(f"BT /F0 10 Tf 0 30 Td {codes} Tj ET", composite(f"/{name}"))).text == text


@pytest.mark.parametrize(
    ("font", "word"),
    [
        (composite("/No-Such-CMap-H"), "does not exist"),
        ("<< /Type /Font /Subtype /Type0 /BaseFont /Ferry /Encoding /Identity-H >>", "lacks its descendant"),
        (composite("7"), "lacks its CMap"),
        (FONT.replace("TrueType", "Lichen"), "no kind that is known"),
        (FONT.replace("/MissingWidth", "/FontFile2 5 0 R /MissingWidth"), "cannot be opened"),
    ],
)
def test_broken_fonts_are_said_and_boxes_stand(font: str, word: str) -> None:
    page = text_of("BT /F0 10 Tf 20 30 Td (Te) Tj ET", font, o5=stream(b"no font at all"))
    assert page.objects[0].kind is Kind.TEXT
    assert any(word in note.message for note in noted(page, "font"))
    assert all(note.kind is NoteKind.FAULT for note in noted(page, "font"))


def test_too_many_letters_become_boxes_and_that_is_said() -> None:
    needs_fonts()
    (page,) = read(of_reportlab(), "many.pdf", Limits(path_segments=2000))
    assert any("boxes stand for further ones" in note.message for note in page.notes)
    assert [one.kind for one in page.objects].count(Kind.TEXT) == 3


@pytest.mark.parametrize("size", ["1" + "0" * 30, "-1" + "0" * 30, "1" + "0" * 400])
def test_an_absurd_size_is_a_fault_of_the_file(size: str) -> None:
    page = text_of(f"BT /F0 {size} Tf 20 30 Td (a) Tj (b) Tj ET")
    assert [one.kind for one in page.objects] == [Kind.TEXT, Kind.TEXT]
    assert all(one.broken is not None for one in page.objects)
    assert [note for note in page.notes if note.kind is NoteKind.FAULT]


def test_letters_of_codes_beyond_two_bytes_have_boxes_and_that_is_said() -> None:
    letters = (Path(reportlab.__file__).parent / "fonts" / "Vera.ttf").read_bytes()
    descriptor = "/FontDescriptor << /Type /FontDescriptor /FontName /Ferry /Flags 4 /FontFile2 6 0 R /FontBBox [0 0 1 1] >>"
    cmap = (
        "2 begincodespacerange <0000> <7fff> <80000000> <ffffffff> endcodespacerange"
        " 2 begincidrange <0000> <7fff> 0 <80000000> <8000ffff> 0 endcidrange"
    )

    def shown(codes: str) -> Artwork:
        font = composite("5 0 R", f"/DW 700 {descriptor}")
        return text_of(f"BT /F0 10 Tf 0 30 Td {codes} Tj ET", font, o5=stream(cmap), o6=stream(letters))

    def said_boxes(page: Artwork) -> bool:
        return any("stand for letters of the font" in note.message for note in page.notes)

    short, long = shown("<0025 0026>"), shown("<0025 80000026>")
    assert len(short.outlines.segments) > 20
    assert not said_boxes(short)
    assert len(long.outlines.segments) == 4
    assert said_boxes(long)
    # Both take the width of both letters.
    assert boxes(long)[0][2] == pytest.approx(14)


def test_names_of_a_font_may_be_objects_of_their_own() -> None:
    needs_fonts()
    plain = of_reportlab()
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(plain)) as pdf:
        fonts = [
            one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and "/FontDescriptor" in one
        ]
        for font in fonts:
            font.Subtype = pdf.make_indirect(pikepdf.Object.parse(font.Subtype.unparse()))
            font.FontDescriptor.FontName = pdf.make_indirect(pikepdf.Name.Ferry)
        assert len(fonts) == 2
        pdf.save(out, static_id=True)
    (expected,), (page,) = (read(data, "a.pdf", Limits()) for data in (plain, out.getvalue()))
    assert [one.text for one in page.objects] == [one.text for one in expected.objects]
    np.testing.assert_array_equal(page.outlines.segments, expected.outlines.segments)
