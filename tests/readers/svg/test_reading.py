"""What the SVG reader resolves, one construct a test."""

from __future__ import annotations

import base64
import struct
from pathlib import Path

import numpy as np
import pytest

from preflight.artwork.model import Artwork, Kind, NoteKind, PaintKind
from preflight.geometry.extents import object_boxes
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read


def page(
    body: str,
    attributes: str = 'width="100mm" height="50mm" viewBox="0 0 100 50"',
    folder: Path | None = None,
) -> Artwork:
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd" {attributes}>'
    )
    return read(f"{head}{body}</svg>".encode(), "test.svg", Limits(), folder)[0]


def boxes(artwork: Artwork) -> list[tuple[float, ...]]:
    return [tuple(row) for row in object_boxes(artwork.outlines).round(6).tolist()]


@pytest.mark.parametrize(
    ("body", "box"),
    [
        ('<rect x="1" y="2" width="3" height="4"/>', (1, 2, 4, 6)),
        ('<rect x="1" y="2" width="3" height="4" rx="1"/>', (1, 2, 4, 6)),
        ('<circle cx="5" cy="6" r="2"/>', (3, 4, 7, 8)),
        ('<ellipse cx="5" cy="6" rx="2"/>', (3, 4, 7, 8)),
        ('<line x1="1" y1="2" x2="3" y2="4"/>', (1, 2, 3, 4)),
        ('<polygon points="1,2 3,2 3,9"/>', (1, 2, 3, 9)),
        ('<polyline points="1-2 3.5.5"/>', (1, -2, 3.5, 0.5)),
        ('<path d="M1 2h3v4z"/>', (1, 2, 4, 6)),
        ('<g transform="translate(10 5)"><g transform="scale(2)"><rect width="1" height="1"/></g></g>', (10, 5, 12, 7)),
        ('<rect transform="rotate(90 5 5)" width="2" height="1"/>', (9, 0, 10, 2)),
        ('<rect style="transform:translate(50%, 1px)" width="2" height="1"/>', (50, 1, 52, 2)),
        ('<rect style="transform:rotate(0.25turn);transform-origin:5px 5px" width="2" height="1"/>', (9, 0, 10, 2)),
        ('<rect x="10%" y="10%" width="50%" height="50%"/>', (10, 5, 60, 30)),
        ('<style>rect{x:4px;width:5px}</style><rect width="1" height="1"/>', (4, 0, 9, 1)),
        ('<svg x="10" y="10" width="20" height="20" viewBox="0 0 10 10"><rect width="1" height="1"/></svg>', (10, 10, 12, 12)),
        ('<symbol id="s" viewBox="0 0 10 10"><rect width="1" height="1"/></symbol><use href="#s" x="5" width="20" height="20"/>', (5, 0, 7, 2)),
        ('<defs><rect id="r" x="1" width="1" height="1"/></defs><use href="#r" x="5" y="6" transform="scale(2)"/>', (12, 12, 14, 14)),
    ],
)  # fmt: skip
def test_places(body: str, box: tuple[float, ...]) -> None:
    assert boxes(page(body)) == [pytest.approx(box, abs=1e-4)]


def fill(artwork: Artwork, index: int = 0) -> tuple[float, ...] | None:
    color = artwork.objects[index].fill.color
    return None if color is None else tuple(round(value * 255) for value in color.rgb)


