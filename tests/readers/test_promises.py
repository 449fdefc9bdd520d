"""The written promises of the model: every reader keeps them on every file, the broken ones too."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest

from preflight.artwork.model import Artwork, Kind, NoteKind
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read as read_pdf
from preflight.readers.svg.read import read as read_svg

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="40mm" height="30mm" viewBox="0 0 40 30">'

PNG = "iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAYAAABytg0kAAAAEUlEQVR4nGNgYGD4z4AE/gMADwMB/5OV1yAAAAAASUVORK5CYII="
"""Two by two pixels, two of them clear."""

SVG_FILES = {
    "nothing": "",
    "a-rectangle": '<rect x="5" y="5" width="10" height="5"/>',
    "broken-path": '<path d="M1 1L5 5Lx"/>',
    "nan": '<path d="M1 1L1e300 5z"/>',
    "hidden": '<g display="none"><circle cx="5" cy="5" r="3"/></g><path visibility="hidden" d="M0 0h3"/>',
    "used-twice": '<defs><path id="p" d="M0 0h3v3z"/></defs><use xlink:href="#p"/><use xlink:href="#p" x="9"/>',
    "clipped": '<clipPath id="c"><rect width="2" height="2"/></clipPath><path clip-path="url(#c)" d="M20 20h3v3z"/>',
    "text-and-image": '<text x="3" y="9">Ferry</text><image width="5" height="5" href="missing.png"/>',
    "clear-image": f'<image x="3" width="8" height="4" href="data:image/png;base64,{PNG}"/>',
    "unmodelled": '<filter id="f"/><mask id="m"/><path filter="url(#f)" mask="url(#m)" style="mix-blend-mode:multiply" d="M0 0h3v3z"/>',
    "layers": '<g id="Outer"><g id="Inner" display="none"><path d="M0 0h3"/></g></g>',
}


def svg(name: str) -> Artwork:
    return read_svg(f"{HEAD}{SVG_FILES[name]}</svg>".encode(), f"{name}.svg", Limits(), None)[0]


PDF_FILES = {
    "nothing": "",
    "a-rectangle": "5 5 10 5 re S",
    "broken-path": "1 1 m 5 5 l (x) l S 9 9 l S",
    "nan": "1 1 m 1e300 5 l h S 1 1 m 2 2 l S",
    "hidden": "/OC /Off BDC 5 5 3 3 re f EMC",
    "used-twice": "/Form Do 1 0 0 1 9 0 cm /Form Do",
    "clipped": "0 0 2 2 re W n 20 20 m 23 20 l 23 23 l h f",
    "text-and-image": "BT /Font 9 Tf 3 9 Td (Ferry) Tj ET q 5 0 0 5 0 0 cm BI /W 1 /H 1 /BPC 8 /CS /G ID a EI Q",
    "clear-image": "q 8 0 0 4 3 0 cm BI /W 2 /H 2 /IM true ID \x40\x80 EI Q",
    "unmodelled": "/State gs 0 0 3 3 re f",
    "layers": "/OC /On BDC /OC /Off BDC 0 0 m 3 0 l S EMC 0 0 m 3 0 l S EMC",
    "empty-path": "n 5 5 m S h f",
    "nonsense": "q q ] >> /Off Do EMC Q Q Q BT 5 (a) Tj f* 1 0 0",
}


def pdf(name: str) -> Artwork:
    import pikepdf
    from pikepdf import Array, Dictionary, Name

    with pikepdf.new() as document:
        page = document.add_blank_page(page_size=(100, 80))
        off, on = (document.make_indirect(Dictionary(Type=Name.OCG, Name=text)) for text in ("Off", "On"))
        document.Root.OCProperties = Dictionary(
            OCGs=Array([off, on]), D=Dictionary(OFF=Array([off]), Order=Array([off, Array([on])]))
        )
        form = document.make_stream(
            b"0 0 m 3 0 l 3 3 l h f", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9])
        )
        page.Resources = Dictionary(
            Properties=Dictionary(Off=off, On=on),
            XObject=Dictionary(Form=form),
            Font=Dictionary(Font=Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)),
            ExtGState=Dictionary(State=Dictionary(BM=Name.Multiply, SMask=Dictionary(S=Name.Alpha, G=form))),
        )
        page.Contents = document.make_stream(PDF_FILES[name].encode("latin-1"))
        out = io.BytesIO()
        document.save(out, static_id=True)
    return read_pdf(out.getvalue(), f"{name}.pdf", Limits())[0]


FILES: list[tuple[Callable[[str], Artwork], str]] = [
    *((svg, name) for name in SVG_FILES),
    *((pdf, name) for name in PDF_FILES),
]
"""Reader and sample, for each reader there is."""


@pytest.fixture(params=FILES, ids=lambda pair: f"{pair[0].__name__}-{pair[1]}")
def artwork(request: pytest.FixtureRequest) -> Artwork:
    reader, name = request.param
    return reader(name)


def test_is_frozen(artwork: Artwork) -> None:
    for one in (artwork, artwork.page, *artwork.objects, *artwork.layers, *artwork.notes):
        with pytest.raises(AttributeError, match="immutable"):
            setattr(one, one.__struct_fields__[0], "changed")


def test_outlines_match_the_objects(artwork: Artwork) -> None:
    assert artwork.outlines.object_count == len(artwork.objects)


def test_every_number_is_finite_and_on_a_page_of_some_size(artwork: Artwork) -> None:
    assert np.isfinite(artwork.outlines.segments).all()
    assert np.isfinite(artwork.outlines.starts).all()
    assert artwork.page.width > 0
    assert artwork.page.height > 0


def test_refs_are_unique(artwork: Artwork) -> None:
    refs = [one.origin.ref for one in artwork.objects]
    assert len(set(refs)) == len(refs)
    assert all(refs)


def test_layers_and_clips_that_objects_name_exist(artwork: Artwork) -> None:
    for one in artwork.objects:
        assert one.layer is None or 0 <= one.layer < len(artwork.layers)
        assert one.clip is None or 0 <= one.clip < len(artwork.clips)
    for index, layer in enumerate(artwork.layers):
        assert layer.parent is None or layer.parent < index


@pytest.mark.parametrize("name", SVG_FILES)
def test_in_svg_a_layer_is_not_visible_where_its_parent_is_not(name: str) -> None:
    layers = svg(name).layers
    for layer in layers:
        if layer.parent is not None and not layers[layer.parent].visible:
            assert not layer.visible


def test_what_lies_on_a_layer_that_neither_shows_nor_prints_is_hidden(artwork: Artwork) -> None:
    for one in artwork.objects:
        layer = artwork.layers[one.layer] if one.layer is not None else None
        if layer is not None and not layer.visible and not layer.printing:
            assert one.hidden


def test_clips_have_a_rule_for_each_region(artwork: Artwork) -> None:
    for outlines, rules in zip(artwork.clips, artwork.clip_rules, strict=True):
        assert outlines.object_count == len(rules)
        assert set(rules) <= {"nonzero", "evenodd"}


def test_a_path_without_curves_says_why(artwork: Artwork) -> None:
    counts = np.diff(artwork.outlines.object_offsets)
    for one, count in zip(artwork.objects, counts, strict=True):
        assert count > 0 or one.broken


def test_text_whose_letters_are_not_known_is_noted(artwork: Artwork) -> None:
    """At each place, or once for its font."""
    kinds = (NoteKind.NOT_MODELLED, NoteKind.ASSUMED)
    noted = {note.origin.ref for note in artwork.notes if note.origin and note.kind in kinds}
    texts = {one.origin.ref for one in artwork.objects if one.kind is Kind.TEXT}
    assert texts <= noted or any(note.what == "text" for note in artwork.notes)


def test_alphas_are_of_images_and_can_be_decoded(artwork: Artwork) -> None:
    for index, alpha in artwork.alphas.items():
        assert artwork.objects[index].kind is Kind.IMAGE
        assert np.isfinite(alpha.matrix).all()
        pixels = alpha.decode()
        assert pixels is None or (pixels.dtype == np.uint8 and pixels.ndim == 2 and pixels.size)


@pytest.mark.parametrize("reader", [svg, pdf])
def test_an_image_that_is_clear_in_part_has_an_alpha(reader: Callable[[str], Artwork]) -> None:
    artwork = reader("clear-image")
    ((index, alpha),) = artwork.alphas.items()
    pixels = alpha.decode()
    assert pixels is not None
    assert pixels.tolist() == [[255, 0], [0, 255]]
    # The unit square lands on the corners of the image, the first row on top.
    a, b, c, d, e, f = alpha.matrix
    corners = {(e, f), (e + a, f + b), (e + a + c, f + b + d), (e + c, f + d)}
    drawn = artwork.outlines.of_objects([index]).segments[:, 0]
    assert np.array(sorted(corners)) == pytest.approx(np.array(sorted(map(tuple, drawn.tolist()))))
    assert d > 0
    assert a > 0


def test_reading_again_gives_the_same(artwork: Artwork, request: pytest.FixtureRequest) -> None:
    reader, name = request.node.callspec.params["artwork"]
    again = reader(name)
    assert again.objects == artwork.objects
    assert again.notes == artwork.notes
    assert np.array_equal(again.outlines.segments, artwork.outlines.segments)
