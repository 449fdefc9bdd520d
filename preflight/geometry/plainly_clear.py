"""Which boxes are plainly well away from the border of a region, told by single points. Knows nothing of what they are."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["plainly_clear"]


def plainly_clear(
    regions: Any, borders: Any, of: Integers, boxes: Floats, inside: float, anywhere: float
) -> Flags:
    """(n,) whether a box surely lies in its region and farther than ``inside`` from its border, or farther than ``anywhere`` from that.

    No point of a box is farther from another point than its farthest corner, and no nearer to a border than that point is by more
    than this. So a distance of the middle of the region tells of most of its boxes, and one of their own middles of most others: that
    costs a tenth of what the distances of the boxes do. A box that neither tells of is not said to be clear.

    Parameters
    ----------
    regions, borders : (k,) shapely polygons, best prepared, and their borders.
    of : (n,) the region of each box.
    boxes : (n, 4)
    inside, anywhere : in the unit of the regions.
    """
    middles = _middles(shapely.bounds(regions))
    within, apart = _places(regions, borders, middles)
    clear = within[of] & (apart[of] - _farthest(middles[of], boxes) > inside)
    rest = np.flatnonzero(~clear)
    middles = _middles(boxes[rest])
    within, apart = _places(regions[of[rest]], borders[of[rest]], middles)
    apart -= _farthest(middles, boxes[rest])
    clear[rest] = (apart > anywhere) | (within & (apart > inside))
    return clear


def _middles(boxes: Floats) -> Floats:
    return (boxes[:, :2] + boxes[:, 2:]) / 2


def _places(regions: Any, borders: Any, points: Floats) -> tuple[Flags, Floats]:
    """(n,) whether each point lies in its region, and how far it is from the border."""
    return shapely.contains_xy(regions, *points.T), shapely.distance(borders, shapely.points(points))


def _farthest(points: Floats, boxes: Floats) -> Floats:
    """(n,) how far the farthest corner of each box is from its point."""
    reach = np.maximum(points - boxes[:, :2], boxes[:, 2:] - points)
    return np.hypot(reach[:, 0], reach[:, 1])
