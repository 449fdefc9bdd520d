"""Libraries of named colours: CSV and CxF3."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.colour.errors import ColourFileError
from preflight.colour.libraries import LARGEST, read_library

SAMPLES = Path(__file__).parents[2] / "fixtures" / "colours"


def written(folder: Path, text: str | bytes, name: str = "ferry.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.mark.parametrize(
    "text",
    [
        "name,L,a,b\nFerry Orange,62,52,60\nDeep Water,30.5,-5,-30\n",
        "\ufeffb;a;L;Name\r\n60;52;62;Ferry Orange\r\n-30;-5;30,5;Deep Water\r\n\r\n",
        "Name\tL\ta\tb\tsince\nFerry Orange\t62\t52\t60\t2024\nDeep Water\t30.5\t-5\t-30\n",
    ],
    ids=["commas", "semicolons and decimal commas", "tabs"],
)
def test_csv_as_programs_write_it(tmp_path: Path, text: str) -> None:
    library = read_library(written(tmp_path, text))
    assert library.name == "ferry.csv"
    assert library.colours == (("Ferry Orange", (62, 52, 60), ()), ("Deep Water", (30.5, -5, -30), ()))


@pytest.mark.parametrize(
    ("text", "place", "mend"),
    [
        (b"", "line 1", "name,L,a,b"),
        (b"name,L,a\nFerry Orange,62,52\n", "line 1", "no column b"),
        (b"name,L,a,b\nFerry Orange,62,52\n", "line 2", "breaks off"),
        (b"name,L,a,b\nFerry Orange,62,52,red\n", "line 2", "no number"),
        (b"name,L,a,b\n,62,52,60\n", "line 2", "no name"),
        (b"name,L,a,b\nFerry Orange,620,52,60\n", "line 2", "no colour of a surface"),
        (b"name,L,a,b\nFerry Orange,nan,52,60\n", "line 2", "no colour of a surface"),
        (b"name,L,a,b\nCaf\xe9,62,52,60\n", "byte 15", "UTF-8"),
        (b"name,L,a,b\n", "", "no colour that can be used"),
        (b"<not xml", "", "well-formed"),
        (b"<svg/>", "", "no CxF3 document"),
        (b'<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/hostname">]><x>&e;</x>', "", "no CxF3 document"),
    ],
)
def test_what_cannot_be_used_is_told_with_file_place_and_mend(
    tmp_path: Path, text: bytes, place: str, mend: str
) -> None:
    path = written(tmp_path, text)
    with pytest.raises(ColourFileError) as told:
        read_library(path)
    assert str(path) in str(told.value)
    assert place in str(told.value)
    assert mend in str(told.value)


def test_a_file_that_is_not_there_and_one_too_large(tmp_path: Path) -> None:
    with pytest.raises(ColourFileError, match="cannot be read"):
        read_library(tmp_path / "none.csv")
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        file.truncate(LARGEST + 1)
    with pytest.raises(ColourFileError, match="larger than"):
        read_library(large)


def test_the_sample_of_cxf_as_another_reader_sees_it() -> None:
    """Reference library: colour-cxf (PyPI, BSD-3), made from the schema of CxF3."""
    from colour_cxf import read_cxf

    path = SAMPLES / "house-orange.cxf"
    seen = read_cxf(path.read_bytes())
    (one,) = seen.resources.object_collection.object_value
    lab = one.color_values.choice[0]
    (colour,) = read_library(path).colours
    assert colour == (one.name, (float(lab.l), float(lab.a), float(lab.b)), ())


def cxf(values: str, specification: str = "") -> str:
    return (
        '<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core"><cc:Resources><cc:ObjectCollection>'
        f'<cc:Object ObjectType="Standard" Name="Ferry Orange" Id="o1"><cc:ColorValues>{values}</cc:ColorValues></cc:Object>'
        '</cc:ObjectCollection><cc:ColorSpecificationCollection><cc:ColorSpecification Id="s">'
        f"{specification}</cc:ColorSpecification></cc:ColorSpecificationCollection></cc:Resources></cc:CxF>"
    )


def seen_under(light: str, observer: str = "2_Degree") -> str:
    return (
        f"<cc:TristimulusSpec><cc:Illuminant>{light}</cc:Illuminant><cc:Observer>{observer}</cc:Observer>"
        '</cc:TristimulusSpec><cc:MeasurementSpec><cc:WavelengthRange StartWL="380" Increment="10"/></cc:MeasurementSpec>'
    )


def lab(lightness: float, a: float, b: float) -> str:
    return f'<cc:ColorCIELab ColorSpecification="s"><cc:L>{lightness}</cc:L><cc:A>{a}</cc:A><cc:B>{b}</cc:B></cc:ColorCIELab>'


def reflecting(shares: np.ndarray, start: str = 'StartWL="380" ') -> str:
    return f'<cc:ReflectanceSpectrum ColorSpecification="s" {start}>{" ".join(map(str, shares))}</cc:ReflectanceSpectrum>'


GREY = np.full(36, 0.184187)
"""Y 18.4187 %: L* 50 by the definition of CIE 15."""


@pytest.mark.parametrize("share", [1.0, 0.5, 0.184187])
def test_flat_reflectance_is_grey_of_the_lightness_that_its_share_is(tmp_path: Path, share: float) -> None:
    """CIE 15: L* = 116 Y^(1/3) - 16 of the share of white, without hue."""
    path = written(tmp_path, cxf(reflecting(np.full(36, share)), seen_under("D50")))
    (colour,) = read_library(path).colours
    assert colour.lab == pytest.approx((116 * share ** (1 / 3) - 16, 0, 0), abs=1e-6)


def test_reflectance_as_another_library_adds_it_up(tmp_path: Path) -> None:
    """Reference library: colormath's SpectralColor, D50 and 2°, which takes the same tables in steps of 10 nm."""
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, SpectralColor

    wavelengths = np.arange(340, 840, 10)
    shares = 0.05 + 0.6 / (1 + np.exp((585 - wavelengths) / 12.0))  # an orange: dark below 585 nm
    bands = {f"spec_{nm}nm": share for nm, share in zip(wavelengths.tolist(), shares.tolist(), strict=True)}
    theirs = convert_color(SpectralColor(observer="2", illuminant="d50", **bands), LabColor).get_value_tuple()
    path = written(tmp_path, cxf(reflecting(shares, 'StartWL="340" '), seen_under("D50")))
    (ours,) = read_library(path).colours
    # Their white is that of ASTM E308 in 5 nm, ours the sum of the same tables: up to 0.15 apart.
    assert ours.lab == pytest.approx(theirs, abs=0.2)


