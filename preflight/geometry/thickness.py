"""How thick regions are at most: the largest circle that fits in. Knows nothing of art and lines."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.extents import contour_boxes
from preflight.geometry.measure import contour_areas
from preflight.geometry.outlines import Flags, Floats, Outlines

__all__ = ["may_be_thin", "thicknesses"]

_HALVINGS = 12
"""Steps by which a thickness is closed in on: to 1/4096 of the limit."""


_CIRCLE = 1 / 64
"""Of the limit: how near the circle is found that is looked for in regions with too many edges to take anything off them."""

_MOST_CROSSINGS = 100_000


def may_be_thin(outlines: Outlines, limit: float) -> Flags:
    """(o,) whether a part of what an object fills may be thinner than the limit all over; false only where none is.

    A simply connected region in which no circle of radius r fits lies within r of its edge, and so holds no more area than r times
    the length of its edge. Two contours are let off where the box of one lies in that of the other, which are taken for a ring, or
    where their boxes lie apart; objects of more contours are not.
    """
    segments = outlines.segments
    # The control polygon is never shorter than the curve.
    x, y = (np.diff(segments[:, :, axis].T, axis=0) for axis in range(2))
    reach = np.hypot(x, y).sum(axis=0)
    edges = np.bincount(outlines.contour_of_segment, reach, outlines.contour_count) + outlines.gaps
    areas = np.abs(contour_areas(outlines))
    with np.errstate(invalid="ignore"):
        fat = areas >= limit / 2 * edges
    owner, objects = outlines.object_of_contour, outlines.object_count
    counts = np.bincount(owner, minlength=objects)
    every_fat = np.bincount(owner, ~fat, objects) == 0
    # One contour inside another bounds a ring: what the larger one holds more must be enough for both edges.
    more = 2 * _greatest(areas, owner, objects) - np.bincount(owner, areas, objects)
    ring_fat = more >= limit / 2 * np.bincount(owner, edges, objects)
    nested, apart = _nested_or_apart(outlines)
    let_off = (counts == 1) | ((counts == 2) & ((ring_fat & nested) | apart))
    return np.asarray((counts > 0) & ~(every_fat & let_off))


def _nested_or_apart(outlines: Outlines) -> tuple[Flags, Flags]:
    """(o,) objects of two contours, the box of one in that of the other; and those whose boxes have nothing in common."""
    pairs = np.flatnonzero(np.diff(outlines.object_offsets) == 2)
    firsts = outlines.object_offsets[:-1][pairs]
    one, other = (contour_boxes(outlines.of_contours(contours)) for contours in (firsts, firsts + 1))
    nested, apart = np.zeros((2, outlines.object_count), bool)
    for inner, outer in ((one, other), (other, one)):
        nested[pairs] |= ((inner[:, :2] > outer[:, :2]) & (inner[:, 2:] < outer[:, 2:])).all(axis=1)
        apart[pairs] |= (inner[:, :2] > outer[:, 2:]).any(axis=1)
    return nested, apart


def _greatest(values: Floats, owner: Any, count: int) -> Floats:
    found = np.zeros(count)
    np.maximum.at(found, owner, values)
    return found


def thicknesses(regions: Any, limit: float) -> Floats:
    """(k,) diameter of the largest circle within each polygon, where it is below the limit; else infinite.

    Parameters
    ----------
    regions : (k,) shapely polygons.
    limit : above 0, in the unit of the regions.
    """
    regions = np.asarray(regions, dtype=object)
    found = np.full(len(regions), np.inf)
    ragged = _ragged(regions, limit)
    for row in np.flatnonzero(ragged).tolist():  # next to none
        circle = 2 * shapely.length(shapely.maximum_inscribed_circle(regions[row], limit * _CIRCLE))
        found[row] = circle if circle < limit else np.inf
    whole = np.flatnonzero(~ragged & ~shapely.is_empty(regions))
    thin = whole[shapely.is_empty(_eroded(regions[whole], limit))]
    low, high = np.zeros(len(thin)), np.full(len(thin), limit)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        gone = shapely.is_empty(_eroded(regions[thin], middle))
        high, low = np.where(gone, middle, high), np.where(gone, low, middle)
    found[thin] = (low + high) / 2
    return found


def _ragged(regions: Any, limit: float) -> Flags:
    """(k,) whether the strips that are taken off along the edges of a region lie on each other so often that it takes gigabytes."""
    with np.errstate(invalid="ignore", divide="ignore"):
        times = shapely.length(regions) * limit / 2 / shapely.area(regions)
    return np.asarray(
        shapely.get_num_coordinates(regions) * np.nan_to_num(times, posinf=0.0) > _MOST_CROSSINGS
    )


def _eroded(regions: Any, by: Any) -> Any:
    """What is left of regions when half of ``by`` is taken off along their edges."""
    return shapely.buffer(regions, -np.asarray(by) / 2, join_style="mitre")
