"""Inks that output intents hold as they were measured (ISO 32000-2, table 401)."""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
import pytest

from preflight.artwork import NoteKind
from preflight.colour.libraries import read_library
from preflight.engine import Engine
from preflight.job import Job
from preflight.profile import Profile
from preflight.profile.loading import load

INKS = Path(__file__).parents[3] / "fixtures" / "rules" / "colour-gamut" / "measured-inks.cxf"
"""Lamp Green at 0, 50 and 100 %, as CxF/X-4."""


def job_of(
    spectra: bytes | None,
    name: str = "Lamp Green",
    on_page: bool = False,
    profile: Profile | None = None,
) -> Job:
    """A page printed in half of an ink, with spectral data under a name; None for a name that leads nowhere."""
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(100, 100))
    ramp = pikepdf.Dictionary(
        FunctionType=2,
        Domain=pikepdf.Array([0, 1]),
        C0=pikepdf.Array([0, 0, 0, 0]),
        C1=pikepdf.Array([1, 0, 1, 0]),
        N=1,
    )
    space = [pikepdf.Name.Separation, pikepdf.Name("/Lamp Green"), pikepdf.Name.DeviceCMYK, ramp]
    page.Resources = pikepdf.Dictionary(ColorSpace=pikepdf.Dictionary(S=pikepdf.Array(space)))
    page.Contents = pikepdf.Stream(pdf, b"/S cs 0.5 scn 10 10 50 50 re f")
    stream = pikepdf.Dictionary() if spectra is None else pdf.make_indirect(pikepdf.Stream(pdf, spectra))
    intent = pikepdf.Dictionary(
        Type=pikepdf.Name.OutputIntent, S=pikepdf.Name.GTS_PDFX, SpectralData=pikepdf.Dictionary()
    )
    intent.SpectralData[f"/{name}"] = stream
    holder = page.obj if on_page else pdf.Root
    holder.OutputIntents = pikepdf.Array([intent])
    out = io.BytesIO()
    pdf.save(out)
    return Engine(profile or Profile.default()).read_bytes(out.getvalue(), "inks.pdf")[1][0]


@pytest.mark.parametrize("on_page", [False, True])
def test_an_ink_is_known_as_it_was_measured_in_the_tints_that_were(on_page: bool) -> None:
    """The file's alternate is process inks, which say nothing of the ink."""
    job = job_of(INKS.read_bytes(), on_page=on_page)
    assert job.artwork.notes == ()
    (colour,) = job.colours.used
    assert (colour.lab, str(colour.source), colour.source.certain) == (
        (76, -85, 66),
        "measured in the file",
        True,
    )
    (tint,) = colour.tints
    assert (tint.percent, tint.look.certain) == (50, True)
    assert tint.look.lab == pytest.approx((82, -24, 16))
    assert [one.colour.name for one in job.colours.judged] == ["Lamp Green"]


def test_it_is_what_the_same_document_says_as_a_library() -> None:
    (spot,) = job_of(INKS.read_bytes()).artwork.spots
    lamp = next(colour for colour in read_library(INKS).colours if colour.name == "Lamp Green")
    assert spot.measured == tuple((tint.share, tint.lab) for tint in lamp.tints)


@pytest.mark.parametrize(
    ("spectra", "name", "told"),
    [
        (None, "Lamp Green", "“Lamp Green” cannot be used: it is not in the file"),
        (b"no XML", "Lamp Green", "“Lamp Green” cannot be used: it is no well-formed XML"),
        (INKS.read_bytes(), "Tea Red", "“Tea Red” cannot be used: it holds no measurement of that ink"),
        (
            INKS.read_bytes().replace(b'TintLevel="100"', b'TintLevel="90"'),
            "Lamp Green",
            "“Lamp Green” cannot be used: it is not measured at full tint",
        ),
    ],
)
def test_what_cannot_be_used_is_told_by_the_name_of_the_ink(
    spectra: bytes | None, name: str, told: str
) -> None:
    job = job_of(spectra, name)
    (note,) = job.artwork.notes
    assert (note.kind, note.what) == (NoteKind.FAULT, "spectral data")
    assert told in note.message
    assert str(job.colours.used[0].source) == "process inks in the file"


def test_what_is_held_beside_the_inks_is_told_as_not_read() -> None:
    more = INKS.read_bytes().replace(
        b"</cc:CustomResources>", b'<x:Own xmlns:x="urn:x"/></cc:CustomResources>'
    )
    job = job_of(more)
    (note,) = job.artwork.notes
    assert note.kind is NoteKind.NOT_MODELLED
    assert "“Own” is not read" in note.message
    assert str(job.colours.used[0].source) == "measured in the file"


@pytest.mark.parametrize(("lightness", "told"), [(66, True), (75.5, False)])
def test_a_measurement_that_is_not_the_shop_s_is_a_conflict(
    tmp_path: Path, lightness: float, told: bool
) -> None:
    """L* 10 apart are ΔE00 7 and more (S_L at most 1.4 there), half of L* less than 2."""
    (tmp_path / "shop.csv").write_text(f"name,L,a,b\nLamp Green,{lightness},-85,66\n")
    (tmp_path / "preflight.toml").write_text('[colours]\nlibraries = ["shop.csv"]\n')
    job = job_of(INKS.read_bytes(), profile=load(explicit=tmp_path / "preflight.toml"))
    assert [one.kind for one in job.colours.conflicts(2.0, 0.5)] == ["unlike its library"] * told
    assert str(job.colours.used[0].source) == "library"
