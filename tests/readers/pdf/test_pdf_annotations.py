"""Annotations that print: where their appearance lands, checked against what PDFium prints."""

from __future__ import annotations

import pytest
from rendered_pages import inked_box, printed
from small_pdfs import one_page, stream

from preflight.artwork import Artwork, NoteKind
from preflight.geometry import extents
from preflight.readers.limits import Limits
from preflight.readers.pdf.annotations import NOT_PRINTED, placement
from preflight.readers.pdf.read import read

MM = 25.4 / 72


def file_of(
    annotation: str, appearance: str = "/BBox [0 0 40 20]", page: str = "", catalog: str = ""
) -> bytes:
    """A page of 200 × 100 points with one annotation (object 5) whose appearance (object 6) fills its box."""
    return one_page(
        "",
        page=f"/MediaBox [0 0 200 100] /Annots [5 0 R] {page}",
        catalog=catalog,
        others={
            5: f"<< /Type /Annot {annotation} >>",
            6: stream("0 0 1 rg -500 -500 1000 1000 re f", f"/Type /XObject /Subtype /Form {appearance}"),
            7: "<< /Type /OCG /Name (Tea room) >>",
        },
    )


def page_of(data: bytes) -> Artwork:
    (page,) = read(data, "annotation.pdf", Limits())
    return page


def visible_box(page: Artwork) -> tuple[float, ...]:
    """What the clip leaves of the only object: here the clip itself, as the object is larger on all sides."""
    (found,) = page.objects
    assert found.clip is not None
    boxes = extents.object_boxes(page.clips[found.clip])
    return tuple(boxes[0].tolist())


STAMP = "/Subtype /Stamp /F 4 /Rect [50 30 130 70] /AP << /N 6 0 R >>"


@pytest.mark.parametrize(
    "appearance",
    [
        "/BBox [0 0 40 20]",
        "/BBox [10 5 50 45]",
        "/BBox [-20 -10 20 10] /Matrix [1 0 0 1 300 40]",
        "/BBox [0 0 40 20] /Matrix [0 1 -1 0 0 0]",
        "/BBox [40 20 0 0] /Matrix [-2 0 0 3 5 7]",
    ],
)
@pytest.mark.parametrize("page", ["", "/Rotate 90", "/CropBox [20 10 180 90]", "/UserUnit 2"])
def test_the_appearance_fills_the_rectangle_as_pdfium_prints_it(appearance: str, page: str) -> None:
    data = file_of(STAMP, appearance, page)
    ink = inked_box(printed(data))
    assert ink is not None
    if "UserUnit" in page:
        ink = tuple(2 * side for side in ink)  # PDFium draws as if there were no user unit
    # One pixel is 1/8 pt, 0.044 mm; with the user unit 0.088 mm.
    assert visible_box(page_of(data)) == pytest.approx(ink, abs=0.09)


def test_a_turned_appearance_is_turned_into_the_rectangle_as_pdfium_prints_it() -> None:
    # Turned by 45°: its box in the rectangle is a lozenge, whose extremes touch all four sides.
    data = file_of(STAMP, "/BBox [0 0 40 40] /Matrix [0.70710678 0.70710678 -0.70710678 0.70710678 0 0]")
    ink = inked_box(printed(data))
    assert visible_box(page_of(data)) == pytest.approx(ink, abs=0.09)
    assert visible_box(page_of(data)) == pytest.approx([50 * MM, 30 * MM, 130 * MM, 70 * MM], abs=1e-5)


def test_algorithm_8_1_by_hand() -> None:
    # ISO 32000-1, 12.5.5: the box 0 0 40 20, turned by 90°, is -20 0 0 40; onto 50 30 130 70 it grows by 4 and by 1.
    found = placement((0.0, 0.0, 40.0, 20.0), (0.0, 1.0, -1.0, 0.0, 0.0, 0.0), (50.0, 30.0, 130.0, 70.0))
    assert found == pytest.approx((4.0, 0.0, 0.0, 1.0, 130.0, 30.0))
    assert placement((0.0, 0.0, 0.0, 20.0), (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), (50.0, 30.0, 130.0, 70.0)) is None