def test_reflectance_goes_before_lab_and_counts_whatever_it_was_measured_for(tmp_path: Path) -> None:
    path = written(tmp_path, cxf(lab(10, 0, 0) + reflecting(GREY, ""), seen_under("D65", "10_Degree")))
    (colour,) = read_library(path).colours
    assert colour.lab == pytest.approx((50, 0, 0), abs=1e-3)


def test_lab_under_another_light_is_adapted(tmp_path: Path) -> None:
    """White stays white. sRGB red: Lab under D65 by the primaries of IEC 61966-2-1, under D50 by CSS Color 4 (values 4.6)."""
    (white,) = read_library(written(tmp_path, cxf(lab(100, 0, 0), seen_under("D65")))).colours
    assert white.lab == pytest.approx((100, 0, 0), abs=1e-6)
    (red,) = read_library(written(tmp_path, cxf(lab(53.2408, 80.0925, 67.2032), seen_under("D65")))).colours
    assert red.lab == pytest.approx((54.2905, 80.8049, 69.8910), abs=0.1)


@pytest.mark.parametrize(
    ("values", "specification", "reason"),
    [
        (lab(50, 0, 0), seen_under("D50", "10_Degree"), "observer 10_Degree"),
        (lab(50, 0, 0), seen_under("TL84"), "light TL84"),
        ("", "", "neither reflectance nor Lab nor XYZ"),
        (reflecting(GREY[:20]), "", "380 to 570 nm"),
        (reflecting(GREY, ""), "", "where it starts"),
        (reflecting(100 * GREY), "", "shares of 1"),
        ("<cc:ColorCIELab><cc:L>50</cc:L><cc:A>x</cc:A></cc:ColorCIELab>", "", "not three numbers"),
        (lab(500, 0, 0), "", "no colour of a surface"),
    ],
)
def test_a_colour_that_cannot_be_used_is_refused_with_its_reason(
    tmp_path: Path, values: str, specification: str, reason: str
) -> None:
    with pytest.raises(ColourFileError, match="no colour that can be used: Ferry Orange: ") as told:
        read_library(written(tmp_path, cxf(values, specification)))
    assert reason in str(told.value)


def test_one_colour_that_cannot_be_used_leaves_the_others(tmp_path: Path) -> None:
    good = f'<cc:Object Name="Deep Water" Id="o2"><cc:ColorValues>{lab(30, -5, -30)}</cc:ColorValues></cc:Object>'
    text = cxf("").replace("</cc:ObjectCollection>", good + "</cc:ObjectCollection>")
    library = read_library(written(tmp_path, text))
    assert library.colours == (("Deep Water", (30, -5, -30), ()),)
    assert [one.name for one in library.refused] == ["Ferry Orange"]


