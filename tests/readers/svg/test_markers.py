"""Markers as objects of their own, one promise a test; where they land is held against Chromium in tests/published."""

from __future__ import annotations

import pytest

from preflight.artwork.model import Artwork, NoteKind
from preflight.geometry.extents import object_boxes
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">'
TIP = '<marker id="tip" orient="auto" overflow="visible"><path id="barb" fill="context-stroke" d="M0 -1h2v2h-2z"/></marker>'


def page(body: str, limits: Limits | None = None) -> Artwork:
    return read(f"{HEAD}{body}</svg>".encode(), "markers.svg", limits or Limits(), None)[0]


def boxes(artwork: Artwork) -> list[list[float]]:
    rounded: list[list[float]] = object_boxes(artwork.outlines).round(6).tolist()
    return rounded


ROUTE = '<path id="route" d="M10 10h20v20" stroke="red" fill="none" marker-start="url(#tip)" marker-mid="url(#tip)" marker-end="url(#tip)"/>'


def test_each_marker_is_an_object_that_names_the_line_it_is_on() -> None:
    artwork = page(f'{TIP}{ROUTE}<path id="after" d="M0 0h1"/>')
    assert [one.origin.ref for one in artwork.objects] == [
        "route",
        "route/tip/barb",
        "route/tip/barb.2",
        "route/tip/barb.3",
        "after",
    ]
    assert [one.origin.id for one in artwork.objects[:2]] == ["route", "barb"]
    assert artwork.objects[1].origin.path == "/svg/marker[1]/path[1]"
    assert boxes(artwork)[1] == [10, 9, 12, 11]
    assert boxes(artwork)[3] == [29, 30, 31, 32]
    assert artwork.outlines.object_count == 5


def test_markers_take_over_what_holds_for_the_line() -> None:
    clipped = ROUTE.replace("<path", '<path clip-path="url(#c)"')
    artwork = page(
        f'{TIP}<clipPath id="c"><rect width="15" height="15"/></clipPath>'
        f'<g id="Legend" opacity=".5" data-preflight-waive="a: b">{clipped}</g>'
    )
    assert [one.layer for one in artwork.objects] == [0] * 4
    assert [one.opacity for one in artwork.objects] == [0.5] * 4
    assert {one.waive for one in artwork.objects} == {("a: b",)}
    assert [one.clipped_away for one in artwork.objects] == [False, False, True, True]


def test_context_paints_are_those_of_the_line() -> None:
    artwork = page(
        f'{TIP}<linearGradient id="Sea"><stop stop-color="blue"/></linearGradient>{ROUTE.replace("red", "url(#Sea)")}'
    )
    assert {one.fill.spot for one in artwork.objects[1:]} == {"Sea"}


@pytest.mark.parametrize(
    ("line", "hidden"),
    [
        ('<path display="none"', "display"),
        ('<path visibility="hidden"', "visibility"),
        ("<path", None),
    ],
)
def test_markers_are_hidden_with_their_line(line: str, hidden: str | None) -> None:
    artwork = page(TIP + ROUTE.replace("<path", line))
    assert [one.hidden for one in artwork.objects] == [hidden] * 4


def test_references_in_percent_and_words_are_of_the_view_box() -> None:
    # SVG 2, 13.7.1: left and top 0 %, center 50 %, right and bottom 100 %.
    for x, y in (("50%", "100%"), ("center", "bottom")):
        artwork = page(
            f'<marker id="m" markerWidth="4" markerHeight="4" viewBox="0 0 2 2" refX="{x}" refY="{y}">'
            '<rect width="2" height="2"/></marker><path d="M20 20h1" marker-start="url(#m)"/>'
        )
        assert boxes(artwork)[1] == [18, 16, 22, 20]


def test_a_stroke_that_does_not_scale_has_markers_that_do_not() -> None:
    # SVG 2, 13.7.1, the note at markerUnits. 1 px of a stroke is 25.4 / 96 mm whatever the scale.
    artwork = page(
        f'{TIP}<path transform="scale(4)" vector-effect="non-scaling-stroke" stroke="red" d="M5 5h1" marker-start="url(#tip)"/>'
    )
    x0, y0, x1, y1 = boxes(artwork)[1]
    assert (x1 - x0, y1 - y0) == pytest.approx((2 * 25.4 / 96, 2 * 25.4 / 96), abs=1e-6)


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        ('<path id="p" d="M0 0h1" marker-end="url(#none)"/>', NoteKind.FAULT),
        ('<path id="p" d="M0 0h1" marker-end="url(other.svg#a)"/>', NoteKind.NOT_MODELLED),
        ('<g id="g"/><path id="p" d="M0 0h1" marker-end="url(#g)"/>', NoteKind.FAULT),
        (f'{TIP}<rect id="p" width="1" height="1" marker-end="url(#tip)"/>', NoteKind.ASSUMED),
        (
            '<marker id="m"><path d="M0 0h1" marker-end="url(#m)"/></marker><path d="M0 0h1" marker-end="url(#m)"/>',
            NoteKind.FAULT,
        ),
    ],
)
def test_what_is_not_drawn_is_said(body: str, kind: NoteKind) -> None:
    notes = [note for note in page(body).notes if note.what == "marker"]
    assert [note.kind for note in notes] == [kind]
    assert notes[0].origin is not None


def test_no_size_draws_nothing() -> None:
    # SVG 2, 13.7.1: zero renders nothing, a negative value is an error.
    for size, faults in (("0", 0), ("-1", 1)):
        artwork = page(TIP.replace("<marker", f'<marker markerWidth="{size}"') + ROUTE)
        assert len(artwork.objects) == 1
        assert sum(note.kind is NoteKind.FAULT for note in artwork.notes) == faults


def test_a_clip_in_the_box_of_a_group_leaves_markers_out_of_the_box() -> None:
    artwork = page(
        f'{TIP}<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width="1" height="1"/></clipPath>'
        f'<g clip-path="url(#c)">{ROUTE}</g>'
    )
    assert object_boxes(artwork.clips[0])[0] == pytest.approx((10, 10, 30, 30))


def test_markers_count_as_drawn_again() -> None:
    with pytest.raises(Unreadable):
        page(f'{TIP}<path d="M0 0{"h1" * 400}" marker-mid="url(#tip)"/>', Limits(use_expansion=500))
    assert len(page(f'{TIP}<path d="M0 0{"h1" * 400}" marker-mid="url(#tip)"/>').objects) == 400
