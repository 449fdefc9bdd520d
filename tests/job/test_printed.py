"""Where ink stays: random stacks against a plain fold and against pixels, and what each paint does by itself."""

from __future__ import annotations

from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely
from drawn_stacks import SIDE, Stack, as_pdf, as_svg, borders, left, stack
from numpy.typing import NDArray
from photographs import photographed
from small_pdfs import one_page, stream

from preflight.artwork import NoteKind
from preflight.geometry.outlines import Outlines
from preflight.job import Job
from preflight.job.printing.printed import Printed
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read as read_pdf
from preflight.readers.svg.read import read as read_svg

HEAD = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="{SIDE}mm" height="{SIDE}mm" viewBox="0 0 {SIDE} {SIDE}">'
)
PAGE = shapely.box(0, 0, SIDE, SIDE)
PIXELS = 4
"""To the millimetre."""


def of_svg(body: str) -> Job:
    text = body if body.startswith("<svg") else f"{HEAD}{body}</svg>"
    (artwork,) = read_svg(text.encode(), "art.svg", Limits(), None)
    return Job(artwork, Profile.default())


def of_pdf(data: bytes) -> Job:
    (artwork,) = read_pdf(data, "art.pdf", Limits())
    return Job(artwork, Profile.default())


def around(job: Job, zone: Any = PAGE) -> tuple[Any, Any]:
    found = job.printed.around([zone])
    return found.ink[0], found.doubtful[0]


def alike(one: Any, other: Any) -> bool:
    """Whether two regions differ by less than flattening may make them."""
    return bool(one.symmetric_difference(other).area < 0.004 * (one.length + other.length) + 1e-6)


@pytest.mark.parametrize("seed", range(60))
def test_random_stacks_against_a_plain_fold(seed: int) -> None:
    layers = stack(seed)
    for job in (of_svg(as_svg(layers)), of_pdf(as_pdf(layers))):
        ink, doubtful = around(job)
        assert alike(ink, left(layers))
        assert doubtful.is_empty
        assert not job.printed.notes


def agrees(ink: Any, dark: NDArray[np.bool_], layers: Stack) -> None:
    """Pixels are dark where ink is, but for those whose middle lies within a pixel of an edge."""
    rows, columns = np.mgrid[: dark.shape[0], : dark.shape[1]] + 0.5
    points = shapely.points(columns.ravel() * SIDE / dark.shape[1], rows.ravel() * SIDE / dark.shape[0])
    shapely.prepare(ink)
    edges = borders(layers)
    shapely.prepare(edges)
    clear = ~shapely.dwithin(edges, points, 1.5 / PIXELS)
    assert clear.mean() > 0.5
    assert np.array_equal(shapely.contains(ink, points)[clear], dark.ravel()[clear])


@pytest.mark.parametrize("seed", range(100, 115))
def test_random_stacks_against_pdfium(seed: int) -> None:
    layers = stack(seed)
    data = as_pdf(layers)
    document = pdfium.PdfDocument(data)
    bitmap = document[0].render(scale=PIXELS * 25.4 / 72)
    dark = (bitmap.to_numpy() < 250).any(axis=2)
    bitmap.close()
    document.close()
    agrees(around(of_pdf(data))[0], dark, layers)


@pytest.mark.browser
def test_random_stacks_against_chromium(chromium: Any) -> None:
    size = SIDE * PIXELS
    page = chromium.new_page(viewport={"width": size, "height": size})
    for seed in range(200, 230):
        layers = stack(seed)
        text = as_svg(layers)
        shown = text.replace(f'width="{SIDE}mm" height="{SIDE}mm"', f'width="{size}" height="{size}"')
        page.set_content(f'<body style="margin:0">{shown}')
        dark = (photographed(page) < 250).any(axis=2)
        agrees(around(of_svg(text))[0], dark, layers)
    page.close()


GROUND = '<rect x="10" y="10" width="40" height="40" fill="#07c"/>'
OVER = 'x="20" y="20" width="20" height="20"'
STOPS = '<linearGradient id="g"><stop stop-color="{}" stop-opacity="{}"/><stop offset="1" stop-color="{}" stop-opacity="{}"/></linearGradient>'
FADE = {
    name: STOPS.format(*stops) + GROUND + f'<rect {OVER} fill="url(#g)"/>'
    for name, stops in {
        "inks": ("#f00", 1, "#0f0", 1),
        "white": ("#fff", 1, "#fff", 1),
        "clear": ("#f00", 0, "#0f0", 0),
        "to clear": ("#f00", 1, "#f00", 0),
        "to white": ("#f00", 1, "#fff", 1),
        "white to clear": ("#fff", 1, "#fff", 0),
    }.items()
}


