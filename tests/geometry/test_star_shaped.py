"""Contours that go round a point once: told for shapes known to do so, and never said of what GEOS finds to meet itself."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry.extents import contour_boxes
from preflight.geometry.flatten import flatten
from preflight.geometry.outlines import Flags, Outlines
from preflight.geometry.pathdata import parse
from preflight.geometry.star_shaped import star_shaped

CIRCLE = "M0 20A20 20 0 0 1 40 20A20 20 0 0 1 0 20z"
ROUNDED = "M5 0H35Q40 0 40 5V35C40 38 38 40 35 40H5A5 5 0 0 1 0 35V5A5 5 0 0 1 5 0z"
STAR = "M20 0L24 16L40 20L24 24L20 40L16 24L0 20L16 16z"


def _told(path: str) -> list[bool]:
    outlines = parse([path]).outlines
    return star_shaped(outlines, contour_boxes(outlines), 0.05).tolist()


@pytest.mark.parametrize("path", [CIRCLE, ROUNDED, STAR, "M0 0V40H40V0z", "M1900 900h60v2h-60z"])
def test_what_goes_round_its_middle_is_told_whichever_way_it_goes(path: str) -> None:
    assert _told(path) == [True]


@pytest.mark.parametrize(
    "path",
    [
        "M0 0C60 40 60 0 0 40C-60 80 -60 40 0 0z",  # a figure of eight
        "M0 0C80 60 -40 60 40 0V-20H0z",  # a loop
        "M0 0H40V40H30V10H10V40H0z",  # round no middle
        f"{CIRCLE[:-1]}A20 20 0 0 1 40 20A20 20 0 0 1 0 20z",  # twice round
        "M0 20A20 20 0 0 1 40 20A20 20 0 0 1 0 20.009",  # its ends apart
        "M0 0H40V40H0V40.00001V0z",  # there and back again
        "M0 0H40V0.1H0z",  # its middle too near its border
        "M0 0H40z",
        "M0 0H1e200V1e200H0z",  # too large to be squared
    ],
)
def test_anything_else_is_not(path: str) -> None:
    assert _told(path) == [False]


def test_each_contour_is_told_by_itself() -> None:
    assert _told(f"{CIRCLE}M0 0H40z{STAR}") == [True, False, True]
    assert star_shaped(Outlines.empty(), np.empty((0, 4)), 0.05).tolist() == []


def _rings(outlines: Outlines, flatness: float, chosen: Flags) -> np.ndarray:
    chains = flatten(outlines.of_contours(np.flatnonzero(chosen)), flatness)
    numbers = np.repeat(np.arange(len(chains.offsets) - 1), np.diff(chains.offsets))
    return shapely.polygons(shapely.linearrings(chains.points, indices=numbers))


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), wild=st.floats(0.0, 2.0))
def test_however_they_are_flattened_they_do_not_meet_themselves(seed: int, wild: float) -> None:
    chance = np.random.default_rng(seed)
    count, sides = 60, int(chance.integers(2, 9))
    turn = np.arange(sides) * 2 * np.pi / sides + chance.uniform(0, 2 * np.pi, (count, 1))
    nodes = 10.0 * np.stack([np.cos(turn), np.sin(turn)], axis=2) + wild * chance.normal(
        0, 3, (count, sides, 2)
    )
    ahead = np.stack([-nodes[..., 1], nodes[..., 0]], axis=2) * np.tan(np.pi / sides / 2) * 2 / 3 * 1.5
    ahead += wild * chance.normal(0, 2, ahead.shape)
    after, before = np.roll(nodes, -1, axis=1), np.roll(ahead, -1, axis=1)
    curves = np.stack([nodes, nodes + ahead, after - before, after], axis=2).reshape(-1, 4, 2) + 1000.0
    offsets = np.arange(count + 1) * sides
    outlines = Outlines(
        curves,
        np.zeros(len(curves), bool),
        offsets,
        np.arange(count + 1),
        curves[offsets[:-1], 0],
        np.ones(count, bool),
        np.zeros(count),
    )
    boxes = contour_boxes(outlines)
    told = star_shaped(outlines, boxes, 0.05)
    middles = (boxes[told, :2] + boxes[told, 2:]) / 2
    for flatness in (0.05, 0.002):
        regions = _rings(outlines, flatness, told)
        assert shapely.is_valid(regions).all()
        assert shapely.contains_xy(regions, *middles.T).all()
    if wild == 0.0 and sides > 2:
        assert told.all()
