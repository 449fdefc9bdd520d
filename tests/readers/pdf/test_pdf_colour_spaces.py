"""PDF colour spaces of every kind: numbers, paints, named colours, damage."""

from __future__ import annotations

import pikepdf
import pytest
from colour_bench import D50, TINT_TO_CMYK, Bench

from preflight.artwork.model import NoteKind, PaintKind

IDENTITY_LAB = "<< /FunctionType 2 /Domain [0 1] /C0 [100 0 0] /C1 [62 52 60] /N 1 >>"
SPOT = f"[/Separation /Ferry#20Red /DeviceCMYK {TINT_TO_CMYK}]"


@pytest.fixture
def bench() -> Bench:
    return Bench()


def icc(space: bytes) -> bytes:
    return bytes(16) + space + bytes(16) + b"acsp" + bytes(88)


@pytest.mark.parametrize(
    ("name", "initial", "values", "rgb"),
    [
        ("DeviceGray", (0,), (0.25,), (0.25, 0.25, 0.25)),
        ("DeviceRGB", (0, 0, 0), (0.1, 0.2, 0.3), (0.1, 0.2, 0.3)),
        ("DeviceCMYK", (0, 0, 0, 1), (0.1, 0.2, 0.3, 0.5), (0.45, 0.4, 0.35)),
    ],
)
def test_device_spaces(bench, name, initial, values, rgb):
    space = bench.colours.space_of(name, None)
    assert space.initial == initial
    paint = space.paint(values)
    assert (paint.kind, paint.spot, paint.inks) == (PaintKind.COLOR, None, ())
    assert paint.color.rgb == pytest.approx(rgb)
    assert paint.color.components == values
    assert space is bench.colours.space_of(pikepdf.Name(f"/{name}"), None)


def test_numbers_outside_a_space_are_brought_inside(bench):
    assert bench.colours.space_of("DeviceRGB", None).paint((-1, 0.5, 7)).color.components == (0, 0.5, 1)
    assert bench.said(NoteKind.FAULT) == []


@pytest.mark.parametrize("values", [(), (0.5,), (0.1, 0.2, 0.3, 0.4)])
def test_the_wrong_number_of_numbers_is_noted(bench, values):
    assert len(bench.colours.space_of("DeviceRGB", None).paint(values).color.components) == 3
    assert bench.said(NoteKind.FAULT) == ["colour"]


def test_calibrated_spaces_keep_their_numbers(bench):
    grey = bench.paint(f"[/CalGray << {D50} /Gamma 2.2 >>]", 0.5)
    assert (grey.color.space, grey.color.components) == ("cal-gray", (0.5,))
    assert grey.color.rgb == pytest.approx((0.504,) * 3, abs=0.002)
    rgb = bench.paint(f"[/CalRGB << {D50} >>]", 0.2, 0.4, 0.6)
    assert (rgb.color.space, rgb.color.components) == ("cal-rgb", (0.2, 0.4, 0.6))


def test_lab(bench):
    space = bench.space(f"[/Lab << {D50} /Range [-60 60 10 70] >>]")
    assert space.initial == (0, 0, 10)
    color = space.paint((50, -90, 90)).color
    assert (color.space, color.components) == ("lab", (50, -60, 70))
    assert bench.context.notes == []


def test_lab_of_another_white_is_told_relative_to_d50(bench):
    space = bench.space("[/Lab << /WhitePoint [0.9505 1 1.089] >>]")
    assert bench.said(NoteKind.ASSUMED) == ["lab white point"]
    assert space.paint((100, 0, 0)).color.components == pytest.approx((100, 0, 0), abs=0.02)
    assert space.paint((50, 40, -40)).color.components != pytest.approx((50, 40, -40), abs=0.5)


@pytest.mark.parametrize(
    ("letters", "entries", "values", "space", "rgb"),
    [
        (b"GRAY", "/N 1", (0.5,), "icc", (0.5, 0.5, 0.5)),
        (b"RGB ", "/N 3", (0.1, 0.2, 0.3), "icc", (0.1, 0.2, 0.3)),
        (b"CMYK", "/N 4", (0, 1, 0, 0), "icc", (1, 0, 1)),
        (b"CMYK", "/N 4 /Alternate /DeviceCMYK", (0, 1, 0, 0), "icc", (1, 0, 1)),
        (b"RGB ", "/N 3 /Range [0 2 0 2 0 2]", (0, 1, 2), "icc", (0, 0.5, 1)),
        (b"Lab ", "/N 3", (100, 0, 0), "lab", (1, 1, 1)),
        (b"Lab ", "/N 3 /Range [0 100 -128 127 -128 127]", (0, 0, 0), "lab", (0, 0, 0)),
    ],
)
def test_icc_profiles_keep_their_numbers(bench, letters, entries, values, space, rgb):
    color = bench.paint(f"[/ICCBased {bench.add(icc(letters), entries)}]", *values).color
    assert (color.space, color.components) == (space, values)
    assert color.rgb == pytest.approx(rgb, abs=1e-6)
    assert bench.context.notes == []


