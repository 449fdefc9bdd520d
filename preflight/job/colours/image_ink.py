"""Where images lay down more ink than asked about. Knows no paint order and no rule."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.artwork import InkPixels
from preflight.colour.ink_names import CMYK
from preflight.geometry.tracing import traced

__all__ = ["HeavyPixels", "ImageInk"]

_MOST_PIXELS = 40_000_000
"""Pixels of a page that are decoded; a square metre at 160 pixels per inch, and about a second and a half."""

_LEAST_PIXELS = 20_000
"""What opening an image costs, however small it is, in pixels."""

_MOST_AVERAGES = 2_000_000
_ACROSS = 10
"""Averages along the side of the least area that is asked about."""

_INKS, _WHOLE = 4, 255.0


class HeavyPixels(NamedTuple):
    """A connected part of an image, mm, and the shares 0–1 of the process inks where it has most."""

    region: Any
    shares: dict[str, float]


class ImageInk:
    """The ink of images of one page; one that is drawn again and again at one size is decoded once."""

    def __init__(self) -> None:
        self._left = _MOST_PIXELS
        self._known: dict[tuple[Any, int, int], NDArray[np.uint8] | None] = {}

    def heavy(
        self,
        inks: InkPixels,
        pixels: tuple[int, int] | None,
        size: tuple[float, float] | None,
        limit: float,
        least_size: float,
    ) -> list[HeavyPixels] | None:
        """The parts of an image under more than ``limit`` % of ink, averaged over small areas; None where that cannot be told.

        Parameters
        ----------
        pixels, size : of the image: columns and rows; width and height in mm.
        least_size : mm². Smaller parts are left out; averages are taken over a hundredth of it.
        """
        if pixels is None or size is None:
            return None
        if size[0] * size[1] < least_size:
            return []
        averages = self._averages(inks, pixels, size, least_size)
        if averages is None:
            return None
        totals = np.rint(averages.sum(axis=2) / _INKS).astype(np.uint8)
        # Between two whole numbers: what lies at the limit does not pass it.
        region = traced(totals, math.floor(limit / 100.0 * _WHOLE / _INKS) + 0.5)
        if region is None:
            return None
        found = []
        a, b, c, d, e, f = inks.matrix
        rows, columns = totals.shape
        linear = np.array([[a, b], [c, d]]) / np.array([[columns], [rows]])
        scale = abs(float(np.linalg.det(linear)))
        for part in shapely.get_parts(region).tolist():
            if shapely.area(part) * scale >= least_size:
                placed = shapely.transform(part, lambda points: points @ linear + (e, f))
                found.append(HeavyPixels(placed, _most(part, averages, totals)))
        return found

    def _averages(
        self, inks: InkPixels, pixels: tuple[int, int], size: tuple[float, float], least_size: float
    ) -> NDArray[np.uint8] | None:
        side = max(math.sqrt(least_size) / _ACROSS, math.sqrt(size[0] * size[1] / _MOST_AVERAGES))
        columns, rows = (
            min(have, math.ceil(length / side)) if side > 0.0 else have
            for have, length in zip(pixels, size, strict=True)
        )
        key = (inks.decode, columns, rows)
        if key not in self._known:
            cost = max(pixels[0] * pixels[1], _LEAST_PIXELS)
            if cost > self._left:
                return None
            self._left -= cost
            self._known[key] = inks.decode(columns, rows)
        return self._known[key]


def _most(part: Any, averages: NDArray[np.uint8], totals: NDArray[np.uint8]) -> dict[str, float]:
    """The inks of the pixel with most of them in a part of the image, in pixels."""
    x0, y0, x1, y1 = shapely.bounds(part).tolist()
    left, top = math.floor(x0), math.floor(y0)
    right, bottom = min(math.ceil(x1), totals.shape[1]), min(math.ceil(y1), totals.shape[0])
    window = averages[top:bottom, left:right].astype(np.int64).sum(axis=2)
    down, across = np.unravel_index(np.argsort(-window, axis=None, kind="stable"), window.shape)
    # Another part may lie within the box of this one; its pixels are looked at in falling order until one is inside.
    inside = shapely.contains_xy(part, across + left + 0.5, down + top + 0.5)
    first = int(np.argmax(inside)) if inside.any() else 0
    pixel = averages[top + down[first], left + across[first]] / _WHOLE
    return dict(zip(CMYK, pixel.tolist(), strict=True))
