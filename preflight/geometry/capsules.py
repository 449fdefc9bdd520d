"""Which part of a straight piece lies within a distance of another one, in closed form. Knows two pieces only."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Flags, Floats

__all__ = ["inside_capsules"]


def inside_capsules(
    pieces: Floats, others: Floats, rounded: Flags, within: float
) -> tuple[Floats, Floats, Flags]:
    """Span (k,), (k,) of each piece (k, 2, 2), from 0 to 1, that lies within a distance of another piece.

    The points near a straight piece form a convex capsule: two discs and a strip between. A straight piece
    is inside it over one span, from the least to the greatest of its spans in the three. ``rounded`` (k, 2)
    says which ends of the other piece have their disc: without it the capsule is cut off square, so that a
    stretch is not measured longer than what it shares. The flags say whether there is any span.
    """
    origin, along = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    axis = others[:, 1] - others[:, 0]
    size = np.maximum(np.sqrt((axis * axis).sum(axis=1)), 1e-300)
    axis = axis / size[:, None]
    spans = [_in_disc(origin - others[:, k], along, within, rounded[:, k]) for k in (0, 1)]
    spans.append(_in_strip(origin - others[:, 0], along, axis, size, within))
    low = np.min([np.where(stop >= start, start, np.inf) for start, stop in spans], axis=0)
    high = np.max([np.where(stop >= start, stop, -np.inf) for start, stop in spans], axis=0)
    low, high = np.clip(low, 0.0, 1.0), np.clip(high, 0.0, 1.0)
    return low, high, high > low


def _in_disc(origin: Floats, along: Floats, radius: float, there: Flags) -> tuple[Floats, Floats]:
    square = np.maximum((along * along).sum(axis=1), 1e-300)
    nearest = -(origin * along).sum(axis=1) / square
    apart = origin + along * nearest[:, None]
    left = radius * radius - (apart * apart).sum(axis=1)
    half = np.sqrt(np.maximum(left, 0.0) / square)
    return nearest - half, np.where(there & (left >= 0.0), nearest + half, -np.inf)


def _in_strip(
    origin: Floats, along: Floats, axis: Floats, size: Floats, width: float
) -> tuple[Floats, Floats]:
    begin, step = (origin * axis).sum(axis=1), (along * axis).sum(axis=1)
    start, stop = _between(begin, step, np.zeros(len(size)), size)
    aside = axis[:, 0] * origin[:, 1] - axis[:, 1] * origin[:, 0]
    drift = axis[:, 0] * along[:, 1] - axis[:, 1] * along[:, 0]
    limit = np.full(len(size), width)
    start_aside, stop_aside = _between(aside, drift, -limit, limit)
    return np.maximum(start, start_aside), np.minimum(stop, stop_aside)


def _between(begin: Floats, step: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Span of u for which begin + u·step lies between two values."""
    still = np.abs(step) < 1e-12
    safe = np.where(still, 1.0, step)
    one, other = (low - begin) / safe, (high - begin) / safe
    inside = (begin >= low) & (begin <= high)
    start = np.where(still, np.where(inside, -np.inf, np.inf), np.minimum(one, other))
    stop = np.where(still, np.where(inside, np.inf, -np.inf), np.maximum(one, other))
    return start, stop