def test_an_icc_profile_is_shown_by_its_alternate(bench):
    profile = bench.add(icc(b"RGB "), "/N 3 /Range [0 100 -128 127 -128 127] /Alternate /ALT")
    bench.streams[0].Alternate = bench.object(f"[/Lab << {D50} /Range [-128 127 -128 127] >>]")
    color = bench.paint(f"[/ICCBased {profile}]", 100, 0, 0).color
    assert color.space == "icc"
    assert color.rgb == pytest.approx((1, 1, 1), abs=1e-3)


@pytest.mark.parametrize(
    ("data", "entries", "what"),
    [
        (b"no profile", "/N 3", "icc profile"),
        (icc(b"CMYK"), "/N 3", "icc profile"),
        (icc(b"RGB "), "/N 3 /Alternate [/Lab << >>]", "icc alternate"),
        (icc(b"RGB "), f"/N 3 /Alternate [/CalGray << {D50} >>]", "icc alternate"),
    ],
)
def test_damaged_profiles_are_noted_and_shown_all_the_same(bench, data, entries, what):
    color = bench.paint(f"[/ICCBased {bench.add(data, entries)}]", 0.2, 0.4, 0.6).color
    assert color.rgb == pytest.approx((0.2, 0.4, 0.6))
    assert bench.said(NoteKind.FAULT) == [what]


def test_a_packed_profile_is_read_no_further_than_its_header(bench):
    import zlib

    packed = zlib.compress(icc(b"CMYK") + bytes(5_000_000))
    bench.paint(f"[/ICCBased {bench.add(packed, '/N 4 /Filter /FlateDecode')}]", 0, 0, 0, 0)
    assert bench.context.notes == []


def test_indexed_colours(bench):
    space = bench.space("[/Indexed /DeviceRGB 2 <000000 336699 FFFFFF>]")
    assert (space.components, space.initial) == (1, (0.0,))
    assert space.paint((1,)).color.rgb == pytest.approx((0.2, 0.4, 0.6))
    assert space.paint((1.5,)).color.rgb == (1, 1, 1)
    assert space.paint((9,)).color.rgb == (1, 1, 1)
    assert bench.context.notes == []


def test_an_indexed_table_is_spread_over_the_ranges_of_its_base(bench):
    paint = bench.paint(f"[/Indexed [/Lab << {D50} /Range [-128 127 -128 127] >>] 0 <FF80FF>]", 0)
    assert paint.color.components == pytest.approx((100, 0, 127))


def test_an_indexed_table_in_a_stream_and_one_cut_short(bench):
    assert bench.paint(f"[/Indexed /DeviceGray 1 {bench.add(bytes([0, 255]))}]", 1).color.rgb == (1, 1, 1)
    assert bench.context.notes == []
    assert bench.paint("[/Indexed /DeviceRGB 1 <FFFFFF FF>]", 1).color.rgb == (1, 0, 0)
    assert bench.said(NoteKind.FAULT) == ["indexed table"]


def test_indexed_named_colours_stay_named(bench):
    paint = bench.paint(f"[/Indexed {SPOT} 1 <00 80>]", 1)
    assert paint.spot == "Ferry Red"
    assert paint.tint == pytest.approx(128 / 255)


def test_a_separation(bench):
    paint = bench.paint(SPOT, 0.5)
    assert (paint.kind, paint.spot, paint.tint) == (PaintKind.COLOR, "Ferry Red", 0.5)
    assert paint.inks == (("Ferry Red", 0.5),)
    assert paint.color.components == pytest.approx((0, 0.4, 0.3, 0))
    (spot,) = bench.colours.spots
    assert (spot.name, spot.definition, spot.alternate.space) == ("Ferry Red", "separation", "device-cmyk")
    assert spot.alternate.components == pytest.approx((0, 0.8, 0.6, 0))


