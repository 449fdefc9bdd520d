"""Where the roles of PDF objects come from, and what ``inspect`` says of named colours."""

from __future__ import annotations

import pytest
from small_pdfs import one_page, stream

from preflight.artwork import NoteKind
from preflight.job import Job, Role, Route
from preflight.profile import Profile
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read
from preflight.reports.inspection import Inspection, inspection_of, inspection_text

TINT = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0.8 0.6 0] /N 1 >>"
LAB = "[/Lab << /WhitePoint [0.9642 1 0.8249] /Range [-128 127 -128 127] >>]"
LAB_TINT = "<< /FunctionType 2 /Domain [0 1] /C0 [100 0 0] /C1 [62 52 60] /N 1 >>"
SPACES = (
    f"/Kiss [/Separation /Kiss#20Cut /DeviceCMYK {TINT}] "
    f"/Through [/Separation /Cutting {LAB} {LAB_TINT}] "
    f"/Tea [/Separation /Tea#20Red {LAB} {LAB_TINT}] "
    "/Mixed [/DeviceN [/Black /Kiss#20Cut] /DeviceCMYK 5 0 R]"
)
PROGRAM = stream(
    "{ dup 0.8 mul exch 0.6 mul 3 -1 roll 0 4 1 roll }",
    "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1 0 1]",
)
STRUCTURAL = "<< /Type /OCG /Name (Outlines) /GTS_Metadata << /GTS_ProcStepsGroup /Structural /GTS_ProcStepsType /Creasing >> >>"


def job_of(content: str) -> Job:
    resources = f"/ColorSpace << {SPACES} >> /Properties << /Step 6 0 R /Kiss 7 0 R /Art 8 0 R >>"
    data = one_page(
        content,
        resources=resources,
        catalog="/OCProperties << /OCGs [6 0 R 7 0 R 8 0 R] /D << /Order [6 0 R 7 0 R 8 0 R] >> >>",
        others={
            5: PROGRAM,
            6: STRUCTURAL,
            7: "<< /Type /OCG /Name (Kiss Cut) >>",
            8: "<< /Type /OCG /Name (Art) >>",
        },
    )
    (artwork,) = read(data, "job.pdf", Limits())
    return Job(artwork, Profile.default())


def drawn(layer: str, colour: str) -> str:
    return f"/OC /{layer} BDC {colour} 10 10 50 50 re S EMC\n"


@pytest.mark.parametrize(
    ("layer", "colour", "role", "step", "route", "named"),
    [
        ("Step", "/Kiss CS 1 SCN", Role.CUT, "Creasing", Route.METADATA, "Structural Creasing"),
        ("Kiss", "/Through CS 1 SCN", Role.CUT, "Cutting", Route.SPOT, "Cutting"),
        ("Art", "/Kiss CS 1 SCN", Role.CUT, "PartialCutting", Route.SPOT, "Kiss Cut"),
        ("Kiss", "0 0 0 1 K", Role.CUT, "PartialCutting", Route.LAYER, "Kiss Cut"),
        ("Kiss", "/Tea CS 1 SCN", Role.CUT, "PartialCutting", Route.LAYER, "Kiss Cut"),
        ("Art", "/Tea CS 1 SCN", Role.PRINT, None, Route.NONE, None),
        ("Art", "/Mixed CS 0 1 SCN", Role.CUT, "PartialCutting", Route.SPOT, "Kiss Cut"),
        ("Art", "/Mixed CS 0.5 1 SCN", Role.CUT, "PartialCutting", Route.SPOT, "Kiss Cut"),
        ("Art", "/Mixed CS 0.5 0 SCN", Role.PRINT, None, Route.NONE, None),
    ],
)
def test_metadata_then_separation_then_layer(layer, colour, role, step, route, named):
    (item,) = job_of(drawn(layer, colour)).items
    found = item.assignment
    assert (found.role, found.step, found.route, found.named) == (role, step, route, named)


def test_inspect_lists_named_colours_with_what_stands_in_for_them():
    seen = inspection_of("job.pdf", "pdf", (job_of(drawn("Art", "/Tea CS 1 SCN")),))
    spots = {spot.name: (spot.definition, spot.space, spot.components) for spot in seen.pages[0].spots}
    assert len(spots) == len(seen.pages[0].spots)
    assert spots == {
        "Tea Red": ("separation", "lab", (62, 52, 60)),
        "Kiss Cut": ("separation", "device-cmyk", (0, 0.8, 0.6, 0)),
        "Cutting": ("separation", "lab", (62, 52, 60)),
        "Black": ("process colorant", "device-cmyk", (0, 0, 0, 1)),
    }
    assert "named colour “Tea Red”  separation  lab 62 52 60\n" in inspection_text(Inspection((seen,)))


def test_a_name_that_is_not_utf8_is_found_in_the_resources():
    content = "/Caf#E9 cs 1 scn 10 10 50 50 re f"
    data = one_page(content, resources=f"/ColorSpace << /Caf#E9 [/Separation /Caf#E9 /DeviceCMYK {TINT}] >>")
    (artwork,) = read(data, "job.pdf", Limits())
    assert artwork.objects[0].fill.spot == "Café"


@pytest.mark.parametrize("where", ["page", "catalog"])
def test_spectral_data_of_the_document_and_of_a_page_that_is_not_there_is_noted(where):
    intents = "/OutputIntents [<< /S /GTS_PDFX /SpectralData << /Tea#20Red 1 0 R >> >>]"
    page = "/MediaBox [0 0 200 100]"
    data = one_page(page=f"{page} {intents}") if where == "page" else one_page(catalog=intents)
    (artwork,) = read(data, "job.pdf", Limits())
    assert [(note.kind, note.what) for note in artwork.notes] == [(NoteKind.FAULT, "spectral data")]
    assert "“Tea Red” cannot be used: it is not in the file" in artwork.notes[0].message