RED, GREEN, BLUE = (255, 0, 0), (0, 128, 0), (0, 0, 255)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ('<path fill="red" d="M0 0h1"/>', RED),
        ('<path fill="red" style="fill:green" d="M0 0h1"/>', GREEN),
        ('<style>path{fill:green}</style><path fill="red" d="M0 0h1"/>', GREEN),
        ('<style>.a{fill:blue} path{fill:green}</style><path class="a" d="M0 0h1"/>', BLUE),
        ('<style>path{fill:blue!important}</style><path style="fill:red" d="M0 0h1"/>', BLUE),
        ('<style>#p{fill:blue} .a.b{fill:red}</style><path id="p" class="b a" d="M0 0h1"/>', BLUE),
        ('<style>g > path:first-child{fill:green}</style><g><path d="M0 0h1"/></g>', GREEN),
        (
            '<style>@media screen{path{fill:red}} @media print{path{fill:green}}</style><path d="M0 0h1"/>',
            GREEN,
        ),
        (
            '<style>path{fill:green}</style><style media="screen">path{fill:red}</style><path d="M0 0h1"/>',
            GREEN,
        ),
        ('<style media="all">path{fill:green}</style><path d="M0 0h1"/>', GREEN),
        ('<style>@media not screen{path{fill:green}}</style><path d="M0 0h1"/>', GREEN),
        ('<style>@media screen, print{path{fill:green}}</style><path d="M0 0h1"/>', GREEN),
        ('<style>@media only print and (min-width:1px){path{fill:green}}</style><path d="M0 0h1"/>', GREEN),
        ('<style>path{fill:nonsense}</style><path fill="red" d="M0 0h1"/>', RED),
        ('<g fill="green"><path fill="inherit" d="M0 0h1"/></g>', GREEN),
        ('<g fill="green"><path fill="initial" d="M0 0h1"/></g>', (0, 0, 0)),
        ('<g color="blue"><path fill="currentColor" d="M0 0h1"/></g>', BLUE),
        ('<g style="--c:green"><path style="fill:var(--c, red)" d="M0 0h1"/></g>', GREEN),
        ('<path fill="url(#none) green" d="M0 0h1"/>', GREEN),
        ('<path style="fill:gr/*x*/een;fill:blue" d="M0 0h1"/>', BLUE),
        ('<path fill="context-fill" d="M0 0h1"/>', None),
    ],
)
def test_cascade(body: str, expected: tuple[int, int, int] | None) -> None:
    assert fill(page(body)) == expected


def test_context_fill_is_that_of_the_use() -> None:
    assert (
        fill(
            page('<defs><path id="p" fill="context-stroke" d="M0 0h1"/></defs><use href="#p" stroke="blue"/>')
        )
        == BLUE
    )


def test_strokes_are_in_millimetres() -> None:
    stroke = (
        page(
            '<g transform="scale(2)"><path stroke="red" stroke-width=".5" stroke-dasharray="1 2 3" d="M0 0h1"/></g>'
        )
        .objects[0]
        .stroke
    )
    assert stroke.width == pytest.approx(1)
    assert stroke.dash == pytest.approx((2, 4, 6, 2, 4, 6))
    assert not stroke.uneven
    assert page('<path transform="scale(2 1)" stroke="red" d="M0 0h1"/>').objects[0].stroke.uneven


def test_opacities_multiply() -> None:
    assert page('<g opacity=".5"><path opacity="50%" d="M0 0h1"/></g>').objects[0].opacity == pytest.approx(
        0.25
    )


@pytest.mark.parametrize(
    ("body", "hidden"),
    [
        ('<path d="M0 0h1"/>', None),
        ('<path display="none" d="M0 0h1"/>', "display"),
        ('<g visibility="hidden"><path d="M0 0h1"/></g>', "visibility"),
        ('<g visibility="hidden"><path visibility="visible" d="M0 0h1"/></g>', None),
        ('<g id="Off" display="none"><path display="inline" d="M0 0h1"/></g>', "layer"),
        ('<switch><g/><path d="M0 0h1"/></switch>', "switch"),
        ('<switch><g requiredExtensions="urn:x"/><path d="M0 0h1"/></switch>', None),
        ('<path systemLanguage="fr" d="M0 0h1"/>', "condition"),
    ],
)
def test_hidden_objects_stay_in_the_list(body: str, hidden: str | None) -> None:
    assert [one.hidden for one in page(body).objects] == [hidden]


