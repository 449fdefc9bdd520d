"""What overprinting white lets through and what knocks out, paint by paint.

The table of paints follows ISO 32000-1, 8.6.7 ("Overprint control") and the table of 11.7.4.3, worked out by hand for each pair.
"""

from __future__ import annotations

import io

import numpy as np
import pytest
from lettered_pdfs import SERIF, needs_fonts
from small_pdfs import one_page, stream

from preflight.job import Job
from preflight.job.printing.overprints import Place
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

MM = 25.4 / 72
RED = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 1 1 0] /N 1 >>"
GREY = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0 0 1] /N 1 >>"
PROGRAM = stream("{ 0 exch dup 0 }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1 0 1]")
SPACES = (
    f"/Tea [/Separation /Tea /DeviceCMYK {RED}] /Kiss [/Separation /Kiss#20Cut /DeviceCMYK {RED}] "
    f"/Every [/Separation /All /DeviceCMYK {GREY}] /Plate [/Separation /Black /DeviceCMYK {GREY}] "
    "/Both [/DeviceN [/Cyan /Tea] /DeviceCMYK 5 0 R]"
)
RESOURCES = (
    f"/ColorSpace << {SPACES} >> "
    "/ExtGState << /One << /OP true /op true /OPM 1 >> /Zero << /OP true /op true /OPM 0 >> "
    "/Plain << /OP false /op false >> /Half << /ca 0.5 /CA 0.5 >> /Multiply << /BM /Multiply >> >> "
    "/XObject << /Picture 6 0 R /Form 7 0 R >> /Properties << /Off 8 0 R >> "
    "/Shading << /Fade 9 0 R >> /Pattern << /Fade << /PatternType 2 /Shading 9 0 R >> >> "
    "/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>"
)
OTHERS = {
    5: PROGRAM,
    6: stream(
        b"\0" * 3,
        "/Type /XObject /Subtype /Image /Width 1 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceRGB",
    ),
    7: stream("1 0 0 0 k 10 10 50 40 re f", "/Type /XObject /Subtype /Form /BBox [0 0 200 100]"),
    8: "<< /Type /OCG /Name (Draft) >>",
    9: f"<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [10 0 60 0] /Extend [true true] /Function {RED} >>",
}
CATALOG = "/OCProperties << /OCGs [8 0 R] /D << /OFF [8 0 R] >> >>"


def job_of(content: str) -> Job:
    (artwork,) = read(
        one_page(content, resources=RESOURCES, catalog=CATALOG, others=OTHERS), "a.pdf", Limits()
    )
    return Job(artwork, Profile.default())


def vanishing(content: str) -> tuple[Place, ...]:
    return job_of(content).overprints.vanishing()


def knock_outs(content: str) -> tuple[Place, ...]:
    return job_of(content).overprints.knock_outs()


AREA = "10 10 50 40 re f"
BASES = {
    "cyan": f"1 0 0 0 k {AREA}",
    "black": f"0 0 0 1 k {AREA}",
    "rgb": f"1 0 0 rg {AREA}",
    "tea": f"/Tea cs 1 scn {AREA}",
    "cyan and tea": f"/Both cs 1 1 scn {AREA}",
}
WHITES = {
    "cmyk, mode 1": ("/One gs 0 0 0 0 k", {"cyan", "black", "rgb", "tea", "cyan and tea"}),
    "cmyk, mode 0": ("/Zero gs 0 0 0 0 k", {"tea", "cyan and tea"}),
    "grey, mode 1": ("/One gs 1 g", {"tea", "cyan and tea"}),
    "rgb, mode 1": ("/One gs 1 1 1 rg", {"tea", "cyan and tea"}),
    "tea at 0": ("/Zero gs /Tea cs 0 scn", {"cyan", "black", "rgb", "cyan and tea"}),
    "cyan and tea at 0": ("/Zero gs /Both cs 0 0 scn", {"black", "rgb"}),
    "black plate at 0": ("/One gs /Plate cs 0 scn", {"cyan", "rgb", "tea", "cyan and tea"}),
    "every plate at 0": ("/One gs /Every cs 0 scn", set()),
    "no overprint": ("/Plain gs 0 0 0 0 k", set()),
}


@pytest.mark.parametrize("base", BASES)
@pytest.mark.parametrize("white", WHITES)
def test_white_vanishes_where_what_lies_beneath_is_left(white: str, base: str) -> None:
    paint, through = WHITES[white]
    found = vanishing(f"{BASES[base]} {paint} 20 20 10 5 re f")
    assert [place.beneath.index for place in found] == ([0] if base in through else [])
    if found:
        assert found[0].sure
        assert found[0].size == pytest.approx(10 * MM, abs=1e-3)
        assert found[0].box == pytest.approx([20 * MM, 75 * MM, 30 * MM, 80 * MM], abs=1e-3)


WHITE = "/One gs 0 0 0 0 k 20 20 10 5 re f"
"""White that vanishes wherever there is anything beneath."""


