"""Ends that miss each other by rounding are put together; what is drawn farther off stays as it is."""

from __future__ import annotations

import numpy as np
import pytest

from preflight.geometry.closings import with_ends_together
from preflight.geometry.crossings import self_crossings
from preflight.geometry.curvature import tight_corners
from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse

WITHIN = 0.01


def drawn(path: str) -> Outlines:
    return parse([path]).outlines


@pytest.mark.parametrize("past", [1e-6, 1e-4, 0.003, 0.0099])
@pytest.mark.parametrize("closed", ["z", ""])
@pytest.mark.parametrize(
    "path",
    [
        "M10 10H50V40H10V{}",
        "M70 10C70 21 61 30 50 30C39 30 30 21 30 10C30 -1 39 -10 50 -10C61 -10 70 -1 70 {}",
        "M0 10L9 4 20 10 9 16L{} 10",
    ],
)
def test_an_end_that_goes_past_its_start_by_rounding_is_no_corner(
    path: str, closed: str, past: float
) -> None:
    far = 10 + past if "C" in path else (10 - past if "V" in path else -past)
    outlines = drawn(path.format(f"{far:.7f}") + closed)
    together = with_ends_together(outlines, WITHIN)
    assert len(self_crossings(together).points) == 0
    assert len(tight_corners(together, 0.5, 20.0).value) == 0
    assert np.array_equal(together.gaps, outlines.gaps)
    assert together.segments.shape == outlines.segments.shape
    last = together.segments[-1]
    assert np.array_equal(last[3], together.starts[0])


def test_the_handle_of_a_curve_and_the_thirds_of_a_line_stay() -> None:
    curve = with_ends_together(drawn("M70 10C70 21 61 30 50 30C39 30 69 -1 70 10.004z"), WITHIN)
    assert curve.segments[1, 3] - curve.segments[1, 2] == pytest.approx([1.0, 11.004])
    line = with_ends_together(drawn("M10 10H50V40H10V10.006"), WITHIN)
    assert line.segments[3] == pytest.approx(np.array([[10, 40], [10, 30], [10, 20], [10, 10]]))


@pytest.mark.parametrize(
    "path",
    ["M10 10H50V40H10V9.98z", "M10 10H50V40H10z", "M10 10H50", "M10 10H10.005", "M10 10H10.005z", "M5 5"],
)
def test_the_rest_stays_as_it_is(path: str) -> None:
    outlines = drawn(path)
    assert with_ends_together(outlines, WITHIN) is outlines


@pytest.mark.parametrize("short", [1e-6, 1e-4, 0.005])
def test_a_short_segment_turned_back_between_curves_is_no_corner(short: float) -> None:
    """The straight side of a pill that is as good as a circle, rounded to go backwards."""
    pill = drawn(f"M50 20a10 10 0 0 1 0 20h{short}a10 10 0 0 1 0 -20z")
    assert len(tight_corners(with_ends_together(pill, WITHIN), 0.5, 20.0).value) == 0


def test_corners_of_short_segments_are_corners() -> None:
    """A needle drawn in steps of 0.008 mm is as sharp as one of two lines."""
    steps = np.linspace(0, 1, 700)
    points = np.concatenate(
        [np.stack([5 * steps, 0 * steps], 1), np.stack([5 - 5 * steps[1:], steps[1:]], 1)]
    )
    path = "M" + " ".join(f"{x:.6f} {y:.6f}" for x, y in points) + "z"
    found = tight_corners(drawn(path), 0.5, 20.0)
    assert found.value == pytest.approx([11.31], abs=0.1)
    assert found.point[0] == pytest.approx([5, 0], abs=1e-6)
