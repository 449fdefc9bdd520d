"""What counts as a registration mark and what does not; what is told of it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from preflight_rules.marks.marks_missing import MissingMarks
from small_pdfs import one_page

from preflight.engine import Engine
from preflight.job import Job, Role
from preflight.job.naming.observed import observed_names
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read
from preflight.reports.inspection import inspection_of

ENGINE = Engine(Profile.default(), Plugins())
CORNERS = [(10, 10), (190, 10), (190, 140), (10, 140)]
ART = '<rect x="40" y="30" width="120" height="90" fill="#2a7593"/>'
CUT = '<g id="Kiss_cut"><rect x="45" y="35" width="110" height="80" fill="none" stroke="#f0f" stroke-width="0.1"/></g>'


def job_of(*body: str, head: str = "") -> Job:
    page = f'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="150mm" viewBox="0 0 200 150">{head}{"".join(body)}</svg>'
    _, (job,) = ENGINE.read_bytes(page.encode(), "a.svg")
    return job


def dots(places: list[tuple[float, float]] = CORNERS, radius: float = 2.5, paint: str = "") -> str:  # type: ignore[assignment]
    return "".join(f'<circle cx="{x}" cy="{y}" r="{radius}" {paint}/>' for x, y in places)


def marked(job: Job) -> list[str]:
    """The reasons of all marks."""
    return [item.assignment.why for item in job.of_role(Role.MARK)]


FOUR = ["shape: four equal dots near the corners"] * 4


def test_the_reason_is_said() -> None:
    assert marked(job_of(ART, CUT, dots())) == FOUR
    job = job_of(ART, CUT, dots())
    (page,) = inspection_of("a.svg", "svg", (job,)).pages
    assert [seen.why for seen in page.objects if seen.role == "mark"] == FOUR


@pytest.mark.parametrize(
    "body",
    [
        dots(CORNERS[:3]),
        dots(CORNERS[:3]) + dots(CORNERS[3:], 2),
        dots() + dots([(100, 75)], paint='fill="#fff"'),
        '<rect width="200" height="150" fill="#fff"/>' + dots(),
        '<rect width="200" height="150" fill="#fff" fill-opacity="0.5"/>' + dots(),
        '<rect x="0.5" y="0.5" width="199" height="149" fill="none" stroke="#999" stroke-width="0.2"/>' + dots(),
        dots() + '<text x="12" y="147" font-size="3">Tea room, sheet 12</text>',
        "".join(f'<path d="M{x} {y}h4" stroke="#000"/>' for x in (0, 196) for y in (10, 140)) + dots(),
        ART.replace("#2a7593", "none") + '<rect x="-300" y="-300" width="50" height="50"/>' + dots(),
        '<g visibility="hidden"><rect x="-10" y="-10" width="120" height="90"/></g>' + dots(),
        '<clipPath id="c"><rect width="200" height="150"/></clipPath><g clip-path="url(#c)">' + dots() + "</g>",
        dots([(40 + x * 120 / 200, 30 + y * 90 / 150) for x, y in [(60, 60), (140, 60), (100, 100)]]) + dots(),
    ],
    ids=[
        "three", "one smaller", "a white dot in the middle", "on white", "on clear white", "in a page frame",
        "beside words", "beside crop marks", "far from what lies off the page", "beside what is hidden", "in a clip that leaves them whole",
        "equal dots in a piece",
    ],
)  # fmt: skip
def test_marks_they_are(body: str) -> None:
    job = job_of(ART, CUT, body)
    assert len(job.marks.marks) == (3 if body == dots(CORNERS[:3]) else 4)
    assert {mark.shape for mark in job.marks.marks} == {"dot"}


@pytest.mark.parametrize(
    "body",
    [
        '<rect width="200" height="150" fill="#f5e6c8"/>' + dots(),
        dots() + '<rect width="200" height="150" fill="#2a7593" fill-opacity="0.2"/>',
        dots(paint='fill="#d8d8d8"'),
        dots(paint='fill="none" stroke="#000"'),
        dots(CORNERS[:2]),
        dots(radius=0.4),
        dots(radius=9),
        dots([(10, 10), (190, 10), (100, 10), (150, 10)]),
        dots([(60, 50), (140, 50), (140, 100), (60, 100)]),
        dots([(12, 20 + 12 * row) for row in range(9)]),
        dots([(x, y) for x in range(10, 200, 30) for y in range(10, 150, 26)]),
        dots([(x, y) for x in (10, 190) for y in range(10, 150, 26)]),
        dots([(100 + 90 * math.cos(k), 75 + 65 * math.sin(k)) for k in range(60)]),
        "".join(f'<circle cx="{x}" cy="{y}" r="{r}"/>' for (x, y), r in zip(CORNERS, (1, 2, 3, 4), strict=True)),
        "".join(f'<path d="M{x - 2} {y}L{x} {y - 3}L{x + 2} {y}Z"/>' for x, y in CORNERS),
        "".join(f'<path d="M{x - 3} {y}h6" stroke="#000"/>' for x, y in CORNERS),
        "".join(f'<ellipse cx="{x}" cy="{y}" rx="3" ry="2"/>' for x, y in CORNERS),
        '<g visibility="hidden">' + dots() + "</g>",
        '<clipPath id="c"><rect width="200" height="140"/></clipPath><g clip-path="url(#c)">' + dots(CORNERS[2:]) + "</g>",
        '<g id="Kiss_cut">' + dots(radius=4, paint='fill="none" stroke="#f0f"') + "</g>" + dots(radius=5),
        '<g id="Cutting"><rect x="2" y="2" width="196" height="146" rx="4" fill="none" stroke="#f0f"/></g>' + dots(),
        '<g id="White">' + dots() + "</g>",
        '<rect x="3" y="3" width="194" height="144" fill="none" stroke="#2a7593" stroke-width="3"/>'
        '<rect x="1" y="70" width="10" height="1"/>' + dots(paint='fill="#777" opacity="0.3"'),
        "".join(f'<rect x="{x - 8}" y="{y - 8}" width="16" height="16" fill="#edae49"/>' for x, y in CORNERS) + dots(),
    ],
    ids=[
        "on tinted film", "beneath art", "pale", "rings", "two", "specks", "large", "a row", "far from the corners",
        "bullets of a list", "a table", "two columns", "a border of dots", "of four sizes", "triangles", "single lines", "ellipses",
        "hidden", "cut by a clip", "stickers in the corners", "in the piece", "named as white", "see-through", "on squares of art",
    ],
)  # fmt: skip
def test_marks_they_are_not(body: str) -> None:
    assert marked(job_of(ART, CUT, body)) == []


def test_dots_on_an_empty_page_mark_nothing() -> None:
    assert marked(job_of(dots())) == []
    assert marked(job_of(dots(), dots(paint='fill="#fff"'))) == []


def test_marks_along_the_sides_of_a_long_sheet() -> None:
    page = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="150mm" viewBox="0 0 900 150">{}</svg>'
    )
    art = '<rect x="30" y="30" width="840" height="90" fill="#2a7593"/>'
    for places, count in (((10, 300, 600, 890), 8), ((10, 100, 890), 0), ((10, 450, 890), 6)):
        body = dots([(x, y) for x in places for y in (10, 140)])
        _, (job,) = ENGINE.read_bytes(page.format(art + body).encode(), "a.svg")
        assert len(job.marks.marks) == count, places
        assert all(
            off.distance == pytest.approx(0, abs=1e-6) for one in job.marks.sets for off in one.offsets
        )


def test_two_sets_are_told_apart() -> None:
    squares = "".join(f'<rect x="{x - 2}" y="{y + 5}" width="4" height="4"/>' for x, y in CORNERS)
    job = job_of(ART, CUT, dots(), squares)
    assert {(one.shape, len(one.marks)) for one in job.marks.sets} == {("dot", 4), ("square", 4)}


def test_a_name_one_slip_off_is_still_reported_of_marks_known_by_shape() -> None:
    job = job_of(ART, CUT, f'<g id="Register_mark_">{dots()}</g>', f'<g id="Registation_marks">{dots()}</g>')
    assert [slip.name for slip in job.unknown_names.slips(4)] == ["Registation_marks"]


def test_names_of_marks_known_by_shape_are_proposed() -> None:
    found = observed_names([job_of(ART, CUT, f'<g id="Eyes">{dots()}</g>')])
    assert [(one.name, one.looks_like, one.known_as) for one in found if one.name == "Eyes"] == [
        ("Eyes", "mark", None)
    ]


PDFS = Path(__file__).parents[2] / "fixtures" / "rules"
MM = 72 / 25.4


def pdf_job(content: str, trim: tuple[float, float, float, float] | None = (20, 20, 180, 130)) -> Job:
    """A page of 200 × 150 mm; lengths in mm, y up."""
    box = "" if trim is None else f"/TrimBox [{' '.join(str(side * MM) for side in trim)}]"
    grey = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0 0 1] /N 1 >>"
    font = "/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>"
    resources = f"{font} /ColorSpace << /Every [/Separation /All /DeviceCMYK {grey}] >>"
    data = one_page(
        f"{MM} 0 0 {MM} 0 0 cm {content}",
        resources=resources,
        page=f"/MediaBox [0 0 {200 * MM} {150 * MM}] {box}",
    )
    (artwork,) = read(data, "a.pdf", Limits())
    return Job(artwork, Profile.default())


SEA = "0.9 0.4 0.1 0.2 k 30 30 140 90 re f"
SQUARES = " ".join(f"{x} {y} 4 4 re f" for x, y in ((6, 6), (190, 6), (190, 140), (6, 140)))


def test_outside_the_trim_box_what_is_alike_at_the_corners_is_a_mark_whatever_its_paint() -> None:
    assert (
        marked(pdf_job(f"{SEA} 0 0 0 0.1 k {SQUARES}"))
        == ["place: outside the trim box, alike beyond its corners"] * 4
    )
    assert marked(pdf_job(f"{SEA} 0 0 0 0.1 k {SQUARES}", None)) == []
    lines = "0 0 0 1 K 0.1 w " + " ".join(f"{x} {y} m {x + 5} {y} l S" for x in (10, 185) for y in (20, 130))
    assert len(marked(pdf_job(f"{SEA} {lines}"))) == 4


def test_other_things_in_the_slug_are_no_marks() -> None:
    patches = " ".join(
        f"{tone} g {30 + 8 * step} 5 6 6 re f" for step, tone in enumerate((0, 0.2, 0.4, 0.6, 0.8))
    )
    assert marked(pdf_job(f"{SEA} {patches}")) == []
    assert marked(pdf_job(f"{SEA} 0 0 0 1 k 6 6 4 4 re f 190 6 4 4 re f")) == []
    assert (
        marked(
            pdf_job(
                f"{SEA} 0 0 0 1 k 17 17 4 4 re f 179 17 4 4 re f 179 129 4 4 re f 17 129 4 4 re f 0 0 1 0 k 10 10 180 130 re f"
            )
        )
        == []
    )


def test_the_separation_all_is_for_marks_but_not_in_a_piece() -> None:
    job = pdf_job(f"{SEA} /Every cs 1 scn {SQUARES} 0.5 scn 100 5 9 2 re f 0 scn 100 10 9 2 re f")
    assert marked(job) == ["spot colour “All”"] * 5
    assert len(job.marks.marks) == 4
    assert len(job.marks.printers) == 1


def test_what_all_prints_in_a_piece_is_art() -> None:
    page = ENGINE.read_bytes((PDFS / "marks-missing" / "pass-in-piece.pdf").read_bytes(), "a.pdf")[1][0]
    assert marked(page) == []


def test_words_in_all_are_art_unless_they_stand_outside_the_trim_box() -> None:
    words = "/Every cs 1 scn BT /F 3 Tf 1 0 0 1 {} Tm (Sheet 12) Tj ET"
    for place, trim, count in (
        ("60 8", None, 0),
        ("60 8", (20, 20, 180, 130), 1),
        ("60 50", (20, 20, 180, 130), 0),
    ):
        job = pdf_job(f"{SEA} {words.format(place)} 100 140 6 6 re f", trim)
        assert len([item for item in job.of_role(Role.MARK) if item.object.kind == "text"]) == count
        assert len(job.marks.printers) == 1


def test_crop_marks_that_a_clip_takes_away_are_no_hidden_marks() -> None:
    lines = " ".join(f"{x} {y} m {x + 5} {y} l S" for x in (10, 185) for y in (20, 130))
    beyond = f"q 0 0 0.1 0.1 re W n /Every CS 1 SCN 0.1 w {lines} Q"
    job = pdf_job(f"{SEA} {beyond}")
    assert marked(job) == ["spot colour “All”"] * 4
    assert job.marks.hidden == ()
    assert not list(MissingMarks().check(job))
    # What a name tells of is missed where a clip takes it away.
    clip = '<clipPath id="c"><rect width="1" height="1"/></clipPath>'
    named = job_of(ART, CUT, f'<g id="Registration_marks" clip-path="url(#c)">{dots()}</g>', head=clip)
    (told,) = MissingMarks().check(named)
    assert "clipped away" in told.message
    assert len(told.objects) == len(named.marks.hidden) == 4


def test_lightness_is_not_guessed() -> None:
    head = '<defs><pattern id="h" width="1" height="1" patternUnits="userSpaceOnUse"><path d="M0 0H1" stroke="#000"/></pattern></defs>'
    body = f'<g id="Registration_marks">{dots(paint=chr(102) + "ill=" + chr(34) + "url(#h)" + chr(34))}</g>'
    job = job_of(ART, CUT, body, head=head)
    assert [mark.lightness for mark in job.marks.marks] == [None] * 4
    assert "contrast of a mark" not in [note.what for note in job.notes]
    assert job.marks.contrasts(95) == []
    assert "contrast of a mark" in [note.what for note in job.notes]


def test_many_things_on_a_layer_of_marks_are_no_harm() -> None:
    many = "".join(f'<circle cx="{x}" cy="{y}" r="0.4"/>' for x in range(60) for y in range(50))
    job = job_of(ART, CUT, f'<g id="Registration_marks">{many}</g>')
    assert sum(len(one.marks) for one in job.marks.sets) == 3000
    chain = "".join(f'<circle cx="{x / 10}" cy="5" r="0.4"/>' for x in range(1500))
    job = job_of(ART, CUT, f'<g id="Registration_marks">{chain}</g>')
    assert len(job.marks.printers) == 1