@pytest.mark.parametrize(
    ("beneath", "sure"),
    [
        ("/Form Do", True),
        ("q 50 0 0 40 10 10 cm /Picture Do Q", False),
        ("/Pattern cs /Fade scn 10 10 50 40 re f", False),
        ("q 10 10 50 40 re W n /Fade sh Q", False),
        ("BT /F 60 Tf 10 10 Td (Tea) Tj ET", False),
        ("1 0 0 0 K 8 w 10 22 m 60 22 l S", True),
        ("q /Half gs 1 0 0 0 k 10 10 50 40 re f Q", True),
    ],
    ids=["form", "image", "gradient", "shading", "text", "line", "half opaque"],
)
def test_what_lies_beneath_may_be_of_any_kind(beneath: str, sure: bool) -> None:
    (place,) = vanishing(f"{beneath} {WHITE}")
    assert place.sure is sure


@pytest.mark.parametrize(
    "content",
    [
        f"{WHITE} {BASES['cyan']}",
        f"/OC /Off BDC {BASES['cyan']} EMC {WHITE}",
        f"0 0 0 0 k {AREA} {WHITE}",
        f"{BASES['cyan']} /Plain gs 0 0 0 0 k {AREA} {WHITE}",
        f"{BASES['cyan']} q 0 0 5 5 re W n {WHITE} Q",
        f"q 0 0 15 15 re W n {BASES['cyan']} Q {WHITE}",
        f"{BASES['cyan']} /Half gs {WHITE}",
        f"{BASES['cyan']} /Multiply gs {WHITE}",
        f"{BASES['cyan']} /One gs 0 0 0 0 k 20 20 10 0 re f",
        f"{BASES['cyan']} /One gs 0 0 0 0 k 60 10 10 10 re f",
        "/One gs 0 0 0 0.01 k 20 20 10 5 re f",
    ],
    ids=[
        "before the art",
        "over a layer that is off",
        "over white",
        "over what was knocked out",
        "clipped away",
        "art clipped elsewhere",
        "see-through",
        "blended",
        "no area",
        "beside",
        "not white",
    ],
)
def test_white_that_hides_nothing_is_not_lost(content: str) -> None:
    assert vanishing(content) == ()


def test_only_what_still_shows_beneath_counts() -> None:
    """The right half was knocked out before the white came."""
    (place,) = vanishing(f"{BASES['cyan']} /Plain gs 0 0 0 0 k 25 10 60 60 re f {WHITE}")
    assert place.box == pytest.approx([20 * MM, 75 * MM, 25 * MM, 80 * MM], abs=1e-3)


def test_art_laid_over_what_was_knocked_out_counts_again() -> None:
    (place,) = vanishing(f"{BASES['cyan']} 0 0 0 0 k {AREA} /Tea cs 1 scn 10 10 12 40 re f {WHITE}")
    assert place.beneath.index == 2
    assert place.box == pytest.approx([20 * MM, 75 * MM, 22 * MM, 80 * MM], abs=1e-3)


def test_white_lettering_is_lost_as_well() -> None:
    (place,) = vanishing(f"{BASES['cyan']} /One gs 0 0 0 0 k BT /F 20 Tf 12 20 Td (Tea) Tj ET")
    assert place.item.object.kind == "text"
    assert place.sure