# Ink and doubt, mm², of a ground of 1600 and a square of 400 upon it: what each paint takes away, or may.
@pytest.mark.parametrize(
    ("body", "ink", "doubt"),
    [
        (GROUND, 1600, 0),
        (GROUND + f'<rect {OVER} fill="#fff"/>', 1200, 0),
        (GROUND + f'<rect {OVER} fill="#fff" opacity="0.5"/>', 1600, 0),
        (GROUND + f'<rect {OVER} fill="#fff" fill-opacity="0"/>', 1600, 0),
        # In a see-through group white takes away what lies beneath it in the group, not what lies beneath the group.
        (f'<g opacity="0.5">{GROUND}<rect {OVER} fill="#fff"/></g>', 1200, 0),
        (f'{GROUND}<g opacity="0.5">{GROUND}<rect {OVER} fill="#fff"/></g>', 1600, 0),
        (f'<g opacity="0.5">{GROUND}<g opacity="0.5"><rect {OVER} fill="#fff"/></g></g>', 1600, 0),
        (f'<rect {OVER} fill="#c30" stroke="#fff" stroke-width="4" opacity="0.5"/>', 16 * 16, 0),
        (GROUND + f'<rect {OVER} fill="none"/>', 1600, 0),
        (GROUND + f'<rect {OVER} fill="#fff" visibility="hidden"/>', 1600, 0),
        (GROUND + f'<g display="none"><rect {OVER} fill="#fff"/></g>', 1600, 0),
        (GROUND + f'<rect {OVER} fill="#fff"/><rect {OVER} fill="#c30" opacity="0.01"/>', 1600, 0),
        (f'<rect {OVER} fill="#fff"/>' + GROUND, 1600, 0),
        (GROUND.replace("#07c", "#07c0"), 0, 0),
        (GROUND + f'<rect {OVER} fill="#fff" style="mix-blend-mode:multiply"/>', 1600, 0),
        (GROUND + f'<rect {OVER} fill="#fff" style="mix-blend-mode:screen"/>', 1200, 400),
        (GROUND + f'<rect {OVER} fill="#c30" style="mix-blend-mode:multiply"/>', 1600, 0),
        (FADE["inks"], 1600, 0),
        (FADE["white"], 1200, 0),
        (FADE["clear"], 1600, 0),
        (FADE["to clear"], 1600, 0),
        (FADE["to white"], 1200, 400),
        (FADE["white to clear"], 1200, 400),
        (FADE["to clear"].replace(GROUND, ""), 0, 400),
        ('<pattern id="g" width="9" height="9"/>' + GROUND + f'<rect {OVER} fill="url(#g)"/>', 1200, 400),
        ('<mask id="m"/>' + GROUND + f'<g mask="url(#m)"><rect {OVER} fill="#fff"/></g>', 1200, 400),
        ('<mask id="m"/>' + GROUND.replace("<rect", '<rect mask="url(#m)"'), 0, 1600),
        # What lies on top for sure is in no doubt.
        (
            '<mask id="m"/>'
            + GROUND.replace("<rect", '<rect mask="url(#m)"')
            + f'<rect {OVER} fill="#c30"/>',
            400,
            1200,
        ),
        (
            '<mask id="m"/>'
            + GROUND.replace("<rect", '<rect mask="url(#m)"')
            + f'<rect {OVER} fill="#fff"/>',
            0,
            1200,
        ),
        # A filter reaches a tenth of the size past each side where it does not say otherwise.
        ('<filter id="f"/>' + f'<rect {OVER} fill="#c30" filter="url(#f)"/>', 0, 24 * 24),
        (f'<image {OVER} href="missing.png"/>', 0, 400),
    ],
)
def test_what_each_paint_does(body: str, ink: float, doubt: float) -> None:
    job = of_svg(body)
    found = around(job)
    assert (found[0].area, found[1].area) == pytest.approx((ink, doubt))
    notes = job.printed.notes
    assert bool(notes) == bool(doubt)
    assert all(note.kind is NoteKind.NOT_MODELLED and note.origin is not None for note in notes)


def test_roles_that_are_no_art() -> None:
    layers = ("Kiss cut", "White", "Varnish", "Registration marks", "Legend")
    body = "".join(f'<g id="{name.replace(" ", "_x20_")}"><rect {OVER} fill="#c30"/></g>' for name in layers)
    job = of_svg(body + GROUND)
    assert "print" in {str(one.role) for one in job.assignments}
    assert len({one.role for one in job.assignments}) == 6
    assert len(job.printed.parts.index) == 1


def test_live_text_is_in_doubt_as_a_box() -> None:
    job = of_svg('<text x="10" y="30" font-size="8" stroke="#000">Tea room</text>')
    ink, doubtful = around(job)
    assert ink.is_empty
    assert doubtful.equals(shapely.box(*doubtful.bounds))
    (note,) = job.printed.notes
    assert "letters" in note.message


PDF_STATES = (
    "/ExtGState << /Over << /op true /OPM 1 >> /Zero << /op true /OPM 0 >> /Soft << /SMask << /S /Luminosity /G 7 0 R >> >> >> "
    "/XObject << /Group 8 0 R >> /Shading << /Sh 9 0 R >> /ColorSpace << /Tea [/Separation /Tea /DeviceCMYK 10 0 R] >> "
    "/Properties << /Off 11 0 R >>"
)
SQUARE = "10 10 40 40 re f"