def test_what_it_draws_names_the_annotation() -> None:
    (found,) = page_of(file_of(STAMP)).objects
    assert found.origin.ref == "p1 annotation 1 op 3"
    assert found.origin.path == "annotation 1 (Stamp)"


@pytest.mark.parametrize(
    ("flags", "prints"),
    [(4, True), (0, False), (6, False), (4 + 32, True), (32, False), (4 + 64 + 128, True)],
)
def test_the_flags_decide_whether_it_prints_as_pdfium_does(flags: int, prints: bool) -> None:
    data = file_of(STAMP.replace("/F 4", f"/F {flags}"))
    (found,) = page_of(data).objects
    assert (found.hidden is None) is prints
    assert found.hidden in (None, NOT_PRINTED)
    if (
        not flags & 32
    ):  # PDFium leaves out what is not to be viewed even where it prints; the standard does not
        assert (inked_box(printed(data)) is not None) is prints


@pytest.mark.parametrize("subtype", ["Popup", "Link"])
def test_popups_and_links_leave_nothing(subtype: str) -> None:
    page = page_of(file_of(STAMP.replace("Stamp", subtype)))
    assert not page.objects
    assert not page.notes


def test_one_without_appearance_is_noted_if_it_prints() -> None:
    annotation = "/Subtype /Highlight /F 4 /Rect [50 30 130 70]"
    (note,) = page_of(file_of(annotation)).notes
    assert note.kind is NoteKind.NOT_MODELLED
    assert "Highlight" in note.message
    assert note.origin is not None
    assert note.origin.ref == "p1 annotation 1"
    assert not page_of(file_of(annotation.replace("/F 4", "/F 0"))).notes


def test_the_state_in_force_is_drawn() -> None:
    box = "/Subtype /Widget /FT /Btn /F 4 /Rect [50 30 130 70] /AP << /N << /Yes 6 0 R >> >>"
    assert len(page_of(file_of(f"{box} /AS /Yes")).objects) == 1
    off = page_of(file_of(f"{box} /AS /Off"))
    assert not off.objects
    assert not off.notes
    assert len(page_of(file_of(f"{box} /V /Yes")).objects) == 1
    assert not page_of(file_of(box)).objects


def test_optional_content_hides_it() -> None:
    off = "/OCProperties << /OCGs [7 0 R] /D << /OFF [7 0 R] >> >>"
    (found,) = page_of(file_of(f"{STAMP} /OC 7 0 R", catalog=off)).objects
    assert found.hidden == "layer"
    assert found.layer == 0


@pytest.mark.parametrize(
    ("annotation", "word"),
    [
        (STAMP.replace("/Rect [50 30 130 70]", "/Rect [50 30]"), "rectangle"),
        (STAMP.replace("/Rect [50 30 130 70]", ""), "rectangle"),
    ],
)
def test_damage_is_said(annotation: str, word: str) -> None:
    page = page_of(file_of(annotation))
    assert not page.objects
    assert any(word in note.message and note.kind is NoteKind.FAULT for note in page.notes)


def test_an_appearance_without_extent_is_said() -> None:
    page = page_of(file_of(STAMP, "/BBox [0 0 0 0]"))
    assert not page.objects
    assert any("no extent" in note.message for note in page.notes)


def test_what_moves_on_paper_is_said() -> None:
    page = page_of(file_of(STAMP.replace("/F 4", "/F 20"), page="/Rotate 90"))
    assert any("upright" in note.message for note in page.notes)
    page = page_of(file_of(f"{STAMP} /FixedPrint << /Type /FixedPrint >>"))
    assert any("sheet" in note.message for note in page.notes)
