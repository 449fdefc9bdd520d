"""PDF functions and colour spaces against ISO 32000-1 worked by hand, and against the pixels PDFium paints.

Clause numbers are those of ISO 32000-1:2008; what All, None and DeviceN mean was read in PDF Reference 1.7, pages 265 to 271.
"""

from __future__ import annotations

import io
import random

import numpy as np
import pikepdf
import pypdfium2
import pytest

from preflight.artwork.model import PaintKind
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.functions.reading import FunctionError, function_of

D50 = "/WhitePoint [0.9642 1 0.8249]"
D65 = "/WhitePoint [0.9505 1 1.089]"


@pytest.fixture
def pdf() -> pikepdf.Pdf:
    return pikepdf.new()


def function(pdf: pikepdf.Pdf, text: str, data: bytes | None = None):
    value = pikepdf.Object.parse(text.encode())
    if data is not None:
        value = pikepdf.Stream(pdf, data, value)
    return function_of(value, Streams(Limits(), Deadline(60)))


def colours(pdf: pikepdf.Pdf) -> Colours:
    limits, deadline = Limits(), Deadline(60)
    return Colours(Context(pdf, 1, limits, deadline, Streams(limits, deadline)))


def test_sampled_function_7_10_2(pdf):
    # 7.10.2, worked by hand. x = 0.3 in Domain [-1 1], Encode default [0 2]: e = (0.3 + 1) / 2 * 2 = 1.3, between
    # samples 1 (15) and 2 (0) of 4 bits: 15 - 0.3 * 15 = 10.5; Decode default = Range [-2 1]: -2 + 10.5 / 15 * 3 = 0.1.
    found = function(
        pdf,
        "<< /FunctionType 0 /Domain [-1 1] /Range [-2 1] /Size [3] /BitsPerSample 4 >>",
        bytes([0x0F, 0x00]),
    )
    assert found([0.3]) == pytest.approx([0.1])


def test_exponential_function_7_10_3(pdf):
    # 7.10.3: y = C0 + x^N (C1 - C0). x = 0.25, N = 0.5: x^N = 0.5; 0.2 + 0.5 * (0.8 - 0.2) = 0.5; 1 + 0.5 * (0 - 1) = 0.5.
    found = function(pdf, "<< /FunctionType 2 /Domain [0 1] /C0 [0.2 1] /C1 [0.8 0] /N 0.5 >>")
    assert found([0.25]) == pytest.approx([0.5, 0.5])


def test_stitching_function_7_10_4(pdf):
    # 7.10.4: x = 0.7 lies in the second part, [0.6 1], encoded to [1 0]: 1 + (0.7 - 0.6) / 0.4 * (0 - 1) = 0.75;
    # the part is y = x^2: 0.5625. A bound belongs to the part above: x = 0.6 -> 1 -> 1.
    part = "<< /FunctionType 2 /Domain [0 1] /N {} >>"
    found = function(
        pdf,
        f"<< /FunctionType 3 /Domain [0 1] /Bounds [0.6] /Encode [0 1 1 0] "
        f"/Functions [{part.format(1)} {part.format(2)}] >>",
    )
    assert found([[0.7], [0.6], [0.3]])[:, 0] == pytest.approx([0.5625, 1.0, 0.5])


def test_calculator_function_7_10_5(pdf):
    # 7.10.5.2: { 360 mul sin 2 div exch 360 mul sin 2 div add } is the standard's own example of a spot function.
    # By hand at (x, y) = (1/12, 1/4): y: sin 90° / 2 = 0.5, x: sin 30° / 2 = 0.25, sum 0.75.
    found = function(
        pdf,
        "<< /FunctionType 4 /Domain [-1 1 -1 1] /Range [-1 1] >>",
        b"{ 360 mul sin\n2 div\nexch 360 mul sin\n2 div\nadd\n}",
    )
    assert found([1 / 12, 1 / 4]) == pytest.approx([0.75])


