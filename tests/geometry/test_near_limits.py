"""Contours that meet themselves too often are stopped and named; those beside them are judged in full."""

import math
import random

import numpy as np

from preflight.geometry import near_pairs, pathdata
from preflight.geometry.crossings import between, self_crossings
from preflight.geometry.outlines import Outlines
from preflight.geometry.shared_runs import shared_runs
from preflight.geometry.strands import Strands


def tangle(lines: int) -> str:
    chance = random.Random(3)  # noqa: S311 -- shapes, not secrets
    places = (f"L{chance.uniform(0, 200):.3f} {chance.uniform(0, 200):.3f}" for _ in range(lines))
    return f"M0 0{''.join(places)}"


def comb(teeth: int) -> str:
    """A zigzag and a line back through it: as many crossings as it has teeth, less the turn at its end."""
    zigzag = "".join(f"L{tooth + 1} {4 if tooth % 2 else -4}" for tooth in range(teeth))
    return f"M0 4{zigzag}L{teeth + 2} 0L-2 0"


def many(paths: list[str]) -> Outlines:
    return pathdata.parse(paths).outlines


def test_a_contour_that_crosses_itself_hundreds_of_times_is_told_in_full() -> None:
    found = self_crossings(Strands.of(many([comb(900)])))
    assert not found.stopped.any()
    assert len(found.first) == 900


def test_a_long_contour_that_hardly_meets_itself_is_judged_in_full() -> None:
    """A traced outline of 100,000 nodes."""
    angles = np.linspace(0, 2 * math.pi, 100_001)
    radii = 100 + np.sin(5000 * angles)
    traced = "".join(
        f"L{x:.4f} {y:.4f}" for x, y in zip(radii * np.cos(angles), radii * np.sin(angles), strict=True)
    )
    found = self_crossings(Strands.of(many([f"M100 0{traced}"])))
    assert not found.stopped.any()


def test_a_tangle_is_stopped_and_shows_some_of_its_crossings() -> None:
    found = self_crossings(Strands.of(many([tangle(3000)])))
    assert found.stopped.tolist() == [True]
    assert 0 < len(found.first) < 10_000


def test_those_beside_a_tangle_are_judged_in_full() -> None:
    good = [f"M{x} 300h10v10h-10Z" for x in range(0, 400, 8)]  # each crosses the next
    outlines = many([tangle(3000), *good])
    strands = Strands.of(outlines)
    assert self_crossings(strands).stopped.tolist() == [True, *[False] * len(good)]
    found = between(strands, leave_out=np.array([0]))
    assert not found.stopped.any()
    met = {(int(one), int(other)) for one, other in zip(found.first, found.second, strict=True)}
    assert met == {(index, index + 1) for index in range(1, len(good))}


def _squares(across: int, down: int, shift: float = 0.0) -> Outlines:
    return pathdata.parse(
        [f"M{2 * x + shift * (y % 2)} {2 * y}h2v2h-2z" for y in range(down) for x in range(across)]
    ).outlines


def test_pieces_that_share_edges_are_judged_in_full_whatever_is_left_to_spend(monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(near_pairs, "_PURSE", 0.0)
    drawn = _squares(15, 12)
    runs = shared_runs(drawn, 0.05, 1.0)
    assert not runs.stopped.any()
    assert len(runs.first) == 14 * 12 + 15 * 11
    np.testing.assert_allclose(runs.length, 2.0, atol=1e-3)
    # Each edge on its own place: between two middles of squares.
    x, y = runs.first % 15, runs.first // 15
    beside = runs.second == runs.first + 1
    wanted = np.where(
        beside[:, None],
        np.column_stack([2 * x + 2, 2 * y, 2 * x + 2, 2 * y + 2]),
        np.column_stack([2 * x, 2 * y + 2, 2 * x + 2, 2 * y + 2]),
    )
    np.testing.assert_allclose(runs.bounds, wanted, atol=1e-9)
    met = between(drawn)
    assert not met.stopped.any()
    assert met.touching.all()
    # A square touches the one beside it, and the one below, at two places; those across a corner at one.
    assert len(met.first) == 2 * (14 * 12 + 15 * 11) + 2 * 14 * 11
    bricks = _squares(15, 12, 1.0)
    assert len(shared_runs(bricks, 0.05, 0.9).first) == 14 * 12 + 11 * 15 + 11 * 14
    assert not between(bricks).stopped.any()


def test_lines_that_cross_cost_more_than_those_that_end_on_each_other() -> None:
    drawn = pathdata.parse(["M0 0H9", "M3 0V4", "M5 -2V4", "M9 0H15", "M0 -1C3 3 6 3 9 -1"]).outlines
    strands = Strands.of(drawn)
    others = np.arange(1, 5)
    found = near_pairs.costs(strands, np.zeros(4, np.intp), others)
    assert found.tolist() == [near_pairs._ENDS, 1.0, near_pairs._ENDS, near_pairs._CURVES]
    assert near_pairs.costs(strands, others, np.zeros(4, np.intp)).tolist() == found.tolist()


def test_a_run_that_goes_on_past_the_start_of_its_contour_lies_where_it_lies() -> None:
    # The first starts in the middle of the edge that it shares, and runs along another one besides.
    drawn = pathdata.parse(["M0 2V4H4V0H0z", "M0 1V3H-2V1z", "M4 1H6V2H4z"]).outlines
    runs = shared_runs(drawn, 0.05, 0.5)
    assert list(zip(runs.first.tolist(), runs.second.tolist(), strict=True)) == [(0, 1), (0, 2)]
    np.testing.assert_allclose(runs.length, [2.0, 1.0], atol=0.01)
    np.testing.assert_allclose(runs.bounds, [[0, 1, 0, 3], [4, 1, 4, 2]], atol=0.01)
    np.testing.assert_allclose(runs.points[0], [[0, 1], [0, 3]], atol=0.01)
