"""The outline of what an output reaches at one lightness."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from preflight.colour.coated import CoatedPaper
from preflight.colour.gamut_slice import GamutSlices

SLICES = GamutSlices(CoatedPaper())


@pytest.mark.parametrize(
    ("lightness", "a", "b"),
    [(55, -37, -50), (48, 74, -3), (89, -5, 93), (47, 68, 48), (50, -65, 27), (24, 22, -46)],
    ids=["cyan", "magenta", "yellow", "red", "green", "blue"],
)
def test_the_solids_of_the_press_lie_on_the_outline(lightness: float, a: float, b: float) -> None:
    """Lab of the solids and overprints of FOGRA39L, from its own columns."""
    outline = shapely.Polygon(SLICES.at(lightness))
    # A drawing: one point for ten degrees, so corners are cut off by some Lab units.
    assert shapely.Point(a, b).distance(outline.exterior) < 6
    assert outline.contains(shapely.Point(0.9 * a, 0.9 * b))


def test_points_go_round_by_hue_and_none_is_where_nothing_is_so_light() -> None:
    outline = SLICES.at(60)
    hues = np.degrees(np.arctan2(outline[:, 1], outline[:, 0])) % 360
    assert (np.diff(hues) > 0).all()
    assert len(outline) == 36
    assert len(SLICES.at(120)) == 0
