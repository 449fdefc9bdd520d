"""An output relative to its medium: values worked out by another way, and the search in it."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.colour.coated import CoatedPaper
from preflight.colour.difference import between
from preflight.colour.gamut import Output, Reach
from preflight.colour.media_relative import MediaRelative
from preflight.colour.tabled import Tabled

# Straight scaling of FOGRA39L by the XYZ of its paper, worked out from the same data.
SCALED = {
    (0, 0, 0, 0): (100, 0, 0), (1, 0, 0, 0): (58.20, -38.67, -50.39), (0, 1, 0, 0): (50.88, 77.33, -1.91),
    (0, 0, 1, 0): (93.73, -5.23, 98.14), (0, 1, 1, 0): (49.84, 71.06, 50.82), (1, 0, 1, 0): (52.97, -67.93, 29.15),
    (1, 1, 0, 0): (25.80, 22.99, -46.83), (0, 0, 0, 1): (17.44, 0, 0.60),
}  # fmt: skip


class Slow(CoatedPaper):
    """Coated paper that is searched by a table."""

    sketch = Tabled(CoatedPaper().lab(Tabled.grid(11, 4)), 11, 4)


def test_solids_relative_to_the_paper() -> None:
    assert MediaRelative(CoatedPaper()).lab(list(SCALED)) == pytest.approx(
        np.array(list(SCALED.values())), abs=0.05
    )


@pytest.mark.parametrize("paper", [CoatedPaper(), Slow()], ids=["by itself", "by a likeness"])
def test_what_can_be_printed_is_reached(paper: CoatedPaper) -> None:
    output: Output = MediaRelative(paper)
    wanted = output.lab(np.random.default_rng(8).random((60, 4)))
    found = Reach(output).nearest(wanted)
    assert found.difference.max() < 0.05
    assert between(output.lab(found.device), found.lab).max() < 1e-9


def test_a_likeness_is_relative_too() -> None:
    assert MediaRelative(Slow()).sketch.lab([[0, 0, 0, 0]])[0] == pytest.approx([100, 0, 0], abs=1e-6)
