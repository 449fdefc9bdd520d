"""Contours that meet themselves too often are stopped and named; those beside them are judged in full."""

import math
import random

import numpy as np

from preflight.geometry import pathdata
from preflight.geometry.crossings import between, self_crossings
from preflight.geometry.outlines import Outlines
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
