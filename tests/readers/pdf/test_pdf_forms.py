"""Form XObjects and marked content: ISO 32000-1, 8.10, 11.6.6 and 14.6."""

from __future__ import annotations

import pytest
from drawn_pages import MM, corners, drawn, noted
from small_pdfs import stream

from preflight.artwork.model import NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits

SQUARE = "0 0 10 10 re f"
FORMS = "/XObject << /A 5 0 R /B 6 0 R >>"
BOX = "/Type /XObject /Subtype /Form /BBox [0 0 50 50]"


def form(content: str, entries: str = "", box: str = BOX) -> bytes:
    return stream(content, f"{box} {entries}")


def test_a_form_is_drawn_under_its_own_matrix_and_then_that_of_the_page() -> None:
    artwork = drawn("2 0 0 2 10 0 cm /A Do", FORMS, {5: form(SQUARE, "/Matrix [1 0 0 1 3 4]")})
    assert corners(artwork)[0][0] == (16, 8)
    assert corners(artwork)[0][2] == (36, 28)


def test_what_a_form_sets_ends_with_it() -> None:
    artwork = drawn(f"/A Do {SQUARE}", FORMS, {5: form(f"1 0 0 rg 5 w 2 0 0 2 0 0 cm {SQUARE}")})
    assert corners(artwork, 1)[0][2] == (10, 10)
    assert artwork.objects[1].fill.color != artwork.objects[0].fill.color


def test_a_form_starts_with_the_state_in_force() -> None:
    artwork = drawn("1 0 0 rg /A Do", FORMS, {5: form(SQUARE)})
    assert artwork.objects[0].fill.color is not None
    assert artwork.objects[0].fill.color.rgb == (1, 0, 0)


def test_a_form_is_clipped_to_its_box() -> None:
    artwork = drawn("/A Do", FORMS, {5: form(f"{SQUARE} 60 60 9 9 re f", "/Matrix [1 0 0 1 5 5]")})
    assert [one.clipped_away for one in artwork.objects] == [False, True]
    assert artwork.clips[0].segments[0, 0] / MM == pytest.approx([5, 95])


@pytest.mark.parametrize("box", ["[50 50 0 0]", "[0 50 50 0]"])
def test_a_box_may_begin_at_any_corner(box: str) -> None:
    artwork = drawn("/A Do", FORMS, {5: form(SQUARE, box=f"/Subtype /Form /BBox {box}")})
    assert not artwork.objects[0].clipped_away


def test_a_form_drawn_twice_is_listed_twice_with_references_of_their_own() -> None:
    artwork = drawn("/A Do q 1 0 0 1 20 0 cm /A Do Q", FORMS, {5: form(f"{SQUARE} /B Do"), 6: form(SQUARE)})
    refs = [one.origin.ref for one in artwork.objects]
    assert refs == ["p1 op 1 A op 2", "p1 op 1 A op 3 B op 2", "p1 op 4 A op 2", "p1 op 4 A op 3 B op 2"]
    assert [one.origin.path for one in artwork.objects] == ["A", "A/B", "A", "A/B"]
    assert [one.origin.object_number for one in artwork.objects] == [5, 6, 5, 6]
    assert corners(artwork, 3)[0][0] == (20, 0)


def test_forms_use_their_own_names_and_those_of_the_page_where_they_have_none() -> None:
    page = f"{FORMS} /ExtGState << /G << /LW 7 >> >>"
    line = "/G gs 0 0 m 5 5 l S"
    own = "/Resources << /ExtGState << /G << /LW 3 >> >> >>"
    artwork = drawn("/A Do /B Do", page, {5: form(line, own), 6: form(line)})
    assert [one.stroke.width / MM for one in artwork.objects] == pytest.approx([3, 7])
    artwork = drawn("/A Do", page, {5: form(line, "/Resources << >>")})
    assert artwork.objects[0].stroke.width / MM == pytest.approx(7)  # as viewers do