SIC = "http://colorexchangeformat.com/CxF3-SpotInkCharacterisation"


def ink_file(objects: str, custom: str, specification: str = "") -> str:
    """A CxF/X-4 document.

    ISO 32000-2, table 401, names SpotInkCharacterisation and SpotInkName; ISO 17972-4 itself was not at hand: MeasurementSet, Background,
    Measurement, TintLevel, ObjectRef and ReflectanceSpectrumNameRef are as open source writes them (a CxF builder found by searching public code for
    SpotInkCharacterisation), Background="Black" is from memory.
    """
    return (
        f'<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core" xmlns:sic="{SIC}"><cc:Resources><cc:ObjectCollection>{objects}'
        f'</cc:ObjectCollection><cc:ColorSpecificationCollection><cc:ColorSpecification Id="s">{specification}</cc:ColorSpecification>'
        f"</cc:ColorSpecificationCollection></cc:Resources><cc:CustomResources>{custom}</cc:CustomResources></cc:CxF>"
    )


def patch(id_: str, values: str, device: str = "", name: str = "Lamp Green") -> str:
    return f'<cc:Object ObjectType="Tint" Name="{name}" Id="{id_}"><cc:ColorValues>{values}</cc:ColorValues>{device}</cc:Object>'


def ink(*measurements: str, name: str = "Lamp Green", background: str = "Substrate", more: str = "") -> str:
    sets = f'<sic:MeasurementSet Background="{background}">{"".join(measurements)}</sic:MeasurementSet>'
    return f'<sic:SpotInkCharacterisation SpotInkName="{name}">{sets}{more}</sic:SpotInkCharacterisation>'


def at(tint: object, id_: str, spectrum: str = "") -> str:
    chosen = f' ReflectanceSpectrumNameRef="{spectrum}"' if spectrum else ""
    return f'<sic:Measurement TintLevel="{tint}" ObjectRef="{id_}"{chosen}/>'


PATCHES = patch("p", lab(95, 0, -2)) + patch("h", lab(80, -30, 20)) + patch("f", lab(60, -60, 40))
SETS = (at(100, "f"), at(0, "p"), at(50, "h"))


def test_an_ink_with_its_tints_in_rising_order(tmp_path: Path) -> None:
    """The bare substrate comes first in the file and carries the ink's name: it is not the ink."""
    library = read_library(written(tmp_path, ink_file(PATCHES, ink(*SETS))))
    ((name, solid, tints),) = library.colours
    assert (name, solid) == ("Lamp Green", (60, -60, 40))
    assert tints == ((0, (95, 0, -2)), (0.5, (80, -30, 20)), (1, (60, -60, 40)))
    assert (library.refused, library.unread) == ((), ())


def test_the_core_of_an_ink_file_as_another_reader_sees_it(tmp_path: Path) -> None:
    """Reference library: colour-cxf (PyPI, BSD-3), made from the schema of CxF3, in which custom resources are anything."""
    from colour_cxf import read_cxf

    text = ink_file(PATCHES, ink(*SETS), seen_under("D50"))
    seen = {one.id: one for one in read_cxf(text.encode()).resources.object_collection.object_value}
    ((_, _, tints),) = read_library(written(tmp_path, text)).colours
    theirs = [seen[id_].color_values.choice[0] for id_ in ("p", "h", "f")]
    assert [tint.lab for tint in tints] == [(float(one.l), float(one.a), float(one.b)) for one in theirs]


@pytest.mark.parametrize("spelling", ["SpotInkCharacterization", "SpotInkCharacterisation"])
def test_either_spelling_and_any_namespace(tmp_path: Path, spelling: str) -> None:
    text = ink_file(PATCHES, ink(*SETS)).replace("SpotInkCharacterisation SpotInk", f"{spelling} SpotInk")
    text = text.replace("</sic:SpotInkCharacterisation>", f"</sic:{spelling}>").replace(SIC, "urn:other")
    assert len(read_library(written(tmp_path, text)).colours[0].tints) == 3


