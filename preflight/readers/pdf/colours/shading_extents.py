"""How far shadings reach (ISO 32000-1 8.7.4.5). Knows numbers only."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from preflight.readers.pdf.functions.reading import Floats

__all__ = ["EVERYWHERE", "Box", "axial_box", "common_box", "function_box", "radial_box"]

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1; ends may be infinite."""

EVERYWHERE: Box = (-math.inf, -math.inf, math.inf, math.inf)


def axial_box(place: Sequence[float], extend: tuple[bool, bool]) -> Box | None:
    """Box of an axial shading from x0, y0 to x1, y1: a strip square to that line. None where it has no length.

    Only a strip along one of the axes has a box; an oblique one is cut off by the clip alone.
    """
    x0, y0, x1, y1 = place
    if (x0, y0) == (x1, y1):
        return None
    if y0 == y1:
        low, high = _reach(x0, x1, extend)
        return low, -math.inf, high, math.inf
    if x0 == x1:
        low, high = _reach(y0, y1, extend)
        return -math.inf, low, math.inf, high
    return EVERYWHERE


def _reach(start: float, end: float, extend: tuple[bool, bool]) -> tuple[float, float]:
    """Lowest and highest place between two, going on without end past those that extend."""
    away = math.inf if end > start else -math.inf
    places = (-away if extend[0] else start, away if extend[1] else end)
    return min(places), max(places)


def radial_box(place: Sequence[float], extend: tuple[bool, bool]) -> Box | None:
    """Box of a radial shading from circle x0, y0, r0 to circle x1, y1, r1. None where both are one point or circle."""
    x0, y0, r0, x1, y1, r1 = place
    if (x0, y0, r0) == (x1, y1, r1) or (r0 == 0 and r1 == 0):
        return None
    # Past the smaller circle the shading ends in a point; past the larger, or one as large, it has no end.
    boxes = [_circle(x0, y0, r0), _circle(x1, y1, r1)]
    if (extend[0] and r0 >= r1) or (extend[1] and r1 >= r0):
        return EVERYWHERE
    if extend[0] or extend[1]:
        share = r0 / (r0 - r1)
        boxes.append(_circle(x0 + share * (x1 - x0), y0 + share * (y1 - y0), 0.0))
    columns = list(zip(*boxes, strict=True))
    return min(columns[0]), min(columns[1]), max(columns[2]), max(columns[3])


def _circle(x: float, y: float, radius: float) -> Box:
    return x - radius, y - radius, x + radius, y + radius


def function_box(domain: Floats, matrix: Sequence[float]) -> Box:
    """Box of a shading by function: its domain (2, 2), mapped by a matrix of six numbers."""
    a, b, c, d, e, f = matrix
    corners = np.array([[x, y] for x in domain[0] for y in domain[1]])
    x = corners @ [a, c] + e
    y = corners @ [b, d] + f
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def common_box(one: Box, two: Box) -> Box:
    """What two boxes share; where they share nothing, a box without extent."""
    x0, y0 = max(one[0], two[0]), max(one[1], two[1])
    return x0, y0, max(x0, min(one[2], two[2])), max(y0, min(one[3], two[3]))