def test_results_are_clipped_to_the_range_7_10_1(pdf):
    found = function(pdf, "<< /FunctionType 2 /Domain [0 0.5] /Range [0.1 0.4] /N 1 >>")
    assert found([[-1.0], [0.2], [0.9]])[:, 0] == pytest.approx([0.1, 0.2, 0.4])


def space(pdf: pikepdf.Pdf, text: str):
    return colours(pdf).space_of(pikepdf.Object.parse(text.encode()), None)


def test_all_means_every_colorant_8_6_6_4(pdf):
    # The alternate, red here, is ignored; the screen shows ink on every plate. Initial tint 1.0.
    red = "/DeviceRGB << /FunctionType 2 /Domain [0 1] /C0 [1 1 1] /C1 [1 0 0] /N 1 >>"
    all_ = space(pdf, f"[/Separation /All {red}]")
    paint = all_.paint(all_.initial)
    assert (paint.spot, paint.tint, paint.inks) == ("All", 1.0, (("All", 1.0),))
    assert paint.color.rgb == (0, 0, 0)
    assert all_.paint((0.0,)).color.rgb == (1, 1, 1)


def test_none_paints_nothing_8_6_6_4(pdf):
    none = space(pdf, "[/Separation /None /DeviceGray << /FunctionType 2 /Domain [0 1] /N 1 >>]")
    paint = none.paint(none.initial)
    assert (paint.kind, paint.paints, paint.inks) == (PaintKind.NONE, False, ())
    assert none.spots() == ()


def test_device_n_of_none_alone_paints_nothing_8_6_6_5(pdf):
    none = space(pdf, "[/DeviceN [/None /None] /DeviceGray 0]")
    assert none.paint(none.initial).paints is False


@pytest.mark.parametrize(
    ("name", "initial"),
    [
        # 8.6.4.2 to 8.6.4.4: "the initial colour value" of the device spaces; 8.6.6.4: 1.0 of a separation.
        ("/DeviceGray", (0,)),
        ("/DeviceRGB", (0, 0, 0)),
        ("/DeviceCMYK", (0, 0, 0, 1)),
        ("[/Separation /Tea /DeviceGray << /FunctionType 2 /Domain [0 1] /N 1 >>]", (1,)),
        (f"[/Lab << {D50} /Range [5 50 -50 -5] >>]", (0, 5, -5)),
    ],
)
def test_initial_colours(pdf, name, initial):
    assert space(pdf, name).initial == initial


def linear(start: str, end: str) -> str:
    return f"<< /FunctionType 2 /Domain [0 1] /C0 [{start}] /C1 [{end}] /N 1 >>"


SPACES = {
    "Grey": "/DeviceGray",
    "Rgb": "/DeviceRGB",
    "CalGrey": f"[/CalGray << {D50} /Gamma 2.2 >>]",
    "CalRgb": (
        f"[/CalRGB << {D65} /Gamma [2.2 2.2 2.2] "
        "/Matrix [0.4124 0.2126 0.0193 0.3576 0.7152 0.1192 0.1805 0.0722 0.9505] >>]"
    ),
    "Lab": f"[/Lab << {D65} /Range [-128 127 -128 127] >>]",
    "Spot": f"[/Separation /Ferry#20Red /DeviceRGB {linear('1 1 1', '0.8 0 0.2')}]",
    "LabSpot": f"[/Separation /Tea [/Lab << {D65} /Range [-128 127 -128 127] >>] {linear('100 0 0', '60 20 30')}]",
    "All": f"[/Separation /All /DeviceGray {linear('1', '0')}]",
    "Indexed": "[/Indexed /DeviceRGB 1 <336699 CC8811>]",
    "Cmyk": "/DeviceCMYK",
}
# A pixel is rounded to 1/255: 1. PDFium's own Lab is a little yellow in its greys (80, 0, 0 gives 200, 198, 198): 3.
PATCHES = [
    ("Grey", (0.3,), 1),
    ("Rgb", (0.1, 0.5, 0.9), 1),
    ("CalGrey", (0.5,), 1),
    ("CalRgb", (0.2, 0.5, 0.8), 1),
    ("CalRgb", (1.0, 0.0, 0.0), 1),
    ("Lab", (50.0, 20.0, -30.0), 3),
    ("Lab", (80.0, 0.0, 0.0), 3),
    ("Spot", (1.0,), 1),
    ("Spot", (0.5,), 1),
    ("LabSpot", (1.0,), 3),
    ("LabSpot", (0.4,), 3),
    ("All", (0.6,), 1),
    ("Indexed", (0,), 1),
    ("Indexed", (1,), 1),
    ("Cmyk", (0.0, 0.0, 0.0, 0.0), 1),
    # DeviceCMYK has no one look (8.6.4.4): PDFium has a press in mind, here it is the naive formula of CSS
    # Color 4. They part by up to 115 of 255 (magenta: 237, 2, 140 against 255, 0, 255); only the rough hue is held against it.
    ("Cmyk", (1.0, 0.0, 0.0, 0.0), 120),
    ("Cmyk", (0.0, 1.0, 0.0, 0.0), 120),
    ("Cmyk", (0.0, 0.0, 1.0, 0.0), 120),
    ("Cmyk", (0.0, 0.0, 0.0, 1.0), 120),
]