def test_more_than_can_be_looked_at_is_said_and_not_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    job = job_of(" ".join([BASES["cyan"], *[WHITE] * 200]))
    monkeypatch.setattr("preflight.job.printing.overprints._AT_ONCE", 64)
    monkeypatch.setattr("preflight.job.printing.overprints.WORK", 64 * 9 + 64 * 63 // 2 * 9)
    assert job.notes == ()
    found = job.overprints.vanishing()
    assert 0 < len(found) < 200
    (note,) = job.notes
    assert note.kind == "not-modelled"
    assert f"{200 - len(found)} objects" in note.message
    assert note.origin == job.artwork.objects[len(found) + 1].origin


def test_many_things_over_many_things_stay_within_bounds() -> None:
    job = job_of(" ".join([BASES["cyan"], *[WHITE] * 6000]))
    assert len(job.overprints.vanishing()) < 6000
    assert len(job.notes) == 1


LINE = "/Kiss CS 1 SCN 0.3 w 20 20 m 20 90 l S"


def test_a_cut_knocks_out_the_art_of_the_page_and_nothing_else() -> None:
    (place,) = knock_outs(f"{BASES['cyan']} {LINE}")
    assert place.box == pytest.approx([20 * MM, 50 * MM, 20 * MM, 80 * MM], abs=1e-3)
    assert knock_outs(f"{BASES['cyan']} /Zero gs {LINE}") == ()
    assert knock_outs(LINE) == ()
    assert knock_outs(f"{LINE} {BASES['cyan']}") == ()


@pytest.mark.parametrize(
    "over",
    ["/Every CS 1 SCN", "/Plate CS 1 SCN", "1 0 1 0 K", "/Kiss CS 0 SCN"],
    ids=["every plate", "black plate", "process", "no tint"],
)
def test_what_is_in_no_separation_of_its_own_does_not_count_as_knocking_out(over: str) -> None:
    assert knock_outs(f"{BASES['cyan']} {LINE.replace('/Kiss CS 1 SCN', over)}") == ()


def test_two_cut_lines_over_one_another_knock_nothing_out() -> None:
    assert knock_outs(f"{LINE} {LINE}") == ()


def test_what_the_text_beneath_leaves_blank_is_not_known_where_its_font_is_not_in_the_file() -> None:
    (place,) = knock_outs(f"BT /F 60 Tf 10 20 Td (Tea) Tj ET {LINE}")
    assert not place.sure


RING = stream("1000 0 0 0 900 900 d1 0 0 900 900 re 300 300 300 300 re f*")
"""A glyph with a hole in its middle."""
RINGS = (
    "<< /Type /Font /Subtype /Type3 /FontBBox [0 0 1000 1000] /FontMatrix [0.001 0 0 0.001 0 0] /CharProcs << /o 10 0 R >> "
    "/Encoding << /Differences [111 /o] >> /FirstChar 111 /LastChar 111 /Widths [1000] >>"
)


def ringed(content: str) -> tuple[Place, ...]:
    """What knocks out in a content that has the font R."""
    resources = RESOURCES.replace("/Font <<", "/Font << /R 11 0 R")
    data = one_page(content, resources=resources, catalog=CATALOG, others={**OTHERS, 10: RING, 11: RINGS})
    return Job(read(data, "a.pdf", Limits())[0], Profile.default()).overprints.knock_outs()


def test_letters_of_the_file_are_art_just_where_they_have_ink() -> None:
    text = "0 1 0 0 k BT /R 50 Tf 20 20 Td (o) Tj ET"  # ink from 20 to 65, blank from 35 to 50
    line = "/Kiss CS 1 SCN 0.3 w"
    (place,) = ringed(f"{text} {line} 25 0 m 25 100 l S")
    assert place.sure
    assert place.beneath.object.kind == "text"
    assert place.box == pytest.approx([25 * MM, 35 * MM, 25 * MM, 80 * MM], abs=1e-3)
    assert ringed(f"{text} {line} 42 37 m 42 48 l S") == ()
    assert ringed(f"{text} {line} 70 0 m 70 100 l S") == ()


def test_letters_of_an_embedded_font_are_art_just_where_they_have_ink() -> None:
    needs_fonts()
    from reportlab.lib.colors import CMYKColor, CMYKColorSep
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(TTFont("Serif", str(SERIF)))

    def knocked_out(x: float, y0: float, y1: float) -> tuple[Place, ...]:
        out = io.BytesIO()
        page = Canvas(out, pagesize=(200, 100), invariant=1)
        page.setFont("Serif", 80)
        page.setFillColor(CMYKColor(0, 1, 0, 0))
        page.drawString(20, 20, "O")
        page.setStrokeColor(CMYKColorSep(0, 1, 1, 0, spotName="Kiss Cut"))
        page.setLineWidth(0.1)
        page.line(x, y0, x, y1)
        page.save()
        return Job(read(out.getvalue(), "a.pdf", Limits())[0], Profile.default()).overprints.knock_outs()

    # The O of DejaVu Serif is 0.82 em wide: its hole is about its middle, its left bow within the first fifth.
    middle = 20 + 0.41 * 80
    assert knocked_out(middle, 35, 65) == ()
    (place,) = knocked_out(20 + 0.1 * 80, 0, 100)
    assert place.sure
    assert place.size < 60 * MM


def test_many_lines_over_much_art_are_each_told_once() -> None:
    art = " ".join(f"0 1 0 0 k {x} {y} 3 3 re f" for x in range(0, 200, 4) for y in range(0, 100, 4))
    lines = " ".join(f"/Kiss CS 1 SCN {x + 1} 0 m {x + 1} 100 l S" for x in range(0, 200, 4))
    found = knock_outs(f"{art} {lines}")
    assert len(found) == 50
    assert {round(place.size / MM) for place in found} == {99}


def tangle(count: int) -> str:
    points = np.random.default_rng(7).random((count, 2)) * (90, 45) + (5, 5)
    return "0 0 m " + " ".join(f"{x:.2f} {y:.2f} l" for x, y in points)


@pytest.mark.parametrize(
    "content",
    [
        pytest.param(f"0 1 1 0 k 0 0 90 90 re f /One gs 0 g 0 0 0 0 k {tangle(900)} f", id="the-white"),
        pytest.param(f"0 1 1 0 k {tangle(900)} f /One gs 0 0 0 0 k 10 10 50 30 re f", id="what-lies-below"),
        pytest.param(f"0 1 1 0 k 0 0 90 90 re f /One gs 0 0 0 0 K 2 w {tangle(900)} S", id="a-line-of-white"),
        pytest.param(
            f"0 1 1 0 k 0 0 90 90 re f q {tangle(900)} W n /One gs 0 0 0 0 k -9 10 50 30 re f Q",
            id="the-clip",
        ),
    ],
)
def test_what_crosses_itself_without_end_is_not_judged_and_named(content: str) -> None:
    job = job_of(content)
    assert job.overprints.vanishing() == ()
    (note,) = job.overprints.notes
    assert note.what == "overprint"
