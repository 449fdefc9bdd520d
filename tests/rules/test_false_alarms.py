"""What is no fault, or no second one, gives nothing: findings by which people learn to overlook findings."""

from __future__ import annotations

import pytest

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile

ENGINE = Engine(Profile.default(), Plugins())


def report(body: str) -> tuple[list[str], list[str]]:
    """Rules of the findings, and what was not checked, of a page of 140 × 90 mm."""
    page = f'<svg xmlns="http://www.w3.org/2000/svg" width="140mm" height="90mm" viewBox="0 0 140 90">{body}</svg>'
    (told,) = ENGINE.check_bytes(page.encode(), "page.svg").report.pages
    return [one.rule for one in told.findings], sorted(one.what for one in told.not_checked)


def cut(path: str) -> str:
    return f'<g id="Kiss_cut"><path d="{path}" fill="none" stroke="#d0d" stroke-width=".1"/></g>'


@pytest.mark.parametrize(("paint", "rules"), [("url(#waves)", []), ("#fff", ["art-near-cut"])])
def test_where_art_meets_what_is_in_doubt_is_no_edge(paint: str, rules: list[str]) -> None:
    """A band lies across a piece, 1 mm inside its upper end: of white it lays the ground bare, of a pattern nobody knows."""
    ground = '<rect x="79" y="15" width="50" height="50" fill="#2a7593"/>'
    band = f'<rect x="90" y="50" width="30" height="6" fill="{paint}"/>'
    tile = '<pattern id="waves" width="4" height="2" patternUnits="userSpaceOnUse"><path d="M0 1h4" stroke="#123"/></pattern>'
    found, told = report(f"<defs>{tile}</defs>{ground}{band}" + cut("M100 55H110V75H100z"))
    assert found == rules
    assert ("art beside a cut" in told) == (not rules)


def test_the_square_corner_of_a_bleed_is_no_stray_art_to_the_piece_across_from_it() -> None:
    """A card bleeds by 3 mm with square corners; a round piece is cut 0.9 mm from such a corner, slantwise: 5.1 mm from the card."""
    ground = '<rect x="17" y="17" width="46" height="26" fill="#2a7593"/>'
    card, disc = "M20 20H60V40H20z", "M60.7075 50.7075a10 10 0 0 0 20 0a10 10 0 0 0-20 0z"
    assert report(ground + cut(card + disc)) == ([], [])
    assert report(ground + cut(disc))[0] == ["art-near-cut"]


@pytest.mark.parametrize("past", [0.00002, 0.002, 0.009])
@pytest.mark.parametrize("closed", ["z", ""])
def test_an_end_that_rounding_carries_past_its_start_is_neither_corner_nor_crossing(
    past: float, closed: str
) -> None:
    disc = f"M70 40c0 11 -9 20 -20 20c-11 0 -20 -9 -20 -20c0 -11 9 -20 20 -20c11 0 20 9 20 {20 + past:.5f}"
    assert report(cut(disc + closed)) == ([], [])
    assert report(cut(f"M20 20h60v40h-60v{-40 - past:.5f}{closed}")) == ([], [])


TEXT = '<text x="20" y="80" font-size="5">Jam labels, 8 up</text>'


@pytest.mark.parametrize(
    ("layer", "told"),
    [
        ('id="Legend"', []),
        ('id="Notes" display="none"', []),
        ('id="Notes" visibility="hidden"', []),
        ('id="White"', ["text"]),
        ('id="Kiss_cut" display="none"', ["text"]),
        ('id="Notes"', ["text"]),
    ],
)
def test_letters_that_nobody_prints_are_not_said_to_be_unchecked(layer: str, told: list[str]) -> None:
    assert report(cut("M10 10H60V40H10z") + f"<g {layer}>{TEXT}</g>")[1] == told


def test_the_colour_of_a_misspelt_cut_is_not_judged_as_a_colour_of_the_art() -> None:
    """Magenta of a screen is far out of reach of offset on paper."""
    swatch = '<linearGradient id="{}"><stop stop-color="#d6249f"/></linearGradient>'
    line = '<path d="M10 10H60V40H10z" fill="none" stroke="url(#{})" stroke-width=".1"/>'
    art = '<rect x="20" y="20" width="9" height="9" fill="{}"/>'
    misspelt = swatch.format("Kis_cut") + line.format("Kis_cut")
    assert report(misspelt + art.format("#123456"))[0] == ["step-misspelt"]
    pink = swatch.format("Pier_Pink") + art.format("url(#Pier_Pink)")
    assert report(pink + cut("M10 10H60V40H10z"))[0] == ["colour-gamut"]