def test_layers() -> None:
    artwork = page(
        '<g id="layer1" inkscape:groupmode="layer" inkscape:label="Kiss Cut" sodipodi:insensitive="true">'
        '<g id="Die_x20_Line_2_"><path d="M0 0h1"/></g></g><g data-name="White" display="none"/><g/>'
    )
    assert [(one.name, one.parent, one.explicit, one.locked, one.visible) for one in artwork.layers] == [
        ("Kiss Cut", None, True, True, True),
        ("Die Line", 0, False, True, True),
        ("White", None, False, False, False),
    ]
    assert artwork.objects[0].layer == 1


def test_use_lists_each_place_with_its_own_ref() -> None:
    artwork = page(
        '<defs><path id="p" d="M0 0h1"/></defs><use href="#p"/><use id="u" href="#p"/><use id="u" href="#p"/>'
    )
    assert [one.origin.ref for one in artwork.objects] == ["use@1/p", "u/p", "u.2/p"]


@pytest.mark.parametrize(
    ("clip", "away"),
    [
        ('<rect width="5" height="5"/>', [False, True]),
        (
            '<rect width="5" height="5"/><rect x="18" width="9" height="9" clip-rule="evenodd"/>',
            [False, False],
        ),
        ("", [True, True]),
        ('<use href="#shape"/>', [False, True]),
    ],
)
def test_clip_paths(clip: str, away: list[bool]) -> None:
    artwork = page(
        f'<defs><rect id="shape" width="3" height="3"/></defs><clipPath id="c">{clip}</clipPath><g clip-path="url(#c)">'
        '<rect width="2" height="2"/><rect x="20" width="2" height="2"/></g>'
    )
    assert [one.clipped_away for one in artwork.objects] == away


def test_clip_in_the_box_of_a_group() -> None:
    artwork = page(
        '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
        '<g clip-path="url(#c)"><rect x="10" width="2" height="2"/><rect x="28" width="2" height="2"/></g>'
    )
    assert object_boxes(artwork.clips[0])[0] == pytest.approx((10, 0, 20, 2))
    assert [one.clipped_away for one in artwork.objects] == [False, True]


def test_nested_viewports_clip() -> None:
    artwork = page('<svg width="5" height="5"><rect x="9" width="1" height="1"/></svg>')
    assert artwork.objects[0].clipped_away


def png(columns: int, rows: int) -> bytes:
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sII", 13, b"IHDR", columns, rows) + b"\x08\x02\0\0\0"


def test_images(tmp_path: Path) -> None:
    (tmp_path / "tea room.png").write_bytes(png(30, 10))
    embedded = base64.b64encode(png(20, 40)).decode()
    artwork = page(
        f'<image width="10" height="10" href="data:image/png;base64,{embedded}"/>'
        '<image x="1" width="30" height="30" xlink:href="tea%20room.png"/><image width="1" height="1" href="lost.png"/>',
        folder=tmp_path,
    )
    assert [one.pixel_size for one in artwork.objects] == [(20, 40), (30, 10), None]
    assert boxes(artwork)[:2] == [(2.5, 0, 7.5, 10), (1, 10, 31, 20)]
    assert [one.linked for one in artwork.objects] == [None, "tea%20room.png", "lost.png"]
    assert artwork.objects[2].broken


def test_text_has_an_estimated_box() -> None:
    artwork = page(
        '<text x="10" y="20" font-size="5" text-anchor="middle">Tea <tspan font-weight="bold">room</tspan></text>'
    )
    one = artwork.objects[0]
    assert (one.kind, one.text, one.font_size) == (Kind.TEXT, "Tea room", pytest.approx(5))
    x0, y0, x1, y1 = boxes(artwork)[0]
    assert x0 < 10 < x1
    assert y0 < 20 < y1


def test_waivers_nearest_first() -> None:
    body = '<g data-preflight-waive="a: outer"><path data-preflight-waive="b: inner" d="M0 0h1"/></g>'
    assert page(body).objects[0].waive == ("b: inner", "a: outer")


