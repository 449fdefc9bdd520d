"""Affine maps of outlines. Knows matrices, not where they come from."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry.outlines import Floats, Outlines

__all__ = ["apply", "product"]


def apply(outlines: Outlines, matrices: Floats) -> Outlines:
    """Outlines with every object moved by its matrix.

    Parameters
    ----------
    outlines : Outlines, o objects
    matrices : (o, 6) or (6,)
        a, b, c, d, e, f of SVG: x' = a x + c y + e, y' = b x + d y + f. One for all, or one an object.

    Returns
    -------
    Outlines
        ``gaps`` are measured anew, since a matrix may scale unevenly. Where a contour was closed with an
        explicit line that line is what spanned the gap, so its mapped length is the gap.

    Raises
    ------
    ValueError
        The number of matrices is neither one nor that of the objects.
    """
    matrices = np.asarray(matrices, np.float64)
    if matrices.shape not in ((6,), (outlines.object_count, 6)):
        raise ValueError(f"matrices of shape {matrices.shape} for {outlines.object_count} objects")
    if matrices.ndim == 2 and len(matrices) and bool((matrices == matrices[0]).all()):
        matrices = matrices[0]  # nothing but groups is moved on many a large sheet
    if matrices.ndim == 1:
        a, b, c, d, e, f = matrices
        starts = _mapped(outlines.starts, (a, b, c, d, e, f))
        segments = _mapped(outlines.segments, (a, b, c, d, e, f))
    else:
        of_contour = matrices[outlines.object_of_contour]
        of_segment = np.repeat(of_contour, outlines.segment_counts, axis=0)
        starts = _mapped(outlines.starts, tuple(of_contour.T))
        segments = _mapped(outlines.segments, tuple(column[:, None] for column in of_segment.T))
    moved = msgspec.structs.replace(outlines, segments=segments, starts=starts)
    return msgspec.structs.replace(moved, gaps=_mapped_gaps(outlines, moved))


def product(outer: Floats, inner: Floats) -> Floats:
    """Matrices (..., 6) that map by ``inner`` first and ``outer`` then; the shapes broadcast."""
    a, b, c, d, e, f = np.moveaxis(np.asarray(outer, np.float64), -1, 0)
    g, h, i, j, k, m = np.moveaxis(np.asarray(inner, np.float64), -1, 0)
    columns = (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )
    return np.stack(np.broadcast_arrays(*columns), axis=-1)


def _mapped(points: Floats, matrix: tuple[Floats, ...]) -> Floats:
    a, b, c, d, e, f = matrix
    x, y = points[..., 0], points[..., 1]
    mapped = np.empty_like(points)
    # Absurd coordinates overflow to infinity; the caller looks for values that are not finite.
    with np.errstate(over="ignore", invalid="ignore"):
        mapped[..., 0] = a * x + c * y + e
        mapped[..., 1] = b * x + d * y + f
    return mapped


def _mapped_gaps(before: Outlines, after: Outlines) -> Floats:
    open_ends = before.ends
    gapped = before.closed & (before.gaps > 0.0) & (before.segment_counts > 0)
    last = after.contour_offsets[1:] - 1
    ends = after.ends
    # The closing line starts where the drawing ended.
    ends[gapped] = after.segments[last[gapped], 0]
    with np.errstate(over="ignore", invalid="ignore"):
        gaps = np.hypot(*(ends - after.starts).T)
    # Ends that coincide in the file coincide after any map, whatever rounding says.
    together = ~gapped & np.all(open_ends == before.starts, axis=1)
    gaps[together] = 0.0
    return np.asarray(gaps)
