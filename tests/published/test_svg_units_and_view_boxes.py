"""SVG's own figures; the source stands beside each table."""

from __future__ import annotations

import pytest

from preflight.readers.limits import Limits
from preflight.readers.svg.read import read
from preflight.readers.svg.units import parse_length, to_px
from preflight.readers.svg.viewport import ViewBox, view_box_matrix


# CSS Values 3, 6.2 and svgwg coords.html, "Units": an inch is 96 px; 1 pt = 1/72 in, 1 pc = 12 pt, 1 Q = 1/40 cm.
@pytest.mark.parametrize(
    ("text", "pixels"),
    [
        ("1px", 1),
        ("1", 1),
        ("1in", 96),
        ("2.54cm", 96),
        ("25.4mm", 96),
        ("1mm", 3.779528),
        ("1pt", 1.333333),
        ("1pc", 16),
        ("40Q", 37.795276),
        ("1e1PX", 10),
        ("50%", 100),
        ("2em", 20),
    ],
)
def test_units(text: str, pixels: float) -> None:
    length = parse_length(text)
    assert length is not None
    assert to_px(length, 200, font_size=10) == pytest.approx(pixels, abs=1e-6)


@pytest.mark.parametrize("text", ["", "mm", "1 2", "1furlong", "nan", "inf", "1e999", "0x10"])
def test_no_lengths(text: str) -> None:
    assert parse_length(text) is None


PORTRAIT = ViewBox(0, 0, 30, 40)
WIDE = ViewBox(0, 0, 1500, 1000)


# svgwg coords.html, "Computing the equivalent transform of an SVG viewport", with the figures of its examples.
@pytest.mark.parametrize(
    ("box", "width", "height", "fitting", "expected"),
    [
        (WIDE, 300, 200, "none", (0.2, 0.2, 0, 0)),
        (WIDE, 150, 200, "none", (0.1, 0.2, 0, 0)),
        (PORTRAIT, 50, 30, "xMinYMid meet", (0.75, 0.75, 0, 0)),
        (PORTRAIT, 50, 30, "xMidYMid meet", (0.75, 0.75, 13.75, 0)),
        (PORTRAIT, 50, 30, "xMaxYMid", (0.75, 0.75, 27.5, 0)),
        (PORTRAIT, 30, 60, "xMidYMin meet", (1, 1, 0, 0)),
        (PORTRAIT, 30, 60, None, (1, 1, 0, 10)),
        (PORTRAIT, 30, 60, "xMidYMax", (1, 1, 0, 20)),
        (PORTRAIT, 30, 60, "xMinYMid slice", (1.5, 1.5, 0, 0)),
        (PORTRAIT, 30, 60, "xMidYMid slice", (1.5, 1.5, -7.5, 0)),
        (PORTRAIT, 30, 60, "xMaxYMid slice", (1.5, 1.5, -15, 0)),
        (PORTRAIT, 50, 30, "xMidYMin slice", (1.66667, 1.66667, 0, 0)),
        (PORTRAIT, 50, 30, "xMidYMid slice", (1.66667, 1.66667, 0, -18.3333)),
        (PORTRAIT, 50, 30, "xMidYMax slice", (1.66667, 1.66667, 0, -36.6667)),
        (ViewBox(0, 0, 200, 200), 377.952756, 188.976378, None, (0.944882, 0.944882, 94.488189, 0)),
        (PORTRAIT, 30, 60, "nonsense", (1, 1, 0, 10)),
    ],
)
def test_view_boxes(
    box: ViewBox, width: float, height: float, fitting: str | None, expected: tuple[float, ...]
) -> None:
    a, b, c, d, e, f = view_box_matrix(box, width, height, fitting)
    assert (a, d, e, f) == pytest.approx(expected, abs=1e-4)
    assert b == c == 0


def test_percentages_in_neither_direction_are_of_the_diagonal() -> None:
    # coords.html, "Units": 1 % of 4000 × 2000 is 31.62.
    data = b'<svg xmlns="http://www.w3.org/2000/svg" width="4000" height="2000"><path stroke="red" stroke-width="1%" d="M0 0h9"/></svg>'
    artwork = read(data, "percent.svg", Limits(), None)[0]
    assert artwork.objects[0].stroke.width == pytest.approx(31.6228 * 25.4 / 96, abs=1e-4)


@pytest.mark.parametrize(
    ("paint", "space", "spot"),
    [
        # W3C SVG Color 1.2 draft and SVG 1.1 color.html.
        ("#CD853F icc-color(housecmyk, 0.11, 0.48, 0.83, 0.00)", "icc", "housecmyk"),
        ("#CD853F icc-named-color(house, Tea Room Green)", "icc", "Tea Room Green"),
        ("#CD853F cielab(62.253188, 23.950124, 48.410653)", "lab", None),
        ("#CD853F device-cmyk(0.11, 0.48, 0.83, 0.00)", "device-cmyk", None),
    ],
)
def test_colours_with_a_fallback_before_them(paint: str, space: str, spot: str | None) -> None:
    data = f'<svg xmlns="http://www.w3.org/2000/svg"><path fill="{paint}" d="M0 0h9v9z"/></svg>'
    fill = read(data.encode(), "icc.svg", Limits(), None)[0].objects[0].fill
    assert fill.color is not None
    assert fill.color.rgb == pytest.approx((205 / 255, 133 / 255, 63 / 255))
    assert (fill.color.space, fill.spot) == (space, spot)
    assert len(fill.color.components) in (0, 3, 4)


def test_solid_color_and_one_stop_gradient_name_a_colour() -> None:
    # SVG Tiny 1.2, 11.2: solidColor is a paint server named by its id; the one-stop gradient is our own reading.
    data = b"""<svg xmlns="http://www.w3.org/2000/svg"><solidColor id="Kiss_x20_Cut" solid-color="#f0f"/>
      <linearGradient id="sea"><stop stop-color="#0000ff" stop-opacity=".5"/></linearGradient><linearGradient id="b" href="#sea"/>
      <path fill="url(#Kiss_x20_Cut)" stroke="url(#b)" d="M0 0h9v9z"/></svg>"""
    artwork = read(data, "swatch.svg", Limits(), None)[0]
    one = artwork.objects[0]
    assert (one.fill.spot, one.stroke.paint.spot) == ("Kiss Cut", "sea")
    assert one.stroke.paint.color is not None
    assert one.stroke.paint.color.alpha == 0.5
    assert [(spot.name, spot.definition) for spot in artwork.spots] == [
        ("Kiss Cut", "solidColor"),
        ("sea", "one-stop gradient"),
    ]
