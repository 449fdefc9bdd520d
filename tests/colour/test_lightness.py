"""Lightness as printed, held against measured solids and ramps.

Values: characterisation data FOGRA39L (Fogra, December 2006; Debian icc-profiles-free, zlib licence), L* of the patches.
"""

from __future__ import annotations

import pytest

from preflight.colour.lightness import PAPER, lightness_of_inks, lightness_of_screen, lightness_of_tint

SOLIDS = {
    (0, 0, 0, 0): 95.00, (1, 0, 0, 0): 55.00, (0, 1, 0, 0): 48.00, (0, 0, 1, 0): 89.00, (0, 0, 0, 1): 16.00,
    (0, 1, 1, 0): 47.00, (1, 0, 1, 0): 50.00, (1, 1, 0, 0): 24.00, (1, 1, 1, 0): 23.00, (1, 1, 1, 1): 8.71,
}  # fmt: skip
TINTS = {(0.5, 0, 0, 0): 75.62, (0, 0.5, 0, 0): 71.23, (0, 0, 0.5, 0): 91.55, (0, 0, 0, 0.5): 61.82, (0.4, 0.4, 0.4, 0): 61.53}  # fmt: skip


@pytest.mark.parametrize("inks", SOLIDS)
def test_solids_are_those_measured(inks: tuple[float, float, float, float]) -> None:
    assert lightness_of_inks(*inks) == pytest.approx(SOLIDS[inks], abs=0.03)


@pytest.mark.parametrize("inks", TINTS)
def test_tints_are_within_the_models_error(inks: tuple[float, float, float, float]) -> None:
    """The model's mean error over the whole set is 2 ΔE00, worked out from the data; that of L* alone is of that size."""
    assert lightness_of_inks(*inks) == pytest.approx(TINTS[inks], abs=3.0)


def test_a_screens_white_is_the_paper_and_its_black_is_black() -> None:
    assert lightness_of_screen((1, 1, 1)) == pytest.approx(PAPER, abs=0.01)
    assert lightness_of_screen((0, 0, 0)) == 0
    assert lightness_of_screen((2, 2, 2)) == pytest.approx(PAPER, abs=0.01)


def test_tints_of_a_solid_go_from_paper_to_it() -> None:
    assert lightness_of_tint(48, 0) == pytest.approx(PAPER, abs=0.01)
    assert lightness_of_tint(48, 1) == pytest.approx(48, abs=0.01)
    assert lightness_of_tint(48, 0.5) == pytest.approx(lightness_of_inks(0, 0.5, 0, 0), abs=0.05)
    assert lightness_of_tint(5, 1) == pytest.approx(5, abs=1e-6)
