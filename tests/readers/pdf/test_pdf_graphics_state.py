"""Graphics state of PDF: ISO 32000-1, 8.4, and what strangers' files do to it."""

from __future__ import annotations

import math

import pytest
from drawn_pages import MM, corners, drawn, noted

from preflight.artwork.model import NoteKind, Stroke

LINE = "0 0 m 9 9 l S"


def stroke(content: str, resources: str = "") -> Stroke:
    return drawn(f"{content} {LINE}", resources).objects[-1].stroke


def state(entries: str) -> str:
    return f"/ExtGState << /G << {entries} >> >>"


def test_strokes_start_as_the_standard_says() -> None:
    one = stroke("")
    assert one.width == pytest.approx(1 * MM)
    assert (one.cap, one.join, one.miter_limit, one.dash, one.opacity) == ("butt", "miter", 10, (), 1)
    assert one.paint.color is not None
    assert one.paint.color.rgb == (0, 0, 0)


def test_every_stroke_parameter_in_mm() -> None:
    one = stroke("2 0 0 2 0 0 cm 3 w 1 J 2 j 5 M [4 2] 1 d")
    assert one.width == pytest.approx(6 * MM)
    assert (one.cap, one.join, one.miter_limit) == ("round", "bevel", 5)
    assert one.dash == pytest.approx((8 * MM, 4 * MM))
    assert one.dash_offset == pytest.approx(2 * MM)
    assert not one.uneven


def test_an_odd_dash_pattern_is_said_twice_and_no_dash_is_solid() -> None:
    assert stroke("[3] 0 d").dash == pytest.approx((3 * MM, 3 * MM))
    assert stroke("[3 1 2] 0 d").dash == pytest.approx(tuple(length * MM for length in (3, 1, 2, 3, 1, 2)))
    assert stroke("[] 0 d").dash == ()
    assert stroke("[0 0] 0 d").dash == ()


def test_a_width_of_zero_is_the_thinnest_line() -> None:
    one = stroke("0 w")
    assert one.width == 0
    assert one.paint.paints


def test_an_uneven_matrix_gives_the_mean_width_and_says_so() -> None:
    one = stroke("4 0 0 1 0 0 cm")
    assert one.width == pytest.approx(2 * MM)
    assert one.uneven
    turned = stroke("0.6 0.8 -0.8 0.6 0 0 cm")
    assert turned.width == pytest.approx(MM)
    assert not turned.uneven


@pytest.mark.parametrize(
    "content",
    ["-2 w", "7 J", "-1 j", "[1 -1] 0 d", "[/A] 0 d", "9999999999999999 0 0 1 0 0 cm", "1 2 cm", "/A w"],
)
def test_parameters_that_make_no_sense_are_said(content: str) -> None:
    artwork = drawn(f"{content} {LINE}")
    assert [note.kind for note in artwork.notes] == [NoteKind.FAULT]
    assert artwork.objects[0].stroke.paint.paints


def test_saving_and_restoring() -> None:
    artwork = drawn("q 2 0 0 2 0 0 cm 5 w q 7 w 0 0 m 1 0 l S Q 0 0 m 1 0 l S Q 0 0 m 1 0 l S")
    assert [one.stroke.width / MM for one in artwork.objects] == pytest.approx([14, 10, 1])
    assert corners(artwork, 2) == [[(0, 0), (1, 0)]]


def test_text_state_is_saved_too() -> None:
    content = "BT q /F 9 Tf 3 TL (a) Tj Q /F 5 Tf (a) Tj T* ET"
    sizes = [one.font_size for one in drawn(content, "/Font << /F << /Type /Font >> >>").objects]
    assert sizes == pytest.approx([9 * MM, 5 * MM])


def test_unbalanced_saving_is_said_and_mended() -> None:
    assert noted(drawn(f"q 5 w {LINE}"), "q")
    artwork = drawn(f"Q Q 5 w {LINE} q 1 w Q {LINE}")
    assert noted(artwork, "Q")
    assert [one.stroke.width / MM for one in artwork.objects] == pytest.approx([5, 5])


def test_states_saved_inside_one_another_have_a_limit_and_still_match_up() -> None:
    depth = 5000
    artwork = drawn(f"{'q ' * depth} 3 w {'Q ' * depth} {LINE}")
    assert artwork.objects[0].stroke.width == pytest.approx(MM)
    assert [note.kind for note in noted(artwork, "q")] == [NoteKind.NOT_MODELLED]
    assert not noted(artwork, "Q")


def test_an_extended_state_sets_line_parameters() -> None:
    one = stroke("/G gs", state("/LW 4 /LC 2 /LJ 1 /ML 3 /D [[6 2] 3]"))
    assert one.width == pytest.approx(4 * MM)
    assert (one.cap, one.join, one.miter_limit) == ("square", "round", 3)
    assert one.dash == pytest.approx((6 * MM, 2 * MM))
    assert one.dash_offset == pytest.approx(3 * MM)