@pytest.mark.parametrize(
    ("content", "ink", "doubt"),
    [
        (f"1 0 0 rg {SQUARE}", 1600, 0),
        (f"1 0 0 rg {SQUARE} 1 g 20 20 20 20 re f", 1200, 0),
        # White that overprints in mode 1 names no ink, in mode 0 all process inks (ISO 32000-1, 8.6.7).
        (f"0 1 0 0 k {SQUARE} /Over gs 0 0 0 0 k 20 20 20 20 re f", 1600, 0),
        (f"0 1 0 0 k {SQUARE} /Zero gs 0 0 0 0 k 20 20 20 20 re f", 1200, 400),
        (f"/Tea cs 0.5 scn {SQUARE} 0 scn 20 20 20 20 re f", 1200, 0),
        (f"/Soft gs 1 0 0 rg {SQUARE}", 0, 1600),
        ("/Soft gs /Group Do", 0, 1600),
        ("/Group Do", 1600, 0),
        ("10 10 40 40 re W n /Sh sh", 0, 1600),
        (f"/OC /Off BDC 1 0 0 rg {SQUARE} EMC", 0, 0),
        # The thinnest line of the device has no area.
        ("0 w 1 0 0 RG 10 10 m 50 10 l S", 0, 0),
    ],
)
def test_what_pdf_alone_can_say(content: str, ink: float, doubt: float) -> None:
    box = "/BBox [0 0 200 100]"
    function = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 1 1 0] /N 1 >>"
    others = {
        7: stream("", f"/Subtype /Form {box} /Group << /S /Transparency /CS /DeviceGray >>"),
        8: stream(f"1 0 0 rg {SQUARE}", f"/Subtype /Form {box} /Group << /S /Transparency >>"),
        9: f"<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [10 0 50 0] /Extend [true true] /Function {function} >>",
        10: function,
        11: "<< /Type /OCG /Name (Draft) >>",
    }
    catalog = "/OCProperties << /OCGs [11 0 R] /D << /OFF [11 0 R] >> >>"
    job = of_pdf(one_page(content, resources=PDF_STATES, catalog=catalog, others=others))
    found = around(job, shapely.box(0, 0, 100, 100))
    square = (25.4 / 72) ** 2
    assert (found[0].area / square, found[1].area / square) == pytest.approx((ink, doubt))


def test_the_thinnest_line_is_a_line_in_pdf_and_nothing_in_svg() -> None:
    job = of_pdf(one_page("0 w 1 0 0 RG 10 10 m 50 10 l S"))
    assert around(job, shapely.box(0, 0, 100, 100))[0].length == pytest.approx(40 * 25.4 / 72)
    assert around(of_svg('<path d="M10 10h30" stroke="#c30" stroke-width="0"/>'))[0].is_empty


def test_a_stroke_skewed_by_its_transform() -> None:
    body = '<g transform="scale(2 0.5)"><path d="M5 20v60M5 50h20" fill="none" stroke="#c30" stroke-width="2"/></g>'
    ink, _ = around(of_svg(body))
    expected = shapely.box(8, 10, 12, 40).union(shapely.box(10, 24.5, 50, 25.5))
    assert ink.symmetric_difference(expected).area < 1e-6


def test_zones_are_judged_each_by_itself_and_only_what_meets_them_is_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made: list[int] = []
    from preflight.job.printing import printed

    real = printed.painted_regions

    def counted(artwork: Any, parts: Any, **settings: Any) -> Any:
        made.extend(part.index for part in parts)
        return real(artwork, parts, **settings)

    monkeypatch.setattr(printed, "painted_regions", counted)
    body = "".join(f'<rect x="{x}" y="5" width="4" height="4" fill="#c30"/>' for x in range(0, 60, 5))
    job = of_svg(
        body
        + '<rect x="0" y="20" width="30" height="30" fill="#07c"/><circle cx="15" cy="35" r="4" fill="#c30"/>'
    )
    zones = [shapely.box(3, 0, 7, 10), shapely.box(0, 20, 30, 50), shapely.box(50, 50, 60, 60)]
    found = job.printed.around(zones)
    assert [one.area for one in found.ink] == pytest.approx([1 * 4 + 2 * 4, 900, 0])
    # The circle lies on the square: nobody need know its outline.
    assert sorted(made) == [0, 1, 12]
    job.printed.around(zones)
    assert sorted(made) == [0, 1, 12]


def test_what_crosses_too_often_is_in_doubt() -> None:
    pick = np.random.default_rng(1)
    data = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in pick.uniform(5, 55, (20_000, 2)))
    job = of_svg(f'<path d="{data}z" fill="#c30"/>')
    ink, doubtful = around(job)
    assert ink.is_empty
    assert doubtful.area == pytest.approx(2500, rel=0.01)
    assert job.printed.notes


def test_a_page_without_art() -> None:
    printed: Printed = of_svg("").printed
    assert printed.parts.boxes.shape == (0, 4)
    assert printed.around([PAGE]).ink[0].is_empty
    assert len(printed.around([]).ink) == 0
    assert Outlines.empty().object_count == 0