def test_the_initial_tint_is_full_ink(bench):
    assert bench.space(SPOT).initial == (1.0,)


def test_a_separation_at_no_tint_still_is_that_colour(bench):
    paint = bench.paint(SPOT, 0)
    assert (paint.spot, paint.tint, paint.paints) == ("Ferry Red", 0, True)


@pytest.mark.parametrize(
    ("raw", "name"),
    [(b"/Kiss#20Cut", "Kiss Cut"), (b"/Stra#C3#9Fe", "Straße"), (b"/Caf#E9", "Café"), (b"/A#2FB", "A/B")],
)
def test_names_as_a_person_sees_them(bench, raw, name):
    assert bench.paint(b"[/Separation %s /DeviceCMYK %s]" % (raw, TINT_TO_CMYK.encode()), 1).spot == name
    assert [spot.name for spot in bench.colours.spots] == [name]


def test_where_a_named_colour_is_defined(bench):
    value = bench.pdf.make_indirect(bench.object(SPOT))
    bench.colours.space_of(value, None)
    (spot,) = bench.colours.spots
    assert spot.origin.object_number == value.objgen[0]


def test_process_separations_are_no_named_colours(bench):
    paint = bench.paint(f"[/Separation /Black /DeviceCMYK {TINT_TO_CMYK}]", 0.7)
    assert (paint.spot, paint.inks) == (None, (("Black", 0.7),))
    assert bench.spots == [("Black", "process colorant")]


@pytest.mark.parametrize(
    ("values", "spot", "tint"),
    [
        ((0, 1), "Kiss Cut", 1),
        ((0, 0.3), "Kiss Cut", 0.3),
        ((0.5, 1), None, 1),
        ((1, 0), None, 1),
        ((0, 0), None, 1),
    ],
)
def test_several_inks_have_a_name_only_where_one_is_laid_down(bench, values, spot, tint):
    program = bench.add(b"{ pop dup dup dup }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1 0 1]")
    paint = bench.paint(f"[/DeviceN [/Black /Kiss#20Cut] /DeviceCMYK {program}]", *values)
    assert (paint.spot, paint.tint) == (spot, tint)
    assert paint.inks == (("Black", values[0]), ("Kiss Cut", values[1]))
    assert bench.spots == [("Black", "process colorant"), ("Kiss Cut", "device-n colorant")]


def test_colorants_defined_by_themselves(bench):
    program = bench.add(b"{ add dup 0 0 }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1 0 1]")
    attributes = f"<< /Subtype /NChannel /Colorants << /Ferry#20Red {SPOT} >> >>"
    space = bench.space(f"[/DeviceN [/Ferry#20Red /Tea] /DeviceCMYK {program} {attributes}]")
    assert space.nchannel
    red, tea = bench.colours.spots
    assert red.alternate.components == pytest.approx((0, 0.8, 0.6, 0))
    assert tea.alternate.components == pytest.approx((1, 1, 0, 0))
    # The same separation, met alone, is the same colour, now by its own definition.
    bench.paint(SPOT, 1)
    assert bench.spots == [("Ferry Red", "separation"), ("Tea", "device-n colorant")]


def test_process_components_and_mixing_hints(bench):
    program = bench.add(b"{ pop dup dup }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1]")
    attributes = (
        "<< /Process << /ColorSpace /DeviceGray /Components [/Gray] >> "
        "/MixingHints << /Solidities << /Tea 0.9 /Default 0.1 >> /PrintingOrder [/Gray /Tea] >> >>"
    )
    space = bench.space(f"[/DeviceN [/Gray /Tea] /DeviceRGB {program} {attributes}]")
    assert [(ink.name, ink.process) for ink in space.colorants] == [("Gray", True), ("Tea", False)]
    assert space.hints.solidities == {"Tea": 0.9, "Default": 0.1}
    assert space.hints.printing_order == ("Gray", "Tea")


def test_none_among_other_inks_is_left_out_and_still_reaches_the_tint_transform(bench):
    # ISO 32000-1, 8.6.6.5: None is discarded when painting, but passed to the tint transform.
    program = bench.add(b"{ exch pop dup dup }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1]")
    paint = bench.paint(f"[/DeviceN [/Tea /None] /DeviceRGB {program}]", 1, 0.25)
    assert (paint.spot, paint.inks) == ("Tea", (("Tea", 1),))
    assert paint.color.rgb == pytest.approx((0.25,) * 3)
    assert bench.spots == [("Tea", "device-n colorant")]


