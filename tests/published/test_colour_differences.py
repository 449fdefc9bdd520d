"""ΔE00 against the table of its authors, colour-science and colormath.

Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21-30, table 1: 34 pairs to four decimals. colour-science, the
reference library, on random pairs.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from preflight.colour.difference import between, components, table

PAIRS = np.loadtxt(Path(__file__).parent / "colour" / "ciede2000.csv", delimiter=",", skiprows=1)
FIRST, SECOND, EXPECTED = PAIRS[:, :3], PAIRS[:, 3:6], PAIRS[:, 6]


def test_the_table_is_whole() -> None:
    assert PAIRS.shape == (34, 7)


@pytest.mark.parametrize("turned", [False, True])
def test_all_pairs_of_the_authors(turned: bool) -> None:
    """Row 14 is of opposite hues, where rounding decides: `between` must give the paper's value from both sides."""
    first, second = (SECOND, FIRST) if turned else (FIRST, SECOND)
    assert np.abs(between(first, second) - EXPECTED).max() < 5e-5


def test_the_table_of_colormath_but_for_opposite_hues() -> None:
    """On other platforms rounding may turn row 14 in colormath (4.8045 or 4.7461, says a comment in the tests of colour-science)."""
    found = table(FIRST, SECOND).diagonal()
    assert np.abs(np.delete(found - EXPECTED, 13)).max() < 5e-5
    assert min(abs(found[13] - 4.8045), abs(found[13] - 4.7461)) < 5e-5


def test_pairs_outside_every_gamut() -> None:
    """colour/difference/tests/test_delta_e.py of colour-science 0.4.7."""
    first = [100, 21.57210357, 272.22819350]
    second = [[100, 426.67945353, 72.39590835], [100, 74.05216981, 276.45318193]]
    assert between(first, second) == pytest.approx([94.03564903, 14.87906419], abs=1e-7)


def test_random_pairs_against_colormath() -> None:
    """Colormath leaves mean hues above 360° as they are where it turns chroma against hue, which costs up to 2e-4."""
    random = np.random.default_rng(7)
    first, second = (
        np.column_stack((random.uniform(0, 100, 60), random.uniform(-128, 128, (60, 2)))) for _ in range(2)
    )
    assert np.abs(between(first[:, None], second[None]) - table(first, second)).max() < 3e-4


@pytest.mark.filterwarnings(
    "ignore"
)  # colour-science tells of the packages that it could use and finds none of
def test_random_pairs_against_colour_science() -> None:
    from colour.difference.delta_e import delta_E_CIE2000

    random = np.random.default_rng(2000)
    first, second = (
        np.column_stack((random.uniform(0, 100, 10_000), random.uniform(-128, 128, (10_000, 2))))
        for _ in range(2)
    )
    near = first + random.normal(0, 1, first.shape)
    for other in (second, near):
        assert np.abs(between(first, other) - delta_E_CIE2000(first, other)).max() < 1e-9


def test_components_are_whole() -> None:
    parts = components(FIRST, SECOND)
    assert parts.shape == (34, 3)
    assert np.sqrt((parts**2).sum(axis=1)) == pytest.approx(EXPECTED, abs=5e-5)
    assert np.abs(components(FIRST, FIRST)).max() == 0


def test_nothing_against_something() -> None:
    nothing = np.empty((0, 3))
    assert table(nothing, SECOND).shape == (0, 34)
    assert table(FIRST, nothing).shape == (34, 0)
    assert between(nothing, nothing).shape == (0,)
