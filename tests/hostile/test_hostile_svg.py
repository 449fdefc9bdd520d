"""Files made to break a reader: each gets a clear answer."""

from __future__ import annotations

import gzip
import zlib

import numpy as np
import pytest
from cssselect2.compiler import CompiledSelector

from preflight.artwork.model import Artwork, NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.svg.beginning import sniff
from preflight.readers.svg.document import unpacked
from preflight.readers.svg.paint import target
from preflight.readers.svg.read import read
from preflight.readers.svg.reader import SvgReader

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="10mm" height="10mm">'


def page(body: str) -> Artwork:
    return read(f"{HEAD}{body}</svg>".encode(), "hostile.svg", Limits(), None)[0]


def refused(data: bytes, limits: Limits | None = None) -> Unreadable:
    with pytest.raises(Unreadable) as caught:
        read(data, "hostile.svg", limits or Limits(), None)
    assert caught.value.what
    assert caught.value.mend
    return caught.value


BILLION_LAUGHS = (
    '<!DOCTYPE svg [<!ENTITY a0 "ha">'
    + "".join(f'<!ENTITY a{i} "' + f"&a{i - 1};" * 10 + '">' for i in range(1, 12))
    + f"]>{HEAD}<text>&a11;</text></svg>"
).encode()


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(b"", id="empty"),
        pytest.param(b"  \n", id="blank"),
        pytest.param(b"not xml at all", id="not-xml"),
        pytest.param(b"<html><body/></html>", id="xml-not-svg"),
        pytest.param(HEAD.encode() + b"<g>", id="cut-off"),
        pytest.param(b"\xff\xfe\x00\xd8" * 20, id="undecodable"),
        pytest.param(BILLION_LAUGHS, id="billion-laughs"),
        pytest.param(
            f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{HEAD}<text>&x;</text></svg>'.encode(),
            id="external-entity",
        ),
        pytest.param(
            f'<!DOCTYPE svg [<!ENTITY a "&b;"><!ENTITY b "&a;">]>{HEAD}<text>&a;</text></svg>'.encode(),
            id="entity-cycle",
        ),
        pytest.param(
            f'<!DOCTYPE svg [<!ENTITY % p SYSTEM "http://127.0.0.1/x.dtd"> %p;]>{HEAD}</svg>'.encode(),
            id="parameter-entity",
        ),
        pytest.param(f"{HEAD}{'<g>' * 10_000}{'</g>' * 10_000}</svg>".encode(), id="nested-groups"),
        pytest.param(f"{HEAD}{'<g>' * 1_500}{'</g>' * 1_500}</svg>".encode(), id="nested-below-parser-limit"),
        pytest.param(gzip.compress(b"\0" * 300_000_000, 1), id="gzip-bomb"),
        pytest.param(gzip.compress(f"{HEAD}</svg>".encode())[:-12], id="gzip-cut-off"),
        pytest.param(b"\x1f\x8b" + b"junk" * 10, id="gzip-damaged"),
    ],
)
def test_refused_with_a_reason_and_a_mend(data: bytes) -> None:
    refused(data)


def test_a_wrong_root_names_the_line() -> None:
    assert refused(b"<?xml version='1.0'?>\n<html/>").place == "line 2"


def test_expanding_use_is_bounded() -> None:
    levels = "".join(f'<g id="g{i}">' + f'<use xlink:href="#g{i - 1}"/>' * 10 + "</g>" for i in range(1, 10))
    data = f'{HEAD}<defs><g id="g0"><path d="M0 0h1"/></g>{levels}</defs><use xlink:href="#g9"/></svg>'
    refused(data.encode())


@pytest.mark.parametrize(
    "body",
    [
        '<use id="u" xlink:href="#u"/>',
        '<g id="g"><use xlink:href="#g"/></g>',
        '<defs><g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g></defs><use xlink:href="#a"/>',
    ],
)
def test_cyclic_use_is_noted(body: str) -> None:
    artwork = page(body + '<path d="M0 0h1"/>')
    assert [note.what for note in artwork.notes if note.kind is NoteKind.FAULT and note.what == "use"]
    assert artwork.objects[-1].drawn


def test_cyclic_clip_path_is_noted() -> None:
    artwork = page(
        '<clipPath id="c" clip-path="url(#c)"><rect width="1" height="1"/></clipPath><path clip-path="url(#c)" d="M0 0h1"/>'
    )
    assert any(note.what == "clip-path" for note in artwork.notes)


