"""Geometry that makes no sense, sorted out before anything is measured. Knows no file format."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Outlines

__all__ = ["sane"]


def sane(outlines: Outlines, limit: float) -> tuple[Outlines, Flags]:
    """Outlines with absurd objects emptied, and which those are.

    Parameters
    ----------
    limit : distance from the origin from which on a coordinate is absurd; one that is no number always is.
    """
    bad = np.zeros(outlines.object_count, bool)
    with np.errstate(invalid="ignore"):
        segments = ~(np.abs(outlines.segments) < limit).all(axis=(1, 2))
        starts = ~(np.abs(outlines.starts) < limit).all(axis=1)
    of_contour = outlines.object_of_contour
    bad[of_contour[starts]] = True
    bad[of_contour[outlines.contour_of_segment[segments]]] = True
    if not bad.any():
        return outlines, bad
    joined = Outlines.joined([outlines, Outlines.empty(1)])
    return joined.of_objects(np.where(bad, outlines.object_count, np.arange(outlines.object_count))), bad
