"""CSS Color 4 against published values; the source stands beside each."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from preflight.colour import spaces
from preflight.colour.css import parse_color
from preflight.colour.names import NAMED_COLORS

GREEN = (0, 128 / 255, 0)


def rgb_of(text: str) -> tuple[float, float, float]:
    color = parse_color(text)
    assert color is not None, text
    return color.rgb


# Computed from csswg-drafts conversions.js (4.6).
@pytest.mark.parametrize(
    ("text", "lab"),
    [
        ("white", (100, 0, 0)),
        ("#f00", (54.2905, 80.8049, 69.8910)),
        ("#0f0", (87.8185, -79.2711, 80.9946)),
        ("#00f", (29.5683, 68.2874, -112.0297)),
        ("#0ff", (90.6660, -50.6565, -14.9617)),
        ("#f0f", (60.1689, 93.5396, -60.5008)),
        ("#ff0", (97.6070, -15.7498, 93.3936)),
        ("#808080", (53.5850, 0, 0)),
        ("#008000", (46.2777, -47.5524, 48.5863)),
        ("rebeccapurple", (32.3927, 38.4230, -47.6911)),
    ],
)
def test_lab_of_srgb_and_back(text: str, lab: tuple[float, float, float]) -> None:
    assert spaces.srgb_to_lab(rgb_of(text)) == pytest.approx(lab, abs=1e-3)
    assert spaces.lab_to_srgb(lab) == pytest.approx(rgb_of(text), abs=1e-5)


@pytest.mark.parametrize(
    ("text", "rgb", "within"),
    [
        # wpt css/css-color/lab-001.html; older matrices, hence the tolerance (4.7).
        ("lab(46.277 -47.562 48.583)", GREEN, 0.02),
        # wpt css/css-color/predefined-005.html (4.7).
        ("color(display-p3 0.21508071610847918 0.4922429411940395 0.13085464082643297)", (0, 0.5, 0), 0.002),
        # A public CSS colour parser's test (4.7), within 1/255.
        ("lab(29.2345% 39.3825 20.0664)", (0x7D / 255, 0x23 / 255, 0x29 / 255), 1 / 255),
        # csswg-drafts workings/Macbeth.txt (4.9).
        (
            "device-cmyk(0.095888 0.773688 0.462167 0.120127)",
            (0.795503737776, 0.199125818376, 0.473224735209),
            1e-9,
        ),
        # By definition of each syntax (CSS Color 4, sections 5 to 10).
        ("hsl(120deg 100% 25%)", (0, 0.5, 0), 1e-9),
        ("hsla(0.5turn, 100%, 50%, .5)", (0, 1, 1), 1e-9),
        ("hwb(120 0% 50%)", (0, 0.5, 0), 1e-9),
        ("rgb(0 50% 0 / 40%)", (0, 0.5, 0), 1e-9),
        ("rgba(0,128,0,.1)", GREEN, 1e-9),
        ("#0F0c", (0, 1, 0), 1e-9),
        ("#00ff00cc", (0, 1, 0), 1e-9),
        ("color(srgb-linear 1 1 1)", (1, 1, 1), 1e-6),
        ("color(a98-rgb 1 1 1)", (1, 1, 1), 1e-6),
        ("color(prophoto-rgb 1 1 1)", (1, 1, 1), 1e-6),
        ("color(rec2020 1 1 1)", (1, 1, 1), 1e-6),
        ("color(xyz-d50 0.9642956764295677 1 0.8251046025104602)", (1, 1, 1), 1e-6),
        ("oklab(1 0 0)", (1, 1, 1), 1e-6),
        ("oklch(100% 0 none)", (1, 1, 1), 1e-6),
        ("lch(100% 0 90)", (1, 1, 1), 1e-6),
    ],
)
def test_syntaxes(text: str, rgb: tuple[float, float, float], within: float) -> None:
    assert rgb_of(text) == pytest.approx(rgb, abs=within)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "#12",
        "#",
        "#12345",
        "#1234567",
        "#123456789",
        "#ggg",
        "#1 2",
        "#12 345",
        "#-12",
        "#１２３",
        "#²³¹",
        "rgb(1 2)",
        "rgb(1,2,3,4,5)",
        "lab(1px 2 3)",
        "color(nowhere 1 1 1)",
        "currentcolor",
        "url(#a)",
    ],
)
def test_no_colours(text: str) -> None:
    assert parse_color(text) is None


def test_names() -> None:
    # 147 of SVG 1.1 and rebeccapurple (4.11); case does not matter.
    assert len(NAMED_COLORS) == 148
    assert rgb_of("CyAn") == rgb_of("aqua")
    assert rgb_of("grey") == rgb_of("gray")
    transparent = parse_color("transparent")
    assert transparent is not None
    assert transparent.alpha == 0


TABLE = Path(__file__).parents[3] / "shared" / "reference" / "csswg_macbeth.csv"


@pytest.mark.skipif(not TABLE.exists(), reason="the reference table is not beside the project")
def test_colour_checker() -> None:
    """csswg-drafts workings/Macbeth.txt: 24 patches, largest difference 2.6e-4 (4.8)."""
    with TABLE.open(newline="") as opened:
        rows = list(csv.DictReader(opened))
    assert len(rows) == 24
    for row in rows:
        lab = (float(row["L"]), float(row["a"]), float(row["b"]))
        rgb = (float(row["sR"]), float(row["sG"]), float(row["sB"]))
        assert spaces.lab_to_srgb(lab) == pytest.approx(rgb, abs=3e-4)
