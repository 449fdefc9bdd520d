"""Where ``sh`` paints: all that the clip in force leaves, within the shading's own box (ISO 32000-1, 8.7.4.2)."""

from __future__ import annotations

from drawn_pages import corners, drawn, noted

from preflight.artwork.model import Kind, NoteKind, PaintKind

GRADIENT = (
    "/ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 100 0] "
    "/Function << /FunctionType 2 /Domain [0 1] /C0 [1 0 0] /C1 [0 0 1] /N 1 >>"
)


def shading(entries: str = "") -> str:
    return f"/Shading << /S << {GRADIENT} {entries} >> >>"


def test_an_unbounded_shading_paints_the_innermost_clip() -> None:
    artwork = drawn("q 0 0 90 90 re W n 10 10 20 30 re W n /S sh Q", shading("/Extend [true true]"))
    (one,) = artwork.objects
    assert one.kind is Kind.SHADING
    assert one.fill.kind is PaintKind.GRADIENT
    assert corners(artwork)[0][:3] == [(10, 10), (30, 10), (30, 40)]
    assert artwork.clips[one.clip or 0].object_count == 2


def test_without_a_clip_it_paints_the_page() -> None:
    artwork = drawn("2 0 0 2 9 9 cm /S sh", shading("/Extend [true true]"))
    assert corners(artwork)[0][:3] == [(0, 0), (200, 0), (200, 100)]


def test_a_box_of_its_own_lies_in_user_space() -> None:
    artwork = drawn("2 0 0 2 0 0 cm /S sh", shading("/BBox [5 5 20 30] /Extend [true true]"))
    assert corners(artwork)[0][:3] == [(10, 10), (40, 10), (40, 60)]


def test_a_shading_that_is_not_there_is_said() -> None:
    artwork = drawn("/X sh", shading())
    assert artwork.objects == ()
    assert [note.kind for note in noted(artwork, "sh")] == [NoteKind.FAULT]