def test_an_ink_by_its_spectra(tmp_path: Path) -> None:
    """Flat reflectance is grey of the lightness that its share is (CIE 15); of two spectra the one referred to counts."""
    lighter, meant = (
        reflecting(shares).replace("<cc:ReflectanceSpectrum", f'<cc:ReflectanceSpectrum Name="{name}"')
        for shares, name in ((2 * GREY, "M0"), (GREY, "M1"))
    )
    objects = patch("p", reflecting(np.full(36, 1.0))) + patch("f", lighter + meant)
    text = ink_file(objects, ink(at(0, "p"), at(100, "f", "M1")), seen_under("D50"))
    (colour,) = read_library(written(tmp_path, text)).colours
    assert colour.lab == pytest.approx((50, 0, 0), abs=1e-3)
    assert colour.tints[0].lab == pytest.approx((100, 0, 0), abs=1e-6)
    with pytest.raises(ColourFileError, match="none of its spectra is “M3”"):
        read_library(written(tmp_path, text.replace('NameRef="M1"', 'NameRef="M3"')))


def test_what_is_printed_over_black_is_set_aside(tmp_path: Path) -> None:
    over = ink(*SETS, more=f'<sic:MeasurementSet Background="Black">{at(100, "k")}</sic:MeasurementSet>')
    library = read_library(written(tmp_path, ink_file(PATCHES + patch("k", lab(20, -5, 3)), over)))
    assert [colour.lab for colour in library.colours] == [(60, -60, 40)]
    assert library.unread == ()


@pytest.mark.parametrize(
    ("custom", "told"),
    [
        ('<x:Settings xmlns:x="urn:x"/>', "the custom resource “Settings” is not read"),
        (ink(*SETS, more="<sic:Opacity/>"), "“Opacity” of “Lamp Green” is not read"),
        (ink(*SETS, "<sic:Density/>"), "“Density” of “Lamp Green” is not read"),
        (
            ink(*SETS, more='<sic:MeasurementSet Background="Foil"/>'),
            "measurements of “Lamp Green” on the background “Foil” are not read",
        ),
        (ink(*SETS, at(50, "p")), "“Lamp Green” is measured at 50 % again; the first measurement counts"),
    ],
)
def test_what_is_not_read_is_told_with_its_line(tmp_path: Path, custom: str, told: str) -> None:
    library = read_library(written(tmp_path, ink_file(PATCHES, custom)))
    assert library.colours
    assert library.unread == (f"line 1: {told}",)


@pytest.mark.parametrize(
    ("custom", "reason"),
    [
        (ink(at(50, "h")), "Lamp Green: it is not measured at full tint"),
        (ink(at(100, "none")), "it refers to the object “none”, which is not there"),
        (ink(at("most", "f")), "its tint “most” is no number from 0 to 100"),
        (ink(at(120, "f")), "its tint “120” is no number from 0 to 100"),
        (ink(at(100, "f"), name=""), "its ink has no name"),
        (ink(*SETS) + ink(*SETS), "it is characterised twice; the first counts"),
        (ink(at(100, "f"), at(30, "bad")), "at 30 % it has L 500"),
    ],
)
def test_an_ink_that_cannot_be_used_is_refused_with_its_reason(
    tmp_path: Path, custom: str, reason: str
) -> None:
    good = patch("g", lab(30, -5, -30), name="Deep Water") + patch("bad", lab(500, 0, 0), name="Off")
    library = read_library(written(tmp_path, ink_file(PATCHES + good, custom)))
    assert any(reason in f"{name}: {why}" for name, why in library.refused)
    assert "Deep Water" in [colour.name for colour in library.colours]


def of_spot(percent: object, name: str = "Lamp Green") -> str:
    """Device values of CxF3 that name a spot colour and its percentage (schema: colour-cxf, ColorCustom and SpotColorType)."""
    return (
        f'<cc:DeviceColorValues><cc:ColorCustom Name="{name}"><cc:SpotColor><cc:Name>{name}</cc:Name>'
        f"<cc:Percentage>{percent}</cc:Percentage></cc:SpotColor></cc:ColorCustom></cc:DeviceColorValues>"
    )


@pytest.mark.parametrize("full", [of_spot(100), ""], ids=["by its device values", "by its name"])
def test_tints_that_device_values_tell_of(tmp_path: Path, full: str) -> None:
    objects = patch("h", lab(80, -30, 20), of_spot(50), "Green 50") + patch("f", lab(60, -60, 40), full)
    library = read_library(written(tmp_path, ink_file(objects, "")))
    assert library.colours == (("Lamp Green", (60, -60, 40), ((0.5, (80, -30, 20)), (1, (60, -60, 40)))),)


def test_device_values_that_are_none(tmp_path: Path) -> None:
    objects = patch("h", lab(80, -30, 20), of_spot("half")) + patch("f", lab(60, -60, 40))
    library = read_library(written(tmp_path, ink_file(objects, "")))
    assert library.colours == (("Lamp Green", (60, -60, 40), ()),)
    assert "“half” is no number" in library.refused[0].reason
