"""Tints of an ink between those that are known."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.colour import cielab
from preflight.colour.coated import patches
from preflight.colour.difference import between
from preflight.colour.tint_ramp import ASSUMED_ERROR, ramp

PAPER = (95.0, 0.0, -2.0)
"""FOGRA39L's own Lab of its paper."""


def measured(ink: int) -> tuple[np.ndarray, np.ndarray]:
    """The tints of one process ink by itself in FOGRA39L: shares rising to 1, and their Lab."""
    devices, labs = patches()
    alone = (devices[:, ink] > 0) & (np.delete(devices, ink, axis=1) == 0).all(axis=1)
    shares, rows = np.unique(devices[alone, ink], return_index=True)
    return shares, labs[alone][rows]


def test_paper_and_solid_alone_give_tints_within_the_error_that_is_stated() -> None:
    """Against the measured tints of cyan, magenta, yellow and black: FOGRA39L (Fogra, zlib licence)."""
    off = []
    for ink in range(4):
        shares, labs = measured(ink)
        assert len(shares) > 15
        off.append(between(ramp(shares, [0, 1], [PAPER, labs[-1]]), labs)[:-1])
    found = np.percentile(np.concatenate(off), 95)
    assert found <= ASSUMED_ERROR
    assert found == pytest.approx(ASSUMED_ERROR, abs=0.2)


@pytest.mark.parametrize("ink", range(4))
def test_tints_between_a_few_that_were_measured_are_within_one(ink: int) -> None:
    shares, labs = measured(ink)
    some = [int(np.argmin(abs(shares - share))) for share in (0.25, 0.5, 0.75, 1.0)]
    found = ramp(shares, [0, *shares[some]], [PAPER, *labs[some]])
    assert between(found, labs).max() < 1.0
    assert found[some] == pytest.approx(labs[some], abs=1e-9)


def test_half_of_a_grey_by_hand() -> None:
    """Yule and Nielsen with n = 2: roots of light are mixed. Y 1 and 0.25 make (1 + 0.5)² / 4."""
    black = cielab.from_xyz(0.25 * cielab.to_xyz([100, 0, 0]))
    found = cielab.to_xyz(ramp([0.5], [0, 1], [[100, 0, 0], black]))[0, 1]
    assert found == pytest.approx(0.5625)


def test_beyond_what_is_known_is_its_end() -> None:
    assert ramp([0.1, 1.0], [0.3, 0.9], [[80, 5, 5], [50, 9, 9]]) == pytest.approx(
        np.array([[80, 5, 5], [50, 9, 9]])
    )
    assert ramp([], [0, 1], [[100, 0, 0], [50, 0, 0]]).shape == (0, 3)