def test_a_form_that_draws_itself_is_refused() -> None:
    artwork = drawn("/A Do", FORMS, {5: form(f"{SQUARE} /B Do"), 6: form(f"{SQUARE} /A Do")})
    assert len(artwork.objects) == 2
    assert [note.kind for note in noted(artwork, "form")] == [NoteKind.FAULT]


def test_forms_inside_one_another_have_a_limit() -> None:
    names = " ".join(f"/F{number} {number} 0 R" for number in range(5, 105))
    forms = {number: form(f"{SQUARE} /F{number + 1} Do") for number in range(5, 104)}
    artwork = drawn("/F5 Do", f"/XObject << {names} >>", {**forms, 104: form(SQUARE)})
    assert len(artwork.objects) == 40
    assert [note.kind for note in noted(artwork, "form")] == [NoteKind.NOT_MODELLED]


def test_forms_that_multiply_have_a_limit() -> None:
    names = " ".join(f"/F{number} {number} 0 R" for number in range(5, 15))
    forms = {number: form(f"/F{number + 1} Do " * 10) for number in range(5, 14)}
    with pytest.raises(Unreadable, match="limit"):
        drawn("/F5 Do", f"/XObject << {names} >>", {**forms, 14: form("")}, limits=Limits(use_expansion=1000))


@pytest.mark.parametrize(
    ("content", "others", "what"),
    [
        ("/X Do", {}, "XObject"),
        ("/A Do", {5: "<< /Type /XObject >>"}, "XObject"),
        ("/A Do", {5: stream(SQUARE, "/Subtype /Strange")}, "XObject"),
        ("/A Do", {5: stream(SQUARE, "/Subtype /Form")}, "form"),
        ("/A Do", {5: form(SQUARE, "/Matrix [1 0 0]")}, "form"),
    ],
)
def test_damaged_forms_are_said(content: str, others: dict[int, bytes | str], what: str) -> None:
    assert [note.kind for note in noted(drawn(content, FORMS, others), what)] == [NoteKind.FAULT]


def test_a_form_in_the_middle_of_a_path_leaves_the_path_whole() -> None:
    artwork = drawn("50 50 m 60 50 l /A Do 60 60 l S", FORMS, {5: form(SQUARE)})
    assert corners(artwork, 1) == [[(50, 50), (60, 50), (60, 60)]]
    assert noted(artwork, "Do")


def test_what_a_form_leaves_open_does_not_leak_out() -> None:
    artwork = drawn(f"/A Do {SQUARE}", FORMS, {5: form(f"q q 5 w /X BMC {SQUARE} 1 1 m")})
    assert len(artwork.objects) == 2
    assert corners(artwork, 1)[0][2] == (10, 10)
    assert {note.what for note in artwork.notes} == {"q", "marked content", "path"}


GROUP = "/Group << /S /Transparency >>"
CLEAR = "/ExtGState << /G << /ca 0.5 /CA 0.25 /BM /Multiply >> /H << /ca 0.5 /BM /Normal >> >>"


def test_a_group_takes_opacity_and_blend_mode_for_the_whole_of_it() -> None:
    # 11.6.6: at the start of a group opacity is 1 and the blend mode normal.
    artwork = drawn("/G gs /A Do", f"{FORMS} {CLEAR}", {5: form(f"0 0 9 9 re B /H gs {SQUARE}", GROUP)})
    first, second = artwork.objects
    assert (first.opacity, first.fill_opacity, first.stroke.opacity, first.blend) == (0.5, 1, 1, "multiply")
    assert (second.opacity, second.fill_opacity, second.blend) == (0.5, 0.5, "multiply")
    assert [note.kind for note in noted(artwork, "group")] == [NoteKind.NOT_MODELLED]


def test_a_form_that_is_no_group_passes_them_on() -> None:
    artwork = drawn("/G gs /A Do", f"{FORMS} {CLEAR}", {5: form("0 0 9 9 re B")})
    (one,) = artwork.objects
    assert (one.opacity, one.fill_opacity, one.stroke.opacity, one.blend) == (1, 0.5, 0.25, "multiply")
    assert not noted(artwork, "group")