def test_gradients_keep_their_stops() -> None:
    artwork = page(
        '<linearGradient id="g"><stop stop-color="red"/><stop stop-color="blue"/></linearGradient><path fill="url(#g)" d="M0 0h1"/>'
    )
    paint = artwork.objects[0].fill
    assert paint.kind is PaintKind.GRADIENT
    assert [color.rgb for color in paint.stops] == [(1, 0, 0), (0, 0, 1)]


@pytest.mark.parametrize(
    ("attributes", "size", "certain", "density"),
    [
        ('width="100mm" height="50mm"', (100, 50), True, 96),
        ('width="96" height="192px"', (25.4, 50.8), False, 96),
        ('viewBox="0 0 96 96"', (25.4, 25.4), False, 96),
        ('width="96" viewBox="0 0 10 20"', (25.4, 50.8), False, 96),
        ('width="90" height="90" inkscape:version="0.48.4 r9939"', (23.8125, 23.8125), False, 90),
        ('width="90" height="90" inkscape:version="1.3"', (23.8125, 23.8125), False, 96),
        ('width="595.28" height="841.89"', (157.501, 222.750), False, 72),
        ('width="744.09" height="1052.36"', (196.874, 278.437), False, 90),
        ('width="90mm" height="90mm" viewBox="0 0 9 9" inkscape:version="0.48"', (90, 90), True, 96),
    ],
)
def test_page_sizes(attributes: str, size: tuple[float, float], certain: bool, density: float) -> None:
    artwork = page("", attributes)
    assert (artwork.page.width, artwork.page.height) == pytest.approx(size, abs=1e-3)
    assert (artwork.page.certain, artwork.page.pixels_per_inch) == (certain, density)
    assert certain != any(note.kind is NoteKind.ASSUMED for note in artwork.notes)


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ('<path filter="url(#f)" d="M0 0h1"/>', "filter"),
        ('<g mask="url(#m)"><path d="M0 0h1"/></g>', "mask"),
        ('<g style="mix-blend-mode:multiply"><path d="M0 0h1"/></g>', "blend mode"),
        ('<pattern id="p"/><path fill="url(#p)" d="M0 0h1"/>', "pattern"),
        ('<path marker-end="url(m.svg#m)" d="M0 0h1"/>', "marker"),
        ('<path style="paint-order:stroke" stroke="red" d="M0 0h1"/>', "paint-order"),
        ('<path stroke="red" stroke-dasharray="1" pathLength="9" d="M0 0h1"/>', "pathLength"),
        ('<path style="offset-path:path(\'M0 0h9\')" d="M0 0h1"/>', "offset-path"),
        ('<path style="transform:rotate3d(1,0,0,9deg)" d="M0 0h1"/>', "transform"),
        (
            '<path stroke="red" style="transform:rotate(9deg);transform-box:stroke-box" d="M0 0h1"/>',
            "transform-box",
        ),
        ("<foreignObject/>", "foreignObject"),
        ("<script/>", "script"),
        ('<rect width="1" height="1"><animate/></rect>', "animate"),
        ('<use href="other.svg#a"/>', "use"),
        ('<path style="clip-path:circle(5px)" d="M0 0h1"/>', "clip-path"),
        ('<style>@import "x.css";</style>', "style sheet"),
        ('<rect width="calc(1px + 1px)" height="1"/>', "length"),
        ('<path style="stroke-width:calc(1px * 2)" stroke="red" d="M0 0h1"/>', "property"),
        ("<style>@media (min-width:1px){path{fill:red}}</style>", "style sheet"),
        ("<style>g{path{fill:red}}</style>", "style sheet"),
        ("<style>@supports (fill:red){path{fill:red}}</style>", "style sheet"),
        ('<path fill="Canvas" d="M0 0h1"/>', "colour"),
    ],
)
def test_what_is_not_modelled_is_noted_with_its_place(body: str, what: str) -> None:
    notes = [note for note in page(body).notes if note.kind is NoteKind.NOT_MODELLED]
    assert [note.what for note in notes] == [what]
    assert notes[0].origin is not None
    assert notes[0].origin.line == 1