@pytest.mark.parametrize(
    ("entries", "fill", "stroke_too"),
    [
        ("/OP true", True, True),  # table 58: OP alone sets both
        ("/OP true /op false", False, True),
        ("/OP false /op true", True, False),
        ("/op true", True, False),
        ("/OP false", False, False),
        ("/OP /true", False, False),
    ],
)
def test_overprint(entries: str, fill: bool, stroke_too: bool) -> None:
    (one,) = drawn("/G gs 0 0 9 9 re B", state(entries)).objects
    assert (one.overprint, one.stroke.overprint) == (fill, stroke_too)


@pytest.mark.parametrize(("entries", "mode"), [("/OPM 1", 1), ("/OPM 0", 0), ("/OPM 7", 0), ("", 0)])
def test_overprint_mode(entries: str, mode: int) -> None:
    assert drawn("/G gs 0 0 9 9 re f", state(f"/OP true {entries}")).objects[0].overprint_mode == mode


def test_opacity_of_fill_and_stroke() -> None:
    artwork = drawn("/G gs 0 0 9 9 re B", state("/ca 0.25 /CA 0.5"))
    (one,) = artwork.objects
    assert (one.fill_opacity, one.stroke.opacity, one.opacity) == (0.25, 0.5, 1)
    assert artwork.notes == ()


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("/Normal", "normal"),
        ("/Compatible", "normal"),
        ("/Multiply", "multiply"),
        ("/ColorDodge", "color-dodge"),
        ("/SoftLight", "soft-light"),
        ("[/Unheard /Screen /Multiply]", "screen"),
    ],
)
def test_blend_modes(written: str, name: str) -> None:
    artwork = drawn("/G gs 0 0 9 9 re f", state(f"/BM {written}"))
    assert artwork.objects[0].blend == name
    kinds = [note.kind for note in noted(artwork, "blend mode")]
    assert kinds == ([] if name == "normal" else [NoteKind.NOT_MODELLED])


def test_an_unknown_blend_mode_is_the_normal_one_and_is_said() -> None:
    artwork = drawn("/G gs 0 0 9 9 re f", state("/BM /Unheard"))
    assert artwork.objects[0].blend == "normal"
    assert [note.kind for note in noted(artwork, "blend mode")] == [NoteKind.FAULT]


@pytest.mark.parametrize(
    ("entries", "what"),
    [
        ("/SMask << /S /Alpha >>", "soft mask"),
        ("/AIS true", "alpha"),
        ("/TR 5 0 R", "halftone"),
        ("/HT << /HalftoneType 1 >>", "halftone"),
    ],
)
def test_what_changes_the_look_and_is_not_modelled_is_noted(entries: str, what: str) -> None:
    artwork = drawn("/G gs 0 0 9 9 re f", state(entries), {5: "<< /FunctionType 2 /Domain [0 1] /N 1 >>"})
    assert [note.kind for note in noted(artwork, what)] == [NoteKind.NOT_MODELLED]


def test_nothing_is_noted_where_such_an_entry_changes_nothing() -> None:
    artwork = drawn("/G gs 0 0 9 9 re f", state("/SMask /None /AIS false /TR2 /Default /HT /Default"))
    assert artwork.notes == ()


@pytest.mark.parametrize(
    ("content", "entries"), [("/X gs", ""), ("/G gs", "/D [5]"), ("/G gs", "/ca 2"), ("/G gs", "/SMask 4")]
)
def test_damaged_extended_states_are_said(content: str, entries: str) -> None:
    artwork = drawn(f"{content} {LINE}", state(entries))
    assert [note.kind for note in artwork.notes] == [NoteKind.FAULT]
    assert artwork.objects[0].stroke.opacity == 1


def test_unknown_operators_are_said_once_each_and_not_inside_a_compatibility_section() -> None:
    artwork = drawn(f"1 2 foo bar foo {LINE} BX baz EX")
    assert len(noted(artwork, "operator")) == 2
    assert len(artwork.objects) == 1
    assert len(noted(drawn(" ".join(f"x{number}y" for number in range(100))), "operator")) <= 21


def test_rendering_intent_and_flatness_change_nothing() -> None:
    artwork = drawn(f"/Perceptual ri 50 i {LINE} /Tag MP /Tag << /A 1 >> DP")
    assert artwork.notes == ()
    assert math.isclose(artwork.objects[0].stroke.width, MM)


def test_what_holds_at_very_many_places_is_counted() -> None:
    notes = noted(drawn("1 l " * 2500), "operand")
    assert len(notes) == 1001
    assert "1,500 further places" in notes[-1].message


@pytest.mark.parametrize("name", ["Fähre", "F#C3#A4hre", "F#E4hre", "Linie#20zwei", "船"])
def test_names_in_any_encoding_lead_to_their_resource(name: str) -> None:
    resources = f"/ExtGState << /{name} << /LW 7 >> >>".encode().decode("latin-1")
    artwork = drawn(f"/{name} gs {LINE}".encode(), resources)
    assert artwork.objects[0].stroke.width / MM == pytest.approx(7)
    assert artwork.notes == ()