@pytest.mark.parametrize(
    "body",
    [
        '<path d="M0 0L1e300 0L5 5z"/>',
        '<path d="M0 0L1e999 0"/>',
        '<path d="M0 0L1 1" transform="scale(1e300)"/>',
        '<path d="M0 0L1e200 1" transform="scale(1e200)"/>',
        '<rect width="1e300" height="2"/>',
        '<polygon points="0 0 1e308 1e308 -1e308 5"/>',
    ],
)
def test_absurd_coordinates_do_not_spread(body: str) -> None:
    artwork = page(body + '<path d="M0 0h1"/>')
    assert np.isfinite(artwork.outlines.segments).all()
    assert artwork.objects[0].broken
    assert artwork.objects[0].origin.ref in {note.origin.ref for note in artwork.notes if note.origin}
    assert artwork.objects[1].broken is None


@pytest.mark.parametrize("data", ["M0 0L10 0L1", "M0 0L10 0Lnan 5", "M0 0L10 0 #", "M0 0L10 0A5 5 0 0"])
def test_path_cut_off_keeps_what_came_before(data: str) -> None:
    artwork = page(f'<path d="{data}"/>')
    assert len(artwork.outlines.segments) == 1
    assert artwork.objects[0].broken
    assert artwork.notes[0].kind is NoteKind.FAULT


def test_markup_entities_of_old_files_are_read() -> None:
    data = (
        "<!DOCTYPE svg [<!ENTITY ns \"http://www.w3.org/2000/svg\"><!ENTITY box \"<rect width='2' height='3'/>\">]>\n"
        '<svg xmlns="&ns;" width="1mm" height="1mm">\n&box;</svg>'
    )
    artwork = read(data.encode("utf-16"), "old.svg", Limits(), None)[0]
    assert [(one.kind, one.origin.line) for one in artwork.objects] == [("path", 3)]


def test_encodings() -> None:
    text = f'<?xml version="1.0" encoding="ISO-8859-1"?>{HEAD}<g id="Bühne"><path d="M0 0h1"/></g></svg>'
    assert read(text.encode("latin-1"), "l.svg", Limits(), None)[0].layers[0].name == "Bühne"


@pytest.mark.parametrize(
    ("sheet", "told"),
    [
        ("rect{fill:" + "rgb(" * 100_000 + "}", "colour"),
        (":not(" * 5_000 + "rect" + ")" * 5_000 + "{fill:red}", "style sheet"),
        ("@media " + "(" * 5_000 + "{rect{fill:red}}", "style sheet"),
        ("* " * 5_000 + "rect{fill:red}", "style sheet"),
        (":not(g g g g rect){fill:red}", "style sheet"),
        ("rect{stroke-width:" + "calc(" * 5_000 + "1" + ")" * 5_000 + "}", "property"),
    ],
)
def test_style_sheets_nested_beyond_reason_are_noted(sheet: str, told: str) -> None:
    artwork = page(
        f"<style>{sheet} path{{fill:#00ff00}}</style><path d='M0 0h1v1z'/><rect width='1' height='1'/>"
    )
    assert told in {note.what for note in artwork.notes}
    own = page(f"<rect width='1' height='1' style='{sheet[5:-1]}'/>") if sheet.startswith("rect") else None
    assert own is None or told in {note.what for note in own.notes}


def test_selectors_of_elements_within_elements_try_each_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []

    def counted(tree: object) -> object:
        made = CompiledSelector(tree)
        test = made.test
        made.test = lambda element: asked.append(1) or test(element)
        return made

    monkeypatch.setattr("cssselect2.compiler.CompiledSelector", counted)
    groups, names = 200, 30
    sheet = (
        f".none {'g ' * names}rect{{fill:red}} {'g ' * names}rect{{fill:#00ff00}} "
        # The outermost group has groups before it, the innermost has none.
        "g ~ g path + rect{stroke:#0000ff} g ~ g > path + rect{stroke:none}"
    )
    body = f"<g/><g/><g/>{'<g>' * groups}<path d='M0 0h1'/><rect width='1' height='1'/>{'</g>' * groups}"
    artwork = page(f"<style>{sheet}</style>{body}")
    assert 0 < len(asked) < 4 * (groups + 10) * (names + 3)
    rect = artwork.objects[-1]
    assert rect.fill.color is not None
    assert rect.fill.color.rgb == (0.0, 1.0, 0.0)
    assert rect.stroke.paint.color is not None
    assert rect.stroke.paint.color.rgb == (0.0, 0.0, 1.0)


