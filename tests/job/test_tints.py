"""Which tints of a named colour are in use, and what each looks like."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.artwork import Color, Paint, PaintKind, Spot
from preflight.colour import cielab
from preflight.engine import Engine
from preflight.job import Job
from preflight.job.colours.shop import Shop
from preflight.job.colours.sources import Source
from preflight.job.colours.tints import ASSUMED, Look, Solid, TintInUse, tints_in_use
from preflight.profile import Profile

ORANGE = (62.0, 68.0, 72.0)
NAME = "Beacon Orange"


def lab_color(*lab: float) -> Color:
    return Color((0.5, 0.5, 0.5), space="lab", components=lab)


def solid(share: float, color: Color | None = None) -> Paint:
    """The ink alone, at some tint."""
    return Paint(PaintKind.COLOR, color, NAME, share, inks=((NAME, share),))


def gradient(share: float) -> Paint:
    """From nothing up to some tint."""
    return Paint(PaintKind.GRADIENT, None, NAME, share, inks=((NAME, share),))


MIXED = Paint(PaintKind.COLOR, lab_color(40, 10, 10), None, inks=((NAME, 0.3), ("Black", 0.2)))
FILE_RAMP = ((0.25, lab_color(90, 20, 20)), (0.5, lab_color(80, 40, 40)), (1.0, lab_color(*ORANGE)))
SPOT = Spot(NAME, "separation", lab_color(*ORANGE), tints=FILE_RAMP)
BY_FILE = Solid(Look(ORANGE, "Lab in the file", True), Source.LAB, (), SPOT)


def by_library(*tints: tuple[float, tuple[float, float, float]]) -> Solid:
    return Solid(Look(ORANGE, "library inks.cxf", True), Source.LIBRARY, tints, SPOT)


@pytest.fixture(scope="module")
def job() -> Job:
    """A sheet of 200 squares, of which tests take as many as they need."""
    squares = "".join(f'<rect x="{n % 20}" y="{n // 20}" width=".8" height=".8"/>' for n in range(200))
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">{squares}</svg>'
    return Engine(Profile.default()).read_bytes(svg.encode(), "squares.svg")[1][0]


def found(
    job: Job, how: Solid, *paints: Paint, colours: int = 1, absolute: bool = False
) -> dict[int, TintInUse]:
    shop = Shop([], None, absolute, {})
    uses = list(zip(job.items, paints, strict=False))
    tints = tints_in_use(NAME, how, uses, colours, shop)
    assert [tint.percent for tint in tints] == sorted({tint.percent for tint in tints})
    return {tint.percent: tint for tint in tints}


def test_each_tint_with_its_art_and_the_colour_the_file_gives_it(job: Job) -> None:
    tints = found(
        job,
        BY_FILE,
        solid(0.3, lab_color(87, 22, 24)),
        solid(1.0, lab_color(*ORANGE)),
        solid(0.302, lab_color(86.9, 22, 24)),
    )
    assert list(tints) == [30, 100]
    assert [item.index for item in tints[30].items] == [0, 2]
    assert tints[30].look == Look((87, 22, 24), "Lab in the file", True)
    assert tints[100].look is BY_FILE.look


def test_the_full_tint_is_in_use_only_where_it_is_printed(job: Job) -> None:
    assert list(found(job, BY_FILE, solid(0.3, lab_color(87, 22, 24)))) == [30]


def test_a_trace_of_ink_is_the_least_tint_and_none_is_no_use(job: Job) -> None:
    assert list(found(job, BY_FILE, solid(0.001), solid(0.0))) == [1]


def test_an_ink_that_is_mixed_counts_in_full(job: Job) -> None:
    assert list(found(job, BY_FILE, MIXED)) == [100]


def test_what_an_image_holds_counts_in_full(job: Job) -> None:
    paint = Paint(PaintKind.PATTERN, None, NAME, 1.0, inks=((NAME, 1.0),))
    assert list(found(job, BY_FILE, paint)) == [100]


def test_a_gradient_counts_by_its_darkest_tint_and_the_quarters_below(job: Job) -> None:
    """Colours of the file's ramp: at its nodes those it states, between them what the dots of both make."""
    tints = found(job, BY_FILE, gradient(0.6))
    assert list(tints) == [25, 50, 60]
    assert tints[25].look.lab == pytest.approx((90, 20, 20))
    assert tints[50].look.lab == pytest.approx((80, 40, 40))
    lightness = tints[60].look.lab[0] if tints[60].look.lab else 0.0
    assert ORANGE[0] < lightness < 80
    assert tints[60].look.certain


def test_a_library_without_tints_lets_them_be_assumed(job: Job) -> None:
    """Half of the ink on white, Yule and Nielsen with n = 2, by hand: Y is the square of the mean of the roots."""
    look = found(job, by_library(), solid(0.5, lab_color(1, 1, 1)))[50].look
    solid_y = cielab.to_xyz(ORANGE)[1]
    assert (look.said_by, look.certain, look.assumed) == (ASSUMED, False, True)
    assert look.lab is not None
    assert cielab.to_xyz(look.lab)[1] == pytest.approx(((1 + solid_y**0.5) / 2) ** 2)


def test_judged_absolutely_tints_begin_at_the_paper(job: Job) -> None:
    """FOGRA39L: paper 95 0 -2."""
    look = found(job, by_library(), solid(0.001), absolute=True)[1].look
    assert look.lab == pytest.approx((95, 0, -2), abs=1)


def test_a_library_with_tints_goes_before_the_file(job: Job) -> None:
    how = by_library((0.0, (95, 0, -2)), (0.5, (81, 33, 35)), (1.0, ORANGE))
    tints = found(job, how, solid(0.5, lab_color(1, 1, 1)), solid(0.2, lab_color(1, 1, 1)))
    assert tints[50].look == Look(pytest.approx((81, 33, 35)), "library inks.cxf", True)
    assert tints[20].look.certain


def test_below_the_lightest_that_was_measured_is_assumed(job: Job) -> None:
    how = by_library((0.5, (81, 33, 35)), (1.0, ORANGE))
    tints = found(job, how, solid(0.2), solid(0.7))
    assert [tint.look.assumed for tint in tints.values()] == [True, False]


def test_nothing_is_known_of_a_colour_that_nothing_defines(job: Job) -> None:
    nothing = Solid(Look(None, "nothing", False), Source.NOTHING, (), Spot(NAME, "separation"))
    assert found(job, nothing, solid(0.4))[40].look == nothing.look


@pytest.mark.parametrize(("colours", "most"), [(1, 12), (50, 12), (100, 6), (1000, 2)])
def test_of_many_tints_those_near_each_other_are_taken_together(job: Job, colours: int, most: int) -> None:
    paints = [solid(share / 100, lab_color(100 - share / 3, 0, 0)) for share in range(1, 101)]
    tints = found(job, BY_FILE, *paints, colours=colours)
    assert len(tints) == most
    assert {1, 100} <= set(tints)
    # No art is lost, and none counts twice.
    assert sorted(item.index for tint in tints.values() for item in tint.items) == list(range(100))


def test_a_separation_at_no_tint_is_not_in_use() -> None:
    """fixtures/rules/colour-gamut/degenerate-no-tint.pdf: its ink is laid down nowhere."""
    path = Path(__file__).parents[2] / "fixtures" / "rules" / "colour-gamut" / "degenerate-no-tint.pdf"
    _, (page,) = Engine(Profile.default()).read(path)
    assert page.artwork.spots
    assert [colour.name for colour in page.colours.used] == []
