"""What a named colour of a file stands for, and how far that can be believed."""

from __future__ import annotations

import pytest

from preflight.artwork import Color
from preflight.engine import Engine
from preflight.job.colours.shop import Shop, shop_of
from preflight.job.colours.sources import Source, colour_of
from preflight.profile import Profile


@pytest.fixture(scope="module")
def shop() -> Shop:
    return shop_of(Profile.default())


@pytest.mark.parametrize(
    ("color", "lab", "source"),
    [
        (Color((0, 0, 0), space="lab", components=(62, 52, 60)), (62, 52, 60), Source.LAB),
        (Color((0, 0, 0), space="lch", components=(50, 10, 90)), (50, 0, 10), Source.LAB),
        # sRGB red: worked out from IEC 61966-2-1 and the Bradford matrix of CSS Color 4.
        (Color((1, 0, 0), space="srgb", components=(1, 0, 0)), (54.2905, 80.8049, 69.8910), Source.SCREEN),
        (
            Color((1, 0, 0), space="device-rgb", components=(1, 0, 0)),
            (54.2905, 80.8049, 69.8910),
            Source.SCREEN,
        ),
        # Bare paper is white, relative to itself.
        (Color((1, 1, 1), space="device-cmyk", components=(0, 0, 0, 0)), (100, 0, 0), Source.PROCESS),
        (Color((1, 1, 1), space="device-gray", components=(1,)), (100, 0, 0), Source.PROCESS),
        # FOGRA39L black relative to its paper: its XYZ divided by the paper's gives 17.44 / 0 / 0.60.
        (Color((0, 0, 0), space="device-gray", components=(0,)), (17.44, 0, 0.6), Source.PROCESS),
        (Color((0, 0, 0), space="icc", components=(0, 0, 0, 1)), (17.44, 0, 0.6), Source.PROCESS),
        (Color((0.5, 0.5, 0.5), space="unknown"), None, Source.NOTHING),
        (None, None, Source.NOTHING),
    ],
)
def test_lab_of_a_colour_of_the_file(
    shop: Shop, color: Color | None, lab: tuple[float, float, float] | None, source: Source
) -> None:
    found, told = colour_of(color, shop)
    assert told is source
    assert found == (None if lab is None else pytest.approx(lab, abs=0.1))


def test_the_names_in_use_are_those_that_art_prints() -> None:
    """Steps, white, hidden art and swatches that nothing is painted with are none of them."""
    swatches = "".join(
        f'<linearGradient id="s{number}" data-name="{name}"><stop stop-color="#d05a2a"/></linearGradient>'
        for number, name in enumerate(["Rust", "Kiss Cut", "White", "Hidden", "Unused", "Edge"])
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40"><defs>{swatches}</defs>'
        '<rect width="9" height="9" fill="url(#s0)" stroke="url(#s5)"/><rect width="5" height="5" fill="url(#s0)"/>'
        '<rect width="9" height="9" fill="none" stroke="url(#s1)"/><rect width="9" height="9" fill="url(#s2)"/>'
        '<rect width="9" height="9" fill="url(#s3)" visibility="hidden"/></svg>'
    )
    _, (job,) = Engine(Profile.default()).read_bytes(svg.encode(), "swatches.svg")
    assert [(colour.name, len(colour.items)) for colour in job.colours.used] == [("Rust", 2), ("Edge", 1)]
    assert job.colours.used[0].largest.box == pytest.approx((0, 0, 9, 9))