def test_closure_is_only_what_the_file_closed() -> None:
    artwork = page(
        '<path d="M0 0h3v3L0 0"/><path d="M0 0h3v3z"/><circle r="1"/><polyline points="0 0 1 1 0 0"/>'
    )
    assert artwork.outlines.closed.tolist() == [False, True, True, False]
    assert np.isfinite(artwork.outlines.gaps).all()


@pytest.mark.parametrize(
    ("body", "what"),
    [
        ("<style>@media screen{path{fill:red}}</style>", "style sheet"),
        ('<style media="screen">path{fill:red}</style>', "style sheet"),
        ('<path systemLanguage="en" d="M0 0h1"/>', "systemLanguage"),
        ('<symbol id="a" refX="5"><path d="M0 0h1"/></symbol><use href="#a"/>', "symbol"),
    ],
)
def test_what_is_assumed_is_noted(body: str, what: str) -> None:
    assert [(note.kind, note.what) for note in page(body).notes] == [(NoteKind.ASSUMED, what)]


def test_a_selector_that_means_nothing_is_noted() -> None:
    artwork = page("<style>path:no-such{fill:red} path{fill:green}</style><path d='M0 0h1'/>")
    assert [(note.kind, note.what) for note in artwork.notes] == [(NoteKind.FAULT, "style sheet")]
    assert fill(artwork) == GREEN


def test_the_id_of_the_file_itself_is_no_layer() -> None:
    sized = 'width="100mm" height="50mm"'
    assert page('<path d="M0 0h1"/>', f'{sized} id="svg1"').layers == ()
    # A program that exports one layer writes its name on the outermost element.
    named = page('<path d="M0 0h1"/>', f'{sized} id="a" data-name="Kiss Cut"')
    assert [layer.name for layer in named.layers] == ["Kiss Cut"]
    assert named.objects[0].layer == 0


def test_a_transform_on_the_outermost_element_turns_the_page_about_its_middle() -> None:
    artwork = page(
        '<rect width="10" height="4"/>',
        'width="100mm" height="50mm" viewBox="0 0 200 100" transform="rotate(180)"',
    )
    assert boxes(artwork) == [(95, 48, 100, 50)]
    assert [(note.kind, note.what) for note in artwork.notes] == [(NoteKind.ASSUMED, "transform")]


def test_a_background_of_the_page_is_noted_unless_it_is_white() -> None:
    sized = 'width="100mm" height="50mm"'
    assert [note.what for note in page("", f'{sized} style="background:#eef"').notes] == ["background"]
    assert page("", f'{sized} style="background:white"').notes == ()


def test_what_is_drawn_from_elsewhere_says_by_which_line() -> None:
    body = """
<defs><path id="star" d="M0 0h9v9z"/>
<g id="pair"><use id="inner" href="#star"/></g>
<marker id="head" markerWidth="9" markerHeight="9"><path d="M0 0h4v2z"/></marker></defs>
<use id="one" href="#star"/>
<use href="#pair"
     x="5"/>
<path d="M1 1h5" id="arrow" marker-end="url(#head)"/>"""
    objects = page(body).objects
    places = [(one.origin.ref, one.origin.line, one.origin.drawn_at) for one in objects]
    first = objects[0].origin.line
    assert first is not None
    assert [(ref, line - first, at and at - first) for ref, line, at in places if line] == [
        ("one/star", 0, 3),
        (f"use@{first + 5}/inner/star", 0, 5),
        ("arrow", 6, None),
        (f"arrow/head/path@{first + 2}", 2, 6),
    ]


@pytest.mark.parametrize("escape", ["_xD800_", "_xdfff_", "_x110000_"])
def test_an_escape_of_an_id_that_stands_for_no_character_is_left_as_it_is(escape: str) -> None:
    layer, *_ = page(f'<g id="Kiss{escape}Cut"><path d="M0 0h1"/></g>').layers
    assert layer.name == f"Kiss{escape}Cut"