def test_too_many_elements_segments_and_objects() -> None:
    path = '<path d="M0 0h1h1h1"/>'
    body = f"{HEAD}{path * 20}</svg>".encode()
    refused(body, Limits(elements=10))
    refused(body, Limits(objects=10))
    refused(body, Limits(path_segments=10))
    refused(body, Limits(file_size=10))
    refused(gzip.compress(body), Limits(decompressed_size=10))


def test_what_is_over_a_limit_is_refused_before_it_is_built(monkeypatch: pytest.MonkeyPatch) -> None:
    many = f"{HEAD}{'<g></g>' * 20}<!-- {'x' * 99} --></svg>"
    for encoding in ("utf-8", "utf-16"):
        assert read(many.encode(encoding), "a.svg", Limits(elements=21), None)
    segments = f"{HEAD}<path d='M0 0h1 1 1zM5 5L1 1a1 1 0 0 0 2 2'/></svg>".encode()
    assert read(segments, "a.svg", Limits(path_segments=20), None)
    monkeypatch.setattr("preflight.readers.svg.document._tree", pytest.fail)
    for encoding in ("utf-8", "utf-16"):
        assert "21 elements" in refused(many.encode(encoding), Limits(elements=20)).what
    monkeypatch.undo()
    monkeypatch.setattr("preflight.geometry.pathdata.steps_of", pytest.fail)
    assert "5 segments or more" in refused(segments, Limits(path_segments=4)).what


def test_many_packed_parts_are_not_copied_over_and_over(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[int] = []
    unpacker = zlib.decompressobj

    class Counted:
        def __init__(self, *sizes: int) -> None:
            self._own = unpacker(*sizes)

        def decompress(self, data: bytes, most: int) -> bytes:
            given.append(len(data))
            return self._own.decompress(data, most)

        def __getattr__(self, name: str) -> object:
            return getattr(self._own, name)

    monkeypatch.setattr("zlib.decompressobj", Counted)
    plain = f"{HEAD}<desc>{np.random.default_rng(1).bytes(9000).hex()}</desc></svg>".encode()
    packed = gzip.compress(b"") * 5_000 + gzip.compress(plain[:50]) + gzip.compress(plain[50:])
    assert unpacked(packed, Limits()) == plain
    assert sum(given) < 1024 * 5_100
    for cut in (1, 9, 5_000):
        assert "cut off" in refused(packed[:-cut]).what


def test_chains_of_references_as_long_as_the_file_are_followed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    clips = "".join(
        f'<clipPath id="c{i}" clip-path="url(#c{i + 1})"><path d="M0 0h1v1z"/></clipPath>'
        for i in range(3000)
    )
    artwork = page(f"{clips}<rect width='9' height='9' clip-path='url(#c0)'/>")
    assert ("clip-path", NoteKind.NOT_MODELLED) in {(note.what, note.kind) for note in artwork.notes}
    looked: list[object] = []

    def counted(element: object) -> str | None:
        looked.append(element)
        return target(element)  # type: ignore[arg-type]

    monkeypatch.setattr("preflight.readers.svg.paint.target", counted)
    chain = "".join(f'<linearGradient id="l{i}" xlink:href="#l{i + 1}"/>' for i in range(1000))
    end = '<linearGradient id="l1000"><stop stop-color="#00ff00"/><stop offset="1"/></linearGradient>'
    loop = '<linearGradient id="a" xlink:href="#b"/><linearGradient id="b" xlink:href="#a"/>'
    artwork = page(
        f'{loop}{chain}{end}<rect width="9" height="9" fill="url(#l0)"/><rect width="9" height="9" fill="url(#b)"/>'
    )
    assert len(looked) < 3000
    assert [one.rgb for one in artwork.objects[0].fill.stops] == [(0.0, 1.0, 0.0), (0.0, 0.0, 0.0)]
    assert "gradient" in {note.what for note in artwork.notes}


@pytest.mark.parametrize(
    ("size", "told"),
    [
        ('width="1e308km" height="1e308mm"', "size"),
        ('width="20mm" height="1e30mm"', "size"),
        ('width="20mm" viewBox="0 0 1e-200 1e200"', "viewBox"),
        ('viewBox="0 0 1e300 1e-300"', "viewBox"),
        ('width="1e308" height="9" viewBox="0 0 9 9"', "size"),
    ],
)
def test_pages_of_no_size_are_given_one_and_noted(size: str, told: str) -> None:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {size}><path d="M0 0h1"/></svg>'
    (artwork,) = read(text.encode(), "a.svg", Limits(), None)
    assert 0 < artwork.page.width <= Limits().coordinate
    assert 0 < artwork.page.height <= Limits().coordinate
    assert (told, NoteKind.FAULT) in {(note.what, note.kind) for note in artwork.notes}


def test_turns_too_large_for_a_number_are_noted() -> None:
    for turn in ("rotate", "skewX", "skewY"):
        artwork = page(f'<g transform="{turn}({"9" * 400})"><path d="M0 0h1"/></g>')
        assert "transform" in {note.what for note in artwork.notes}


def test_linked_images_outside_the_folder_are_not_opened(tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "inner").mkdir()
    (tmp_path / "secret.png").write_bytes(b"\x89PNG\r\n\x1a\n" + b"\0" * 20)
    data = f'{HEAD}<image href="../secret.png" width="1" height="1"/><image href="http://127.0.0.1/a.png" width="1" height="1"/></svg>'
    artwork = read(data.encode(), "a.svg", Limits(), tmp_path / "inner")[0]
    assert [one.pixel_size for one in artwork.objects] == [None, None]
    assert [note.kind for note in artwork.notes if note.what == "image"] == [NoteKind.NOT_MODELLED] * 2


def test_sniffing_goes_by_content() -> None:
    assert sniff(f"{HEAD}</svg>".encode())
    assert sniff(zlib.compress(b"x")) is False
    assert sniff(gzip.compress(f"{HEAD}</svg>".encode()))
    assert not sniff(b"%PDF-1.7")


def test_the_picture_of_a_bomb_is_not_unpacked() -> None:
    assert SvgReader().picture(gzip.compress(b"\0" * 200_000_000, 1), 1, Limits()) is None


def test_a_picture_is_unpacked_by_the_limits_of_the_profile() -> None:
    plain = f"{HEAD}<!--{'-' * 5000}--></svg>".replace("-----", "_____").encode()
    packed = gzip.compress(plain)
    shown = SvgReader().picture(plain, 1, Limits())
    assert shown is not None
    assert SvgReader().picture(packed, 1, Limits(decompressed_size=len(plain))) == shown
    assert SvgReader().picture(packed, 1, Limits(decompressed_size=len(plain) - 1)) is None


def test_transforms_about_boxes_inside_boxes_end_with_a_note() -> None:
    turned = '<g style="transform-box:fill-box;transform:rotate(90deg);transform-origin:center">'
    body = f"{turned * 100}<path d='M0 0h2v1z'/>{'</g>' * 100}"
    assert {note.what for note in page(body).notes} == {"transform-box"}
    assert not page(body.replace(turned * 100, turned * 30).replace("</g>" * 100, "</g>" * 30)).notes


def tangle(count: int) -> str:
    points = np.random.default_rng(7).random((count, 2)) * 200 - 50
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points) + "z"


