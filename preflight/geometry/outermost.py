"""Where a shape reaches farthest towards one side. Knows no page and no artwork."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

__all__ = ["outermost"]

_DEPTH = 0.001
"""How far from the outermost place of a shape what counts as outermost may lie, in its unit."""


def outermost(shape: Any, side: int) -> tuple[float, float]:
    """The middle of the longest stretch along which a shape reaches farthest.

    Parameters
    ----------
    shape : shapely geometry, not empty
    side : 0 to 3: towards less x, less y, more x, more y
    """
    if shapely.get_dimensions(shape) == 0:
        points = shapely.get_coordinates(shape)
        x, y = points[int(np.argmin(points[:, side % 2] * (1 if side < 2 else -1)))].tolist()
        return x, y
    box = list(shape.bounds)
    box[(side + 2) % 4] = box[side] + (_DEPTH if side < 2 else -_DEPTH)
    outline = shape if shapely.get_dimensions(shape) < 2 else shapely.boundary(shape)
    parts = shapely.get_parts(shapely.line_merge(shapely.intersection(outline, shapely.box(*_upright(box)))))
    longest = parts[int(np.argmax(shapely.length(parts)))]
    middle = longest if shapely.length(longest) == 0.0 else longest.interpolate(0.5, normalized=True)
    place = [float(middle.x), float(middle.y)]
    place[side % 2] = float(box[side])
    return place[0], place[1]


def _upright(box: list[float]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
