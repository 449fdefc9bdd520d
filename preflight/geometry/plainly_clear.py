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
    regions, borders : (k,) shapely polygons, and their borders, which may leave the true ones by less than ``inside``.
    of : (n,) the region of each box.
    boxes : (n, 4)
    inside, anywhere : in the unit of the regions.
    """
    middles = _middles(shapely.bounds(regions))
    apart = shapely.distance(borders, shapely.points(middles))
    within = shapely.contains_xy(regions, *middles.T)
    clear: Flags = within[of] & (apart[of] - _farthest(middles[of], boxes) > inside)
    own = _middles(boxes)
    moved = np.hypot(*(own - middles[of]).T)
    # No border comes nearer to a point than it is to another by more than lies between the two.
    rest = np.flatnonzero(~clear & (apart[of] + moved - _farthest(own, boxes) > min(inside, anywhere)))
    of, boxes, own, moved = of[rest], boxes[rest], own[rest], moved[rest]
    away = shapely.distance(borders[of], shapely.points(own))
    room = away - _farthest(own, boxes)
    clear[rest] = room > anywhere
    # Nor does one run between two points that lie nearer together than one of them is to any.
    held = within[of]
    asked = (room > inside) & (room <= anywhere) & (moved + inside > np.maximum(away, apart[of]))
    held[asked] = shapely.contains_xy(regions[of[asked]], *own[asked].T)
    clear[rest] |= held & (room > inside)
    return clear


def _middles(boxes: Floats) -> Floats:
    return (boxes[:, :2] + boxes[:, 2:]) / 2


def _farthest(points: Floats, boxes: Floats) -> Floats:
    """(n,) how far the farthest corner of each box is from its point."""
    reach = np.maximum(points - boxes[:, :2], boxes[:, 2:] - points)
    return np.hypot(reach[:, 0], reach[:, 1])
