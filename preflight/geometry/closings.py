"""Contours whose two ends miss each other by next to nothing, with the ends put together. Knows no limits of a job."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry.outlines import Integers, Outlines

__all__ = ["with_ends_together"]


def with_ends_together(drawn: Outlines, within: float) -> Outlines:
    """The contours, those ends moved onto their start that lie no farther from it; what closed the gap has no length then.

    Programs that write numbers relative to each other, or rounded, come back to a start by no more than their last digits. A
    closing line so short would be a corner of its own, turned right back where the contour went on too far.

    Parameters
    ----------
    within : float, mm
        Segments keep their number and place in the arrays, and ``gaps`` what was drawn.
    """
    first, last = drawn.contour_offsets[:-1], drawn.contour_offsets[1:] - 1
    missing = (drawn.gaps > 0.0) & (drawn.gaps <= within)
    by_line = missing & drawn.closed
    chosen = np.flatnonzero(missing & (last - by_line > first))
    if not len(chosen):
        return drawn
    segments = drawn.segments.copy()
    starts = drawn.starts[chosen]
    closing = by_line[chosen]
    segments[last[chosen[closing]]] = starts[closing, None]
    ending: Integers = last[chosen] - closing
    moved = starts - segments[ending, 3]
    straight = drawn.straight[ending]
    # A line's control points stay at its thirds, a curve's handle stays as it is.
    shares = np.where(straight[:, None], np.array([0.0, 1.0, 2.0, 3.0]) / 3.0, np.array([0.0, 0.0, 1.0, 1.0]))
    segments[ending] += shares[:, :, None] * moved[:, None]
    segments[ending, 3] = starts
    return msgspec.structs.replace(drawn, segments=segments)
