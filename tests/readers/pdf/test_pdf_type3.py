"""Type 3 fonts: glyphs that are content streams (ISO 32000-1, 9.6.5)."""

from __future__ import annotations

import pytest
from drawn_pages import MM, drawn, noted
from small_pdfs import stream

from preflight.artwork import Artwork, Kind, NoteKind
from preflight.geometry import extents

SQUARE = "1000 0 0 0 750 750 d1 0 0 750 750 re f"
COLOURED = "1000 0 d0 1 0 0 rg 0 0 500 500 re f 0 0 1 RG 10 w 0 0 m 500 500 l S"
STENCIL = "800 0 0 0 800 800 d1 q 800 0 0 800 0 0 cm BI /W 8 /H 8 /IM true ID 12345678 EI Q"


def page_of(
    glyph: str, shown: str = "BT /F0 12 Tf 20 30 Td (ab) Tj ET", font: str = "", **more: bytes
) -> Artwork:
    dictionary = (
        "<< /Type /Font /Subtype /Type3 /FontBBox [0 0 1000 1000] /FontMatrix [0.001 0 0 0.001 0 0] /FirstChar 97"
        " /LastChar 98 /Widths [1000 500] /Encoding << /Differences [97 /anchor /b] >>"
        f" /CharProcs << /anchor 5 0 R /b 6 0 R >> {font} >>"
    )
    others = {5: stream(glyph), 6: stream(SQUARE), **{int(key[1:]): value for key, value in more.items()}}
    return drawn(shown, resources=f"/Font << /F0 {dictionary} >>", others=others)


def boxes(page: Artwork) -> list[list[float]]:
    found = extents.object_boxes(page.outlines) / MM
    return [[x0, 100 - y1, x1, 100 - y0] for x0, y0, x1, y1 in found.tolist()]


def test_each_glyph_is_drawn_at_its_place() -> None:
    page = page_of(SQUARE, "0 1 0 rg BT /F0 12 Tf 2 Tc 20 30 Td (ab) Tj ET")
    assert boxes(page) == [pytest.approx([20, 30, 29, 39]), pytest.approx([34, 30, 43, 39])]
    assert [one.kind for one in page.objects] == [Kind.TEXT, Kind.TEXT]
    assert [one.origin.ref for one in page.objects] == ["p1 op 6 glyph 1 op 3", "p1 op 6 glyph 2 op 3"]
    # “anchor” is no name of a character; b is.
    assert [one.text for one in page.objects] == [None, "b"]
    assert page.objects[0].font_size == pytest.approx(12 * MM)
    assert all(one.fill.color and one.fill.color.components == (0.0, 1.0, 0.0) for one in page.objects)
    assert not [note for note in page.notes if note.kind is NoteKind.FAULT]


def test_a_shape_takes_the_paint_of_the_text_whatever_it_sets_itself() -> None:
    page = page_of(SQUARE.replace("d1", "d1 1 0 0 rg"), "0 1 0 rg BT /F0 12 Tf 20 30 Td (a) Tj ET")
    (one,) = page.objects
    assert one.fill.color is not None
    assert one.fill.color.components == (0.0, 1.0, 0.0)


def test_a_coloured_glyph_keeps_its_colours() -> None:
    filled, stroked, square = page_of(COLOURED).objects
    assert filled.fill.color is not None
    assert filled.fill.color.components == (1.0, 0.0, 0.0)
    assert stroked.stroke.paint.color is not None
    assert stroked.stroke.paint.color.components == (0.0, 0.0, 1.0)
    assert stroked.stroke.width == pytest.approx(10 * 0.012 * MM)
    # The glyph leaves no trace in what follows it.
    assert square.fill.color is not None
    assert square.fill.color.components == (0.0,)


def test_a_stencil_is_text() -> None:
    page = page_of(STENCIL)
    assert [one.kind for one in page.objects] == [Kind.TEXT, Kind.TEXT]
    assert boxes(page)[0] == pytest.approx([20, 30, 29.6, 39.6])


def test_the_font_has_resources_of_its_own() -> None:
    form = stream("0 0 100 100 re f", "/Type /XObject /Subtype /Form /BBox [0 0 100 100]")
    page = page_of("1000 0 d0 /Fm Do", font="/Resources << /XObject << /Fm 7 0 R >> >>", o7=form)
    assert boxes(page)[0] == pytest.approx([20, 30, 21.2, 31.2])
    assert page.objects[0].origin.ref == "p1 op 4 glyph 1 op 2 Fm op 2"


def test_a_glyph_that_draws_itself_is_refused() -> None:
    page = page_of("1000 0 d0 BT /F0 100 Tf (a) Tj ET 0 0 9 9 re f", "BT /F0 12 Tf 20 30 Td (a) Tj ET")
    assert len(page.objects) == 1
    assert "draws itself" in noted(page, "font")[0].message


def test_a_broken_matrix_is_said() -> None:
    page = page_of(SQUARE, font="/FontMatrix [1 2]")
    assert "matrix" in noted(page, "font")[0].message
    assert boxes(page)[0] == pytest.approx([20, 30, 29, 39])


def test_outside_of_glyphs_its_operators_do_nothing() -> None:
    page = drawn("1000 0 d0 0 0 9 9 re f")
    assert noted(page, "d0")
    assert len(page.objects) == 1
