"""The embedded coated condition against the data it is made of, and its parts against worked values.

FOGRA39L: Fogra, December 2006 (Debian icc-profiles-free, zlib licence). Where a value is
said to be worked out, it was so from that data or from the closed form named, by another program than this.
"""

from __future__ import annotations

import numpy as np
import pytest

from preflight.colour import cielab
from preflight.colour.coated import ERROR, CoatedPaper, patches
from preflight.colour.difference import between
from preflight.colour.halftone import demichel, mixed

PAPER = CoatedPaper()
DEVICES, LABS = patches()
OFF = between(PAPER.lab(DEVICES), LABS)

# Lab of solids and overprints, from the file's own Lab columns.
SOLIDS = {
    (0, 0, 0, 0): (95, 0, -2), (1, 0, 0, 0): (55, -37, -50), (0, 1, 0, 0): (48, 74, -3), (0, 0, 1, 0): (89, -5, 93),
    (0, 0, 0, 1): (16, 0, 0), (0, 1, 1, 0): (47, 68, 48), (1, 0, 1, 0): (50, -65, 27), (1, 1, 0, 0): (24, 22, -46),
    (1, 1, 1, 0): (23, 0, 0), (1, 1, 1, 1): (8.71, -0.07, 2.06),
}  # fmt: skip
# XYZ of tints of one ink, the same section's data: the band that Murray and Davies' area is taken by, the ink, areas at 40, 50, 80 %.
GAINS = {
    0: (0, (50.5, 61.4, 88.7)),
    1: (1, (52.3, 63.7, 90.2)),
    2: (2, (53.1, 64.4, 91.6)),
    3: (1, (56.0, 67.2, 91.6)),
}


def test_the_data_are_whole() -> None:
    assert DEVICES.shape == (1617, 4)
    assert LABS.shape == (1617, 3)
    assert DEVICES.min() == 0
    assert DEVICES.max() == 1


def test_all_patches_are_within_the_figures_of_the_coarser_model() -> None:
    """A model of 81 primaries and n = 2, worked out from the same data: mean 0.93, 95 % 2.33, most 4.15. Finer cells must not be worse."""
    assert OFF.mean() <= 0.93
    assert np.percentile(OFF, 95) <= 2.33
    assert OFF.max() <= 4.15


def test_the_error_stated_is_that_of_patches_that_are_no_nodes() -> None:
    others = OFF[OFF > 1e-6]
    assert len(others) == 1008
    assert np.percentile(others, 95) == pytest.approx(ERROR, abs=0.05)
    assert np.percentile(others, 95) <= ERROR


def test_every_primary_is_exact() -> None:
    primaries = np.isin(DEVICES, (0.0, 1.0)).all(axis=1)
    assert len(np.unique(DEVICES[primaries], axis=0)) == 16
    assert OFF[primaries].max() < 1e-6


@pytest.mark.parametrize("inks", SOLIDS)
def test_solids_are_those_published(inks: tuple[float, ...]) -> None:
    assert PAPER.lab(inks)[0] == pytest.approx(SOLIDS[inks], abs=1e-6)


@pytest.mark.parametrize("ink", [0, 1, 3])
def test_tone_value_increase_is_that_of_the_data(ink: int) -> None:
    """Murray and Davies on the data's own XYZ, to the model's own error; 40 % is a node, so exact there but for the file's rounded XYZ."""
    band, expected = GAINS[ink]
    tints = np.zeros((5, 4))
    tints[:, ink] = (0.0, 0.4, 0.5, 0.8, 1.0)
    light = cielab.to_xyz(PAPER.lab(tints))[:, band]
    areas = 100 * (light[0] - light[1:4]) / (light[0] - light[4])
    assert areas[0] == pytest.approx(expected[0], abs=0.1)
    assert areas[1:] == pytest.approx(expected[1:], abs=1.5)


def test_demichel() -> None:
    """Products of the shares, by hand, for c, m, y, k = .5, .4, .2, .1."""
    shares = demichel([[0.5, 0.4, 0.2, 0.1]]).reshape(2, 2, 2, 2)
    assert shares[0, 0, 0, 0] == pytest.approx(0.216)
    assert shares[1, 0, 0, 0] == pytest.approx(0.216)
    assert shares[0, 1, 0, 0] == pytest.approx(0.144)
    assert shares[1, 1, 0, 0] == pytest.approx(0.144)
    assert shares[1, 1, 1, 1] == pytest.approx(0.004)
    assert shares.sum() == pytest.approx(1)
    assert demichel(np.empty((0, 3))).shape == (0, 8)


@pytest.mark.parametrize(("n", "expected"), [(1.0, 0.52205), (1.7, 0.465341), (2.0, 0.452802)])
def test_murray_davies_and_yule_nielsen(n: float, expected: float) -> None:
    """The closed forms, by hand: half magenta on paper, Y of FOGRA39."""
    assert mixed(demichel([[0.5]]), [[0.8762], [0.1679]], n)[0, 0] == pytest.approx(expected, abs=1e-6)


# 40/40/40/0 on the sixteen primaries with nominal areas, worked out from the same data.
@pytest.mark.parametrize(
    ("n", "expected"), [(1.0, (39.588, 39.268, 29.465)), (2.0, (32.735, 32.001, 22.469))]
)
def test_neugebauer(n: float, expected: tuple[float, float, float]) -> None:
    corners = np.array(list(np.ndindex(2, 2, 2, 2)), dtype=float)
    light = mixed(demichel([[0.4, 0.4, 0.4, 0.0]]), cielab.to_xyz(PAPER.lab(corners)), n)
    assert 100 * light[0] == pytest.approx(
        expected, abs=0.03
    )  # the worked values rest on XYZ of two decimals


def test_between_nodes_the_model_is_what_mixing_says() -> None:
    """The whole model against `demichel` and `mixed` in one cell: half of each ink between 40 and 70 %, black 10 %."""
    corners = np.array(
        [[(0.4, 0.7)[i], (0.4, 0.7)[j], (0.4, 0.7)[k], 0.2 * b] for i, j, k, b in np.ndindex(2, 2, 2, 2)]
    )
    light = mixed(demichel([[0.5, 0.5, 0.5, 0.5]]), cielab.to_xyz(PAPER.lab(corners)), 2.0)
    assert PAPER.lab([0.55, 0.55, 0.55, 0.1])[0] == pytest.approx(cielab.from_xyz(light)[0], abs=1e-9)


def test_beyond_the_limits_is_the_limit() -> None:
    assert PAPER.lab([[-1, 2, 0, 0]]) == pytest.approx(PAPER.lab([[0, 1, 0, 0]]))
    assert PAPER.lab(np.empty((0, 4))).shape == (0, 3)


def test_lab_and_xyz_go_both_ways() -> None:
    labs = np.array([[50, 20, -30], [3, 0, 0], [0, 0, 0], [100, 0, 0], [30, -90, 60]])
    assert cielab.from_xyz(cielab.to_xyz(labs)) == pytest.approx(labs)
    # The white of D50 in CSS Color 4: x 0.3457, y 0.3585.
    assert cielab.to_xyz([100, 0, 0]) == pytest.approx([0.96430, 1, 0.82510], abs=1e-5)
    d65 = (0.3127 / 0.3290, 1.0, 0.3583 / 0.3290)
    assert cielab.adapted(d65, d65) == pytest.approx(cielab.to_xyz([100, 0, 0]), abs=1e-6)