def patches(pdf: pikepdf.Pdf) -> tuple[np.ndarray, Resources]:
    """RGB pixels of one patch after another as PDFium paints them, and the resources they were painted with."""
    page = pdf.add_blank_page(page_size=(10 * len(PATCHES), 10))
    page.Resources = pikepdf.Dictionary(
        ColorSpace=pikepdf.Dictionary(
            {f"/{name}": pikepdf.Object.parse(text.encode()) for name, text in SPACES.items()}
        )
    )
    page.Contents = pdf.make_stream(
        "\n".join(
            f"/{name} cs {' '.join(map(str, values))} sc {10 * place} 0 10 10 re f"
            for place, (name, values, _) in enumerate(PATCHES)
        ).encode()
    )
    held = io.BytesIO()
    pdf.save(held)
    document = pypdfium2.PdfDocument(held.getvalue())
    try:
        pixels = document[0].render(scale=1).to_numpy()[5, 5::10, ::-1].astype(float)
    finally:
        document.close()
    return pixels, Resources(page.Resources)


def test_screen_colours_against_pixels_of_pdfium(pdf):
    pixels, resources = patches(pdf)
    ours = colours(pdf)
    for (name, values, within), pixel in zip(PATCHES, pixels, strict=True):
        rgb = np.clip(ours.space_of(name, resources).paint(values).color.rgb, 0, 1) * 255
        assert np.abs(rgb - pixel).max() <= within, (name, values, rgb, pixel)


def random_program(choice: random.Random, depth: int) -> str:
    """A program that takes one number and leaves one, of most operators of table 42."""
    if depth <= 0:
        return ""
    kind = choice.random()
    if kind < 0.4:
        words = ["abs", "neg", "ceiling", "floor", "round", "truncate", "sqrt", "sin", "cos", "cvr", "cvi"]
        step = choice.choice([*words, "dup mul", "360 mul sin"])
    elif kind < 0.55:
        by, word = (
            choice.choice(["0.3", "2", "1.7", "-0.25"]),
            choice.choice(["add", "sub", "mul", "div", "atan", "exp"]),
        )
        step = f"dup {by} mul exch {word}"
    elif kind < 0.7:
        step = f"{choice.uniform(-2, 2):.2f} {choice.choice(['add', 'sub', 'mul', 'div'])}"
    elif kind < 0.85:
        test = choice.choice(["gt", "ge", "lt", "le", "eq", "ne"])
        step = f"dup {choice.random():.2f} {test} {{ {random_program(choice, depth - 2)} }} {{ 1 exch sub }} ifelse"
    else:
        step = f"0.2 exch 0.7 3 {choice.choice(['1', '-1', '2'])} roll add exch sub"
    return f"{step} {random_program(choice, depth - 1)}"


