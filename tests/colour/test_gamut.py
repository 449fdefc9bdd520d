"""The nearest reachable colour against brute force and against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from preflight.colour.coated import CoatedPaper
from preflight.colour.difference import between, rough
from preflight.colour.gamut import HUE_KEPT, Output, Reach, hue_apart
from preflight.colour.spaces import srgb_to_lab

Floats = NDArray[np.float64]

PAPER: Output = CoatedPaper()
REACH = Reach(PAPER)
LIMIT = 3.0
"""ΔE00 above which a named colour is called out of reach: project assumption, no source."""


def brute_force(wanted: Floats, steps: int = 16) -> Floats:
    """Least ΔE00 over a fine grid of devices; a bound from above that is off by the grid's width."""
    axis = np.linspace(0, 1, steps + 1)
    grid = np.stack(np.meshgrid(axis, axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 4)
    labs = PAPER.lab(grid)
    near = np.argmin(rough(wanted, labs), axis=1)
    return between(wanted, labs[near])


def test_verdicts_agree_with_brute_force() -> None:
    """1,000 random colours, a third of them near the limits: those outside the error band are judged alike every time."""
    random = np.random.default_rng(2026)
    anywhere = np.column_stack((random.uniform(0, 100, 700), random.uniform(-110, 110, (700, 2))))
    solid = random.random((300, 4))
    solid[np.arange(300), random.integers(0, 3, 300)] = 0
    printed = PAPER.lab(solid)
    outward = printed + (printed - [50, 0, 0]) * random.uniform(0.0, 0.5, (300, 1))
    wanted = np.vstack((anywhere, outward))
    found, brute = REACH.nearest(wanted).difference, brute_force(wanted)
    sure = np.abs(brute - LIMIT) > PAPER.error
    assert sure.sum() > 800
    assert ((found > LIMIT) == (brute > LIMIT))[sure].all()
    # Where ΔE00 means anything at all, nothing the grid has is nearer than what was found.
    assert (found - brute)[brute < 13].max() < 0.05


def test_what_can_be_printed_is_reached() -> None:
    """Darks among it, which many devices print alike."""
    random = np.random.default_rng(5)
    devices = np.vstack(
        (
            random.random((250, 4)),
            random.random((50, 4)) * 0.3 + 0.7,
            np.eye(4),
            np.ones((1, 4)),
            np.zeros((1, 4)),
        )
    )
    found = REACH.nearest(PAPER.lab(devices))
    assert found.difference.max() < 0.05
    assert between(PAPER.lab(found.device), PAPER.lab(devices)).max() < 0.05


def test_the_answer_holds_together() -> None:
    wanted = np.array([[60, 94, -61], [55, -37, -50], [100, 0, 0], [0, 0, 0], [70, 60, 90]], dtype=float)
    found = REACH.nearest(wanted)
    assert found.device.min() >= 0
    assert found.device.max() <= 1
    assert PAPER.lab(found.device) == pytest.approx(found.lab)
    assert between(wanted, found.lab) == pytest.approx(found.difference)


def test_white_and_black_are_those_of_the_paper_and_the_inks() -> None:
    """Paper is the lightest neutral, L* 95; the whitest white differs from it by lightness and a little blue."""
    found = REACH.nearest([[100, 0, -2], [0, 0, 0]])
    assert found.device[0] == pytest.approx([0, 0, 0, 0], abs=0.01)
    assert found.lab[1, 0] < 10


def test_outward_of_the_boundary_is_out_of_reach() -> None:
    """Solids of one and two inks are corners of what can be printed: half as far out again is beyond it."""
    solids = np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 1, 1, 0], [1, 0, 1, 0], [1, 1, 0, 0]])
    labs = PAPER.lab(solids)
    assert REACH.nearest(labs + (labs - [50, 0, 0]) * [0, 0.5, 0.5]).difference.min() > LIMIT


def test_the_same_question_has_the_same_answer_in_any_company() -> None:
    random = np.random.default_rng(3)
    wanted = np.column_stack((random.uniform(0, 100, 30), random.uniform(-90, 90, (30, 2))))
    together = REACH.nearest(wanted)
    alone = np.array([REACH.nearest(one).difference[0] for one in wanted])
    assert alone == pytest.approx(together.difference, abs=1e-9)


def test_no_colours() -> None:
    found = REACH.nearest(np.empty((0, 3)))
    assert found.lab.shape == (0, 3)
    assert found.device.shape == (0, 4)
    assert found.difference.shape == (0,)


class Box:
    """An output in closed form: three channels that make L* 20-80, a* ±20, b* ±20."""

    name = "box"
    channels = ("1", "2", "3")
    error = 0.0
    step = 1e-3

    @property
    def sketch(self) -> Box:
        return self

    def lab(self, devices: ArrayLike) -> Floats:
        shares = np.clip(np.reshape(devices, (-1, 3)).astype(float), 0, 1)
        return shares * [60, 40, 40] + [20, -20, -20]


def test_a_box_of_three_channels() -> None:
    found = Reach(Box()).nearest([[50, 5, -7], [90, 0, 0], [10, 3, 3]])
    assert found.difference[0] < 0.05
    # Grey L* 90 against grey L* 80: S_L at mean lightness 85, equation 15 of Sharma, Wu and Dalal.
    assert found.difference[1] == pytest.approx(10 / (1 + 0.015 * 35**2 / (20 + 35**2) ** 0.5), abs=0.05)
    assert found.lab[2, 0] == pytest.approx(20, abs=0.2)


SCREENS = np.array(
    [srgb_to_lab(rgb) for rgb in ((0, 0, 1), (1, 0, 1), (0.3, 0, 1), (0.5, 0, 1), (0, 0.3, 1))]
)
"""Blues and purples of a screen whose least ΔE00 is to a dull colour of another hue."""


def test_the_nearest_of_the_same_hue_against_brute_force() -> None:
    axis = np.linspace(0, 1, 21)
    labs = PAPER.lab(np.stack(np.meshgrid(axis, axis, axis, axis), axis=-1).reshape(-1, 4))
    found = REACH.of_same_hue(SCREENS)
    assert hue_apart(SCREENS, found.lab).max() < HUE_KEPT + 0.5
    assert between(SCREENS, found.lab) == pytest.approx(found.difference)
    for wanted, difference in zip(SCREENS, found.difference, strict=True):
        kept = hue_apart(wanted, labs) <= HUE_KEPT
        assert difference < between(wanted, labs[kept]).min() + 0.05
    # It cannot be nearer than the very nearest, which is of another hue here.
    nearest = REACH.nearest(SCREENS)
    assert (found.difference > nearest.difference - 0.05).all()
    assert hue_apart(SCREENS[:4], nearest.lab[:4]).min() > 40


def test_what_has_the_hue_already_is_its_own_nearest() -> None:
    printed = PAPER.lab([[0, 0.7, 0.9, 0], [0.8, 0.3, 0, 0.1]])
    assert REACH.of_same_hue(printed).difference.max() < 0.05
    assert REACH.of_same_hue(np.empty((0, 3))).lab.shape == (0, 3)


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [((50, 10, 0), (50, 0, 5), 90), ((50, 10, -1), (50, 10, 1), 11.42), ((50, -10, 1), (50, -10, -1), 11.42)],
)
def test_hues_are_apart_the_shorter_way_round(
    first: tuple[float, ...], second: tuple[float, ...], apart: float
) -> None:
    assert hue_apart(first, second) == pytest.approx(apart, abs=0.01)