@pytest.mark.parametrize(
    ("clip", "what", "place"),
    [
        pytest.param(f'<path d="{tangle(20_000)}"/>', "clip", "a", id="one-shape"),
        pytest.param(
            f'<path d="{tangle(20_000)}"/><rect width="5" height="5"/>', "clip-path", "c", id="two-shapes"
        ),
    ],
)
def test_a_clip_that_crosses_itself_without_end_clips_nothing_and_says_so(
    clip: str, what: str, place: str
) -> None:
    bar = 'x="-500" width="600" height="20"'
    found = page(
        f'<clipPath id="c">{clip}</clipPath><g clip-path="url(#c)"><rect id="a" {bar}/><rect {bar}/></g>'
    )
    assert not any(one.clipped_away for one in found.objects)
    (note,) = found.notes
    assert (note.kind, note.what) == (NoteKind.NOT_MODELLED, what)
    assert note.origin is not None
    assert note.origin.ref == place


def test_an_object_that_crosses_itself_without_end_counts_as_shown() -> None:
    clip = '<clipPath id="c"><path d="M0 0H30V30z"/></clipPath>'
    tangled = f'<path id="a" clip-path="url(#c)" d="{tangle(20_000)}"/>'
    clear = '<path id="b" clip-path="url(#c)" d="M20 5h20v2z"/><path id="d" clip-path="url(#c)" d="M2 28l4 1l-3 9z"/>'
    found = page(clip + tangled + clear)
    assert [one.clipped_away for one in found.objects] == [False, False, True]
    assert [(note.what, note.origin.ref) for note in found.notes if note.origin] == [("clip", "a")]
