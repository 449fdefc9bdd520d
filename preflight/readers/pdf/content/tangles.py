"""Finds paths that cross themselves beyond all reason, before anyone works out what they fill. Knows no paint and no file."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Floats, Outlines

__all__ = ["tangled"]

_MOST_MEETINGS = 1_000_000
"""Pairs of segments of one path whose boxes may meet; some seconds of work. A project assumption."""
_FEW = 1500
"""Segments of a path below which they cannot come to so many pairs."""
_ORDINARY = 16
"""Segments that each one's box meets in ordinary art: its neighbours, and those of contours close by."""
_LOOKED_AT = 64
"""Segments, evenly spread, whose meetings are counted to judge all of a path."""


def tangled(outlines: Outlines) -> int | None:
    """Index of the first object whose segments cross far more often than art does, or None.

    The count is an estimate from some of the segments, the same on every run.
    """
    offsets = outlines.contour_offsets[outlines.object_offsets]
    for index in np.flatnonzero(np.diff(offsets) > _FEW).tolist():
        segments = outlines.segments[offsets[index] : offsets[index + 1]]
        boxes = np.concatenate([segments.min(axis=1), segments.max(axis=1)], axis=1)
        if _meetings(boxes) > _MOST_MEETINGS:
            return int(index)
    return None


def _meetings(boxes: Floats) -> float:
    """About how many pairs of boxes (n, 4) meet, beyond those that neighbours make."""
    chosen = boxes[np.linspace(0, len(boxes) - 1, _LOOKED_AT).astype(np.intp)]
    beyond = 0
    for x0, y0, x1, y1 in chosen.tolist():
        meets = (boxes[:, 0] <= x1) & (boxes[:, 2] >= x0) & (boxes[:, 1] <= y1) & (boxes[:, 3] >= y0)
        beyond += max(0, int(np.count_nonzero(meets)) - _ORDINARY)
    return beyond / len(chosen) * len(boxes) / 2
