"""Outlines of what lies above a level in an array of pixels, finer than a pixel. Knows no image format and no paint."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["MOST_STEPS", "beside", "traced"]

MOST_STEPS = 300_000
"""Neighbouring pixels on either side of the level that are traced at most; an image as noisy as that has no outline."""

_AT_ONCE = 4_000_000
"""Pixels traced together; as numbers of double precision they take 32 MB."""

_SLACK = 0.05
"""Pixels that outlines may be off for being simpler."""

Pixels = NDArray[np.uint8]


def traced(pixels: Pixels, level: float) -> Any:
    """The region in which pixels lie above a level.

    Parameters
    ----------
    pixels : (rows, columns) uint8. Values are those at the middle of each pixel, and run evenly from one to the next; along the border
        each reaches to the edge of the image.
    level : no whole number.

    Returns
    -------
    shapely geometry or None
        In pixels, x to the right and y down from the first corner of the first one. None where the pixels change too often.
    """
    rows, columns = pixels.shape
    above = pixels > level
    if not above.any():
        return shapely.Polygon()
    if above.all():
        return shapely.box(0, 0, columns, rows)
    steps = np.count_nonzero(above[1:] != above[:-1]) + np.count_nonzero(above[:, 1:] != above[:, :-1])
    if steps > MOST_STEPS:
        return None
    across = np.concatenate([[0.0], np.arange(columns) + 0.5, [float(columns)]])
    band = max(2, _AT_ONCE // (columns + 2))
    parts: list[Any] = []
    # Bands of rows that share their border rows: what is traced in one meets what is traced in the next exactly.
    for first in range(0, max(rows - 1, 1), band - 1):
        last = min(first + band, rows)
        down = np.arange(first, last) + 0.5
        values = pixels[first:last]
        if first == 0:
            down, values = np.insert(down, 0, 0.0), np.vstack([values[:1], values])
        if last == rows:
            down, values = np.append(down, float(rows)), np.vstack([values, values[-1:]])
        values = np.hstack([values[:, :1], values, values[:, -1:]])
        parts += _band(across, down, values, level)
        if last == rows:
            break
    region = parts[0] if len(parts) == 1 else shapely.union_all(parts)
    # The quick way may make rings touch that run within that distance of each other; the outline then stays as it is.
    simpler = shapely.simplify(region, _SLACK, preserve_topology=False)
    return simpler if shapely.is_valid(simpler) else region


def _band(across: NDArray[np.float64], down: NDArray[np.float64], values: Pixels, level: float) -> list[Any]:
    """Polygons of one band of rows."""
    if not (values > level).any():
        return []
    if (values > level).all():
        return [shapely.box(across[0], down[0], across[-1], down[-1])]
    from contourpy import FillType, contour_generator

    generator = contour_generator(across, down, values.astype(np.float64), fill_type=FillType.OuterOffset)
    filled: Any = generator.filled(level, 256.0)
    points, offsets = filled
    if not points:
        return []
    # Polygon by polygon: outer ring first, then its holes.
    rings = [
        shapely.linearrings(one, indices=np.repeat(np.arange(len(bounds) - 1), np.diff(bounds)))
        for one, bounds in zip(points, [np.asarray(bounds, np.intp) for bounds in offsets], strict=True)
    ]
    polygons = np.array([shapely.polygons(one[0], one[1:]) for one in rings], dtype=object)
    broken = ~shapely.is_valid(polygons)
    polygons[broken] = shapely.make_valid(polygons[broken])
    return [shapely.multipolygons(polygons)] if not broken.any() else [shapely.union_all(polygons)]


def beside(pixels: Pixels, low: float, high: float, reach: int) -> Pixels:
    """Pixels between two levels that have none above the higher one within some pixels, as 255; all others are 0.

    What merely softens an edge lies within a pixel or two of what is above; a soft shadow does not.
    """
    near = pixels > high
    # A square grows by its sides one after the other.
    for axis in (0, 1):
        grown = near.copy()
        for step in range(1, min(reach, pixels.shape[axis] - 1) + 1):
            ahead, behind = (slice(step, None), slice(None, -step))
            pick = (lambda part: (part, slice(None))) if axis == 0 else (lambda part: (slice(None), part))
            grown[pick(ahead)] |= near[pick(behind)]
            grown[pick(behind)] |= near[pick(ahead)]
        near = grown
    return np.where((pixels > low) & ~near, np.uint8(255), np.uint8(0))
