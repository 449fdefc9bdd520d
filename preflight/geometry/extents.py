"""Exact bounding boxes of curves. Knows nothing of strokes or pages."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Floats, Integers, Outlines

__all__ = ["contour_boxes", "object_boxes", "segment_boxes", "value_ranges"]


def segment_boxes(outlines: Outlines) -> Floats:
    """(n, 4) x0, y0, x1, y1 of each segment: of the curve itself, not of its control points."""
    segments = outlines.segments
    ends = segments[:, [0, 3]]
    low, high = ends.min(axis=1), ends.max(axis=1)
    inner_low = np.minimum(segments[:, 1], segments[:, 2])
    inner_high = np.maximum(segments[:, 1], segments[:, 2])
    # Only where a handle leaves the box of the ends can the curve leave it.
    loose, axis = np.nonzero((inner_low < low) | (inner_high > high))
    if len(loose):
        least, most = _reach(segments[loose, :, axis])
        low[loose, axis] = np.minimum(low[loose, axis], least)
        high[loose, axis] = np.maximum(high[loose, axis], most)
    return np.concatenate([low, high], axis=1)


def contour_boxes(outlines: Outlines) -> Floats:
    """(c, 4) box of each contour; NaN where it holds no segment."""
    return _grouped(segment_boxes(outlines), outlines.contour_offsets)


def object_boxes(outlines: Outlines) -> Floats:
    """(o, 4) box of each object; NaN where none of its contours holds a segment."""
    return _grouped(segment_boxes(outlines), outlines.contour_offsets[outlines.object_offsets])


def value_ranges(values: Floats) -> tuple[Floats, Floats]:
    """(k,) least and (k,) greatest value of cubics (k, 4) given by one coordinate, their ends included."""
    least, most = _reach(values)
    ends = values[:, [0, 3]]
    return np.minimum(least, ends.min(axis=1)), np.maximum(most, ends.max(axis=1))


def _reach(values: Floats) -> tuple[Floats, Floats]:
    """Least and greatest value inside (0, 1) of cubics (k, 4) given by one coordinate."""
    p0, p1, p2, p3 = values.T
    # Derivative over 3: a t² + 2 b t + c.
    with np.errstate(all="ignore"):
        a = (p3 - p0) + 3.0 * (p1 - p2)
        b = (p0 - p1) + (p2 - p1)
        c = p1 - p0
        root = np.sqrt(np.maximum(b * b - a * c, 0.0))
        # The stable pair of roots: no subtraction of nearly equal numbers.
        q = -(b + np.copysign(root, b))
        t = np.stack([q / a, c / q], axis=1)
    # Where there is no root the value at a stray parameter is still a point of the curve: harmless.
    t = np.where((t > 0.0) & (t < 1.0), t, 0.0)
    s = 1.0 - t
    with np.errstate(all="ignore"):
        at = s * s * (s * p0[:, None] + 3.0 * t * p1[:, None]) + t * t * (
            3.0 * s * p2[:, None] + t * p3[:, None]
        )
    return at.min(axis=1), at.max(axis=1)


def _grouped(boxes: Floats, offsets: Integers) -> Floats:
    """Boxes of runs of boxes; NaN for empty runs."""
    grouped = np.full((len(offsets) - 1, 4), np.nan)
    filled = np.flatnonzero(np.diff(offsets) > 0)
    if len(filled):
        firsts = offsets[:-1][filled]
        grouped[filled, :2] = np.minimum.reduceat(boxes[:, :2], firsts, axis=0)
        grouped[filled, 2:] = np.maximum.reduceat(boxes[:, 2:], firsts, axis=0)
    return grouped