@pytest.mark.parametrize(
    ("names", "attributes"),
    [("/Tea /Tea", ""), ("/Tea /All", ""), ("/Tea /None", "<< /Subtype /NChannel >>")],
)
def test_forbidden_names_are_noted(bench, names, attributes):
    program = bench.add(b"{ pop dup dup }", "/FunctionType 4 /Domain [0 1 0 1] /Range [0 1 0 1 0 1]")
    bench.space(f"[/DeviceN [{names}] /DeviceRGB {program} {attributes}]")
    assert bench.said(NoteKind.FAULT) == ["ink names"]


def test_one_name_with_two_definitions_is_kept_twice(bench):
    other = TINT_TO_CMYK.replace("0 0.8 0.6 0", "0 0.8 0.9 0")
    curved = TINT_TO_CMYK.replace("/N 1", "/N 3")
    rounded = TINT_TO_CMYK.replace("0.8", "0.8004")
    for transform in (TINT_TO_CMYK, rounded, other, curved, TINT_TO_CMYK):
        bench.space(f"[/Separation /Tea /DeviceCMYK {transform}]")
    assert bench.spots == [("Tea", "separation")] * 3
    bench.space(f"[/Separation /Tea [/Lab << {D50} >>] {IDENTITY_LAB}]")
    assert bench.colours.spots[-1].alternate.space == "lab"


@pytest.mark.parametrize(
    "tail",
    [
        "",
        "/DeviceCMYK",
        "/DeviceCMYK 7",
        "/DeviceCMYK << /FunctionType 2 /Domain [0 1] /N 1 >>",
        f"/Pattern {TINT_TO_CMYK}",
        f"[/Separation /Other /DeviceCMYK {TINT_TO_CMYK}] {TINT_TO_CMYK}",
        f"[/Indexed /DeviceGray 1 <00FF>] {TINT_TO_CMYK}",
        f"/Unheard {TINT_TO_CMYK}",
    ],
)
def test_a_separation_whose_look_is_broken_keeps_its_name(bench, tail):
    paint = bench.paint(f"[/Separation /Tea {tail}]", 0.25)
    assert (paint.spot, paint.tint, paint.inks) == ("Tea", 0.25, (("Tea", 0.25),))
    assert paint.color.space == "unknown"
    assert paint.color.rgb == pytest.approx((0.75,) * 3)
    assert bench.said(NoteKind.FAULT) == ["tint transform"]
    assert [(spot.name, spot.alternate) for spot in bench.colours.spots] == [("Tea", None)]


def test_a_tint_transform_that_fails_when_it_is_run(bench):
    program = bench.add(b"{ 0 div dup dup }", "/FunctionType 4 /Domain [0 1] /Range [0 1 0 1 0 1]")
    paint = bench.paint(f"[/Separation /Tea /DeviceRGB {program}]", 1)
    assert (paint.spot, paint.color.space) == ("Tea", "unknown")
    assert bench.said(NoteKind.FAULT) == ["tint transform"]


@pytest.mark.parametrize(
    "text",
    [
        "[]",
        "[7]",
        "[/Unheard 1 2]",
        "[/Separation 7 /DeviceGray 8]",
        "[/Separation]",
        "[/DeviceN /Tea /DeviceGray 8]",
        "[/DeviceN [] /DeviceGray 8]",
        "[/DeviceN [/Tea 7] /DeviceGray 8]",
        "[/ICCBased << /N 3 >>]",
        "[/Indexed /DeviceRGB 1]",
        "[/Indexed /DeviceRGB 256 <00>]",
        "[/Indexed /DeviceRGB 1 7]",
        "[/Indexed [/Indexed /DeviceRGB 0 <000000>] 0 <00>]",
        "[/Indexed /Pattern 0 <00>]",
        "[/Lab << >>]",
        "[/Lab 7]",
        "[/Lab << /WhitePoint [0 1 0] >>]",
        f"[/Lab << {D50} /Range [1 0 0 1] >>]",
        f"[/CalGray << {D50} /Gamma 0 >>]",
        f"[/CalRGB << {D50} /Gamma [1 1] >>]",
        f"[/CalRGB << {D50} /Matrix [1 2 3] >>]",
        "[/Pattern [/Pattern /DeviceRGB]]",
        "/Unheard",
        "7",
        "<< >>",
        "null",
    ],
)
def test_broken_spaces_are_noted_and_paint_in_an_unknown_colour(bench, text):
    paint = bench.paint(text, 0.5, 0.5)
    assert paint.kind is PaintKind.UNKNOWN
    assert bench.said(NoteKind.FAULT) == ["colour space"]


