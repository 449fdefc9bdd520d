"""Outlines traced from pixels: closed forms, and random blobs against the squares their pixels are."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from preflight.geometry import tracing
from preflight.geometry.tracing import beside, traced


def disc(size: int, x: float, y: float, radius: float) -> NDArray[np.uint8]:
    """Opacity of a disc, each pixel as much of it as it covers, near enough."""
    rows, columns = np.mgrid[:size, :size] + 0.5
    return np.rint(np.clip(radius - np.hypot(columns - x, rows - y) + 0.5, 0, 1) * 255).astype(np.uint8)


def blobs(seed: int, rows: int = 120, columns: int = 90) -> NDArray[np.uint8]:
    """Smooth random blobs, black and white."""
    noise = np.fft.rfft2(np.random.default_rng(seed).normal(size=(rows, columns)))
    coarse = np.exp(-200 * (np.fft.fftfreq(rows)[:, None] ** 2 + np.fft.rfftfreq(columns)[None] ** 2))
    return np.where(np.fft.irfft2(noise * coarse, (rows, columns)) > 0, 255, 0).astype(np.uint8)


def squares(pixels: NDArray[np.uint8]) -> Any:
    rows, columns = np.nonzero(pixels > 127)
    return shapely.union_all(shapely.box(columns, rows, columns + 1, rows + 1))


@pytest.mark.parametrize("radius", [3.3, 12.0, 47.8])
def test_a_disc(radius: float) -> None:
    region = traced(disc(110, 54.3, 55.9, radius), 127.5)
    assert region.area == pytest.approx(math.pi * radius**2, rel=0.03)
    distances = shapely.distance(shapely.points(shapely.get_coordinates(region)), shapely.Point(54.3, 55.9))
    assert np.abs(distances - radius).max() < 0.15


@pytest.mark.parametrize("seed", range(8))
def test_blobs_lie_within_a_pixel_of_their_pixels(seed: int) -> None:
    pixels = blobs(seed)
    region, expected = traced(pixels, 127.5), squares(pixels)
    assert region.is_valid
    assert region.area == pytest.approx(expected.area, rel=0.005)
    assert region.boundary.hausdorff_distance(expected.boundary) < 0.7


def test_bands_of_rows_meet(monkeypatch: pytest.MonkeyPatch) -> None:
    pixels = blobs(3)
    whole = traced(pixels, 127.5)
    monkeypatch.setattr(tracing, "_AT_ONCE", 5 * pixels.shape[1])
    banded = traced(pixels, 127.5)
    assert shapely.get_num_geometries(banded) == shapely.get_num_geometries(whole)
    assert banded.symmetric_difference(whole).area < 0.1 * whole.length * tracing._SLACK + 1
    assert banded.is_valid


def test_what_reaches_the_border_ends_there() -> None:
    pixels = np.zeros((8, 10), np.uint8)
    pixels[:, :4] = 255
    assert traced(pixels, 127.5).equals(shapely.box(0, 0, 4, 8))
    assert traced(np.full((3, 5), 255, np.uint8), 127.5).equals(shapely.box(0, 0, 5, 3))
    assert traced(np.zeros((3, 5), np.uint8), 127.5).is_empty


@pytest.mark.parametrize("shape", [(1, 1), (1, 7), (7, 1), (2, 2)])
def test_tiny_images(shape: tuple[int, int]) -> None:
    assert traced(np.full(shape, 200, np.uint8), 127.5).area == shape[0] * shape[1]
    half = np.zeros(shape, np.uint8)
    half.flat[0] = 255
    assert traced(half, 127.5).is_valid


def test_a_hole_and_an_island_in_it() -> None:
    pixels = disc(60, 30, 30, 25) - disc(60, 30, 30, 15) + disc(60, 30, 30, 6)
    region = traced(pixels, 127.5)
    assert shapely.get_num_geometries(region) == 2
    assert region.area == pytest.approx(math.pi * (25**2 - 15**2 + 6**2), rel=0.01)


def test_noise_is_not_traced(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tracing, "MOST_STEPS", 1000)
    assert traced(np.random.default_rng(1).integers(0, 256, (90, 90)).astype(np.uint8), 127.5) is None


def test_a_soft_edge_is_no_shadow() -> None:
    assert not beside(disc(60, 30, 30, 20), 10.5, 127.5, 2).any()
    shadowed = disc(60, 30, 30, 12)
    rows, columns = np.mgrid[:60, :60] + 0.5
    away = np.hypot(columns - 30, rows - 30)
    shadowed = np.maximum(shadowed, np.where(away < 22, 80, 0).astype(np.uint8))
    found = beside(shadowed, 10.5, 127.5, 2) > 0
    assert not found[away < 13.5].any()
    assert found[(away > 16) & (away < 22)].all()
