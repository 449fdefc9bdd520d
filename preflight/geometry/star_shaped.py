"""Which contours go round a point once without ever turning back, as seen from it. Knows nothing of what they bound."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Floats, Outlines

__all__ = ["MOST_POINTS", "star_shaped"]

MOST_POINTS = 10_000
"""Of a chain that is told about."""

_LEAST_SPAN = 1e-4
"""Of the square of the box's diagonal: what any two control points of a segment span with the middle, twice the area of their triangle, at
the least. Seen from there the contour turns by 7e-8 at the least between two of `MOST_POINTS` then."""

_ROUNDING = 1e-7
"""Of the product of the diagonal and the largest coordinate: the square of how near the contour may come to the middle. What points so far
from it span at so small a turn is some times what rounding comes to."""

_PACE = 0.6
"""The middle is no nearer than this times the least span over the longest step between control points. The span that a curve sweeps over in
its parameter has sums of those spans for coefficients (Bernstein's), 1.8 times the least one or more; its speed is at most thrice that step."""


def star_shaped(outlines: Outlines, boxes: Floats, flatness: float) -> Flags:
    """(c,) whether a contour surely goes round the middle of its box once and never turns back, as seen from there.

    However finely it is flattened, but to within ``flatness`` and by no more than `MOST_POINTS`, it makes a ring that does not meet itself
    and holds the middle. One that is not said to do so may do it all the same, such as one with a segment of no length.

    Parameters
    ----------
    outlines : Outlines, c contours of one segment at least, in mm or any other unit.
    boxes : (c, 4) exact extents of the contours.
    """
    if not outlines.contour_count:
        return np.zeros(0, bool)
    # Of coordinates too large to square nothing is said.
    with np.errstate(over="ignore", invalid="ignore"):
        return _star_shaped(outlines, boxes, flatness)


def _star_shaped(outlines: Outlines, boxes: Floats, flatness: float) -> Flags:
    firsts, counts = outlines.contour_offsets[:-1], outlines.segment_counts
    middles, size = (boxes[:, :2] + boxes[:, 2:]) / 2, np.hypot(*(boxes[:, 2:] - boxes[:, :2]).T)
    points = outlines.segments - np.repeat(middles, counts, axis=0)[:, None]
    x, y = np.ascontiguousarray(points.transpose(2, 1, 0))
    spans = [x[one] * y[other] - x[other] * y[one] for one in range(3) for other in range(one + 1, 4)]
    # All control points stand in one another's turn, and less than half a turn from first to last: so does the curve between them.
    least, most = np.minimum.reduce(spans), np.maximum.reduce(spans)
    onward = np.maximum(np.minimum.reduceat(least, firsts), -np.maximum.reduceat(most, firsts))
    step = np.sqrt(
        np.maximum.reduceat((np.diff(x, axis=0) ** 2 + np.diff(y, axis=0) ** 2).max(axis=0), firsts)
    )
    turns = np.add.reduceat((y[0] < 0.0) & (y[3] >= 0.0), firsts, dtype=np.intp)
    largest = np.abs(boxes).max(axis=1)
    apart = np.maximum(2.0 * flatness, np.sqrt(_ROUNDING * size * largest))
    return np.asarray(
        (onward > _LEAST_SPAN * size**2)
        & (_PACE * onward > apart * step)
        & (turns == 1)
        & (outlines.starts == outlines.ends).all(axis=1)
    )
