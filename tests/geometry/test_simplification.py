"""Regions with fewer points: how far they may leave the true ones, and what must not be lost."""

from __future__ import annotations

import numpy as np
import shapely

from preflight.geometry.simplification import simplified


def test_the_border_stays_within_the_distance_and_loses_points() -> None:
    disc = shapely.Point(0, 0).buffer(10, quad_segs=64)
    (coarse,) = simplified(np.array([disc]), 0.02)
    assert shapely.hausdorff_distance(coarse.boundary, disc.boundary, densify=0.05) <= 0.02
    assert shapely.get_num_coordinates(coarse) < shapely.get_num_coordinates(disc) / 2


def test_what_would_lose_a_hole_or_itself_stays_as_it_is() -> None:
    pinprick = shapely.Point(0, 0).buffer(0.01)
    holed = shapely.box(-5, -5, 5, 5).difference(pinprick)
    found = simplified(np.array([pinprick, holed]), 0.05)
    assert shapely.equals_exact(found, np.array([pinprick, holed])).all()