def test_opacities_of_groups_multiply() -> None:
    others = {5: form("/H gs /B Do", GROUP), 6: form(SQUARE, GROUP)}
    artwork = drawn("/H gs /A Do", f"{FORMS} {CLEAR}", others)
    assert artwork.objects[0].opacity == 0.25


def test_a_plain_group_needs_no_note() -> None:
    assert drawn("/A Do", FORMS, {5: form(SQUARE, GROUP)}).notes == ()


OFF = "/OCProperties << /OCGs [8 0 R 9 0 R] /D << /OFF [9 0 R] >> >>"
LAYERS: dict[int, bytes | str] = {8: "<< /Type /OCG /Name (Art) >>", 9: "<< /Type /OCG /Name (Notes) >>"}
PROPERTIES = "/Properties << /Art 8 0 R /Notes 9 0 R >>"


def test_marked_content_puts_things_on_layers() -> None:
    content = f"/OC /Art BDC {SQUARE} /Span << /Lang (en) >> BDC {SQUARE} EMC /OC /Notes BDC {SQUARE} EMC EMC {SQUARE}"
    artwork = drawn(content, PROPERTIES, LAYERS, catalog=OFF)
    names = [None if one.layer is None else artwork.layers[one.layer].name for one in artwork.objects]
    assert names == ["Art", "Art", "Notes", None]
    assert [one.hidden for one in artwork.objects] == [None, None, "layer", None]


def test_marked_content_does_not_hang_on_the_graphics_state() -> None:
    artwork = drawn(f"q /OC /Art BDC Q {SQUARE} q EMC Q {SQUARE}", PROPERTIES, LAYERS, catalog=OFF)
    assert [one.layer is None for one in artwork.objects] == [False, True]
    assert artwork.notes == ()


def test_a_form_may_lie_on_a_layer() -> None:
    others = {**LAYERS, 5: form(SQUARE, "/OC 9 0 R"), 6: form(SQUARE, "/OC 8 0 R")}
    artwork = drawn(f"/A Do /B Do {SQUARE}", FORMS, others, catalog=OFF)
    assert [one.hidden for one in artwork.objects] == ["layer", None, None]


def test_what_is_hidden_hides_the_forms_inside() -> None:
    others = {**LAYERS, 5: form(SQUARE, "/OC 8 0 R")}
    artwork = drawn("/OC /Notes BDC /A Do EMC", f"{FORMS} {PROPERTIES}", others, catalog=OFF)
    assert artwork.objects[0].hidden == "layer"


@pytest.mark.parametrize(
    "content", ["EMC", "/OC /Art BDC", "/OC /Nothing BDC EMC", "/OC << /Type /OCG >> BDC EMC", "EX"]
)
def test_unbalanced_or_unknown_marks_are_said(content: str) -> None:
    artwork = drawn(f"{content} {SQUARE}", PROPERTIES, LAYERS, catalog=OFF)
    assert [note.kind for note in artwork.notes] == [NoteKind.FAULT]
    assert artwork.objects[0].hidden is None


def test_what_a_form_borrows_of_the_page_is_said() -> None:
    def notes(of_form: str) -> list[str]:
        page = drawn(
            "/F Do",
            resources="/XObject << /F 5 0 R >> /ExtGState << /G << /LW 3 >> >>",
            others={5: stream("/G gs 0 0 9 9 re S /G gs 9 9 5 5 re S", f"{BOX} {of_form}")},
        )
        assert [one.stroke.width for one in page.objects] == pytest.approx([3 * 25.4 / 72] * 2)
        return [note.message for note in page.notes if note.kind is NoteKind.ASSUMED]

    (message,) = notes("/Resources << /Font << >> >>")
    assert "lacks “G” (ExtGState)" in message
    # One without any uses the page's as the standard says, and one with its own needs none.
    assert notes("") == []
    assert notes("/Resources << /ExtGState << /G << /LW 3 >> >> >>") == []