def test_spaces_that_hold_themselves_are_refused(bench):
    value = bench.pdf.make_indirect(bench.object("[/Indexed /DeviceRGB 1 <000000>]"))
    value[1] = value
    assert bench.colours.space_of(value, None).name == "unknown"
    profile = bench.add(icc(b"RGB "), "/N 3")
    looped = bench.pdf.make_indirect(bench.object(f"[/ICCBased {profile}]"))
    bench.streams[0].Alternate = looped
    assert bench.colours.space_of(looped, None).name == "icc"
    resources = bench.resources("/CS0 /CS1 /CS1 /CS0")
    assert bench.colours.space_of("CS0", resources).name == "unknown"
    assert bench.said(NoteKind.FAULT) == ["colour space", "icc alternate", "colour space"]


def test_names_in_the_resources(bench):
    resources = bench.resources(f"/CS0 {SPOT} /CS1 /DeviceCMYK")
    assert bench.colours.space_of("CS0", resources).paint((1,)).spot == "Ferry Red"
    assert bench.colours.space_of("CS1", resources).name == "device-cmyk"
    assert bench.colours.space_of("CS2", resources).name == "unknown"


def test_spaces_that_are_defined_and_not_used(bench):
    bench.colours.collect(
        bench.resources(f"/A {SPOT} /B [/Separation /All /DeviceGray 0] /C /DeviceRGB /D 7")
    )
    assert bench.spots == [("Ferry Red", "separation"), ("All", "all colorants")]


def test_default_spaces_stand_for_device_spaces(bench):
    profile = bench.add(icc(b"CMYK"), "/N 4")
    resources = bench.resources(
        f"/DefaultCMYK [/ICCBased {profile}] /CS0 {SPOT} /CS1 [/Indexed /DeviceCMYK 0 <00000000>]"
    )
    assert bench.colours.space_of("DeviceCMYK", resources).name == "icc"
    assert bench.colours.space_of("DeviceRGB", resources).name == "device-rgb"
    assert bench.colours.space_of("CS0", resources).paint((1,)).color.space == "icc"
    assert bench.colours.space_of("CS1", resources).paint((0,)).color.space == "icc"
    assert bench.colours.space_of("DeviceCMYK", None).name == "device-cmyk"


def test_default_spaces_do_not_stand_for_themselves(bench):
    profile = bench.add(icc(b"RGB "), "/N 3 /Alternate /DeviceRGB")
    resources = bench.resources(f"/DefaultRGB [/ICCBased {profile}] /DefaultGray /DeviceGray")
    assert bench.colours.space_of("DeviceRGB", resources).paint((1, 0, 0)).color.rgb == (1, 0, 0)
    assert bench.colours.space_of("DeviceGray", resources).name == "device-gray"


@pytest.mark.parametrize(
    "default",
    ["/DefaultRGB [/Separation /A /DeviceGray 0]", f"/DefaultRGB [/Lab << {D50} >>]", "/DefaultRGB 7"],
)
def test_default_spaces_of_the_wrong_kind_are_left_out(bench, default):
    assert bench.colours.space_of("DeviceRGB", bench.resources(default)).name == "device-rgb"
    assert "colour space" in bench.said(NoteKind.FAULT)


@pytest.mark.parametrize(
    ("name", "space"), [("G", "device-gray"), ("RGB", "device-rgb"), ("CMYK", "device-cmyk")]
)
def test_abbreviations_of_inline_images(bench, name, space):
    assert bench.colours.space_of(name, None, inline=True).name == space
    assert bench.context.notes == []
    assert bench.colours.space_of(name, None).name == space
    assert bench.said(NoteKind.FAULT) == ["colour space"]


def test_an_inline_image_may_spell_out_an_indexed_space(bench):
    space = bench.colours.space_of(["I", "RGB", 1.0, bytes([0, 0, 0, 255, 128, 0])], None, inline=True)
    assert space.paint((1,)).color.rgb == pytest.approx((1, 128 / 255, 0))
    assert bench.context.notes == []


def test_pattern_spaces(bench):
    assert bench.colours.space_of("Pattern", None).base is None
    space = bench.space(f"[/Pattern {SPOT}]")
    assert (space.name, space.base.name) == ("pattern", "separation")
    assert bench.spots == [("Ferry Red", "separation")]