def random_function(choice: random.Random, pdf: pikepdf.Pdf) -> pikepdf.Object:
    """A function of one number, of any type."""
    kind = choice.choice([0, 2, 3, 4, 4, 4])
    head = f"/FunctionType {kind} /Domain [0 1] /Range [0 1]"
    if kind == 0:
        bits, size = choice.choice([1, 2, 4, 8, 12, 16, 24, 32]), choice.randint(2, 9)
        encode = choice.choice(["", f"/Encode [{size - 1} 0]", "/Decode [0.9 0.1]"])
        head += f" /Size [{size}] /BitsPerSample {bits} {encode}"
        return pikepdf.Stream(pdf, choice.randbytes(size * 4), pikepdf.Object.parse(f"<< {head} >>".encode()))
    if kind == 4:
        text = f"{{ {random_program(choice, 4)} }}"
        return pikepdf.Stream(pdf, text.encode(), pikepdf.Object.parse(f"<< {head} >>".encode()))
    ends = [
        f"/C0 [{choice.random():.2f}] /C1 [{choice.random():.2f}] /N {choice.uniform(0.3, 4):.2f}"
        for _ in range(3)
    ]
    if kind == 2:
        return pikepdf.Object.parse(f"<< {head} {ends[0]} >>".encode())
    parts = " ".join(f"<< /FunctionType 2 /Domain [0 1] {one} >>" for one in ends)
    encode = choice.choice(["0 1 0 1 0 1", "1 0 0 1 0.2 0.8"])
    return pikepdf.Object.parse(
        f"<< {head} /Bounds [0.3 0.55] /Encode [{encode}] /Functions [{parts}] >>".encode()
    )


def test_functions_made_at_random_against_pixels_of_pdfium(pdf):
    choice = random.Random(7102)  # noqa: S311 - nothing secret
    page = pdf.add_blank_page(page_size=(400, 10))
    streams = Streams(Limits(), Deadline(60))
    spaces, painted, expected = pikepdf.Dictionary(), [], []
    for place in range(400):
        made, tint = pdf.make_indirect(random_function(choice, pdf)), round(choice.random(), 3)
        spaces[f"/C{place}"] = pikepdf.Array(
            [pikepdf.Name.Separation, pikepdf.Name(f"/Ink{place}"), pikepdf.Name.DeviceGray, made]
        )
        painted.append(f"/C{place} cs {tint} sc {place} 0 1 10 re f")
        try:
            expected.append(function_of(made, streams)([tint])[0] * 255)
        except FunctionError:  # a program that divides by 0 or the like: PDFium goes on with some number
            expected.append(np.nan)
    page.Resources = pikepdf.Dictionary(ColorSpace=spaces)
    page.Contents = pdf.make_stream("\n".join(painted).encode())
    held = io.BytesIO()
    pdf.save(held)
    document = pypdfium2.PdfDocument(held.getvalue())
    try:
        pixels = document[0].render(scale=1).to_numpy()[5, :, 0].astype(float)
    finally:
        document.close()
    apart = np.abs(pixels - np.array(expected))
    assert np.isnan(apart).sum() < 20
    assert np.nanmax(apart) <= 1.01


def test_none_leaves_the_paper_in_pdfium_too(pdf):
    page = pdf.add_blank_page(page_size=(10, 10))
    text = f"<< /ColorSpace << /N [/Separation /None /DeviceGray {linear('1', '0')}] >> >>"
    page.Resources = pikepdf.Object.parse(text.encode())
    page.Contents = pdf.make_stream(b"/N cs 1 sc 0 0 10 10 re f")
    held = io.BytesIO()
    pdf.save(held)
    document = pypdfium2.PdfDocument(held.getvalue())
    try:
        pixels = document[0].render(scale=1).to_numpy()
    finally:
        document.close()
    assert (pixels == 255).all()
    assert not colours(pdf).space_of("N", Resources(page.Resources)).paint((1.0,)).paints
