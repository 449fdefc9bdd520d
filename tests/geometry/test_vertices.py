"""Vertices of paths and the way paths run through them, by the rules of SVG 2, 9.6.1 and 13.7.3."""

from __future__ import annotations

import math

import numpy as np
import pytest

from preflight.geometry.vertices import vertices

DIAGONAL = math.degrees(math.atan2(1, 2))


@pytest.mark.parametrize(
    ("text", "points", "angles"),
    [
        ("", [], []),
        ("none", [], []),
        ("M1 2", [(1, 2)], [0]),
        ("M0 0h10v10", [(0, 0), (10, 0), (10, 10)], [0, 45, 90]),
        ("M0 0h10v10z", [(0, 0), (10, 0), (10, 10), (0, 0)], [-67.5, 45, 157.5, -67.5]),
        # After z a new contour starts without a vertex of its own; with a moveto it has one.
        ("M0 0h10v10zl0 9", [(0, 0), (10, 0), (10, 10), (0, 0), (0, 9)], [-67.5, 45, 157.5, -67.5, 90]),
        ("M0 0h9M5 5v9", [(0, 0), (9, 0), (5, 5), (5, 14)], [0, 0, 90, 90]),
        # Segments without length take their way from before at their start and from after at their end.
        ("M0 0h9h0v9", [(0, 0), (9, 0), (9, 0), (9, 9)], [0, 0, 90, 90]),
        ("M0 0h0v9", [(0, 0), (0, 0), (0, 9)], [90, 90, 90]),
        ("M0 0v9h0", [(0, 0), (0, 9), (0, 9)], [90, 90, 90]),
        ("M3 3h0v0", [(3, 3)] * 3, [0, 0, 0]),
        # Handles that lie on their ends say nothing; the next point does.
        ("M0 0C0 0 20 10 20 0", [(0, 0), (20, 0)], [DIAGONAL, -90]),
        ("M0 0C0 0 20 10 20 10", [(0, 0), (20, 10)], [DIAGONAL, DIAGONAL]),
        ("M0 0Q10 0 10 10T20 20", [(0, 0), (10, 10), (20, 20)], [0, 90, 0]),
        # An arc is one segment, however many cubics draw it.
        ("M0 0A10 10 0 0 1 20 0", [(0, 0), (20, 0)], [-90, 90]),
        ("M0 0A0 10 0 0 1 20 10", [(0, 0), (20, 10)], [DIAGONAL, DIAGONAL]),
        ("M5 5A9 9 0 0 1 5 5v5", [(5, 5), (5, 5), (5, 10)], [90, 90, 90]),
        # Right back: half way either side would do.
        ("M0 0h9h-9", [(0, 0), (9, 0), (0, 0)], [0, -90, 180]),
        ("M0 0h9L5", [(0, 0), (9, 0)], [0, 0]),
    ],
)
def test_vertices(text: str, points: list[tuple[float, float]], angles: list[float]) -> None:
    (found,) = vertices([text])
    assert found.points.tolist() == [list(point) for point in points]
    turns = (found.angles - np.array(angles, float) + 180) % 360 - 180
    assert turns == pytest.approx(np.zeros(len(angles)), abs=1e-6)


def test_each_path_keeps_its_own() -> None:
    found = vertices(["M0 0h1", "", "M5 5v1v1"])
    assert [len(one.points) for one in found] == [2, 0, 3]
    assert found[2].angles.tolist() == [90, 90, 90]
