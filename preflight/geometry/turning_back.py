"""Which curves come back upon themselves, and which surely do not. Knows single curves, no contours."""

from __future__ import annotations

import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Flags, Floats
from preflight.geometry.side_by_side import head_alike

__all__ = ["may_turn_back"]

_AHEAD = 0.55
"""Cosine: headings within 56° of a direction, so that any two differ by less than 120° and no way bends to less than half its length."""

_LEAST = 1.0 / 128.0
"""Of the parameter: shorter pieces are told apart no further."""


def may_turn_back(curves: Floats, within: float, aslant: float) -> Flags:
    """(k,) curves (k, 4, 2) of which two pieces with a turn between them come within a distance, and head alike or opposite.

    A stretch all of whose headings lie within 56° of one direction does not come back: places on it are apart at least by
    half of the way between them. Curves are halved until this, or a box or a strip between two pieces, or their headings, say so
    of all of it. Of which a piece is left, the curve may.

    Parameters
    ----------
    within : float, mm
    aslant : float, radians
        What cuts across itself at a wider angle does not run along itself.
    """
    may = np.zeros(len(curves), bool)
    row = np.arange(len(curves))
    # Two pieces of a curve, the first before the second or the same.
    spans = np.tile([0.0, 1.0, 0.0, 1.0], (len(curves), 1))
    while len(row):
        left = ~may[row]
        left[left] = ~_goes_ahead(cubics.piece(curves[row[left]], spans[left, 0], spans[left, 3]))
        row, spans = row[left], spans[left]
        two = np.flatnonzero(spans[:, 0] != spans[:, 2])
        first, second = (cubics.piece(curves[row[two]], spans[two, k], spans[two, k + 1]) for k in (0, 2))
        near = np.ones(len(row), bool)
        near[two] = ~cubics.kept_apart(first, second, within)
        near[two] &= _boxes_near(first, second, within) & head_alike(first, second, aslant)
        row, spans = row[near], spans[near]
        short = spans[:, 1] - spans[:, 0] <= _LEAST
        may[row[short]] = True
        row, spans = row[~short], spans[~short]
        low, mid, high, to_mid, other = (
            spans[:, 0],
            (spans[:, 0] + spans[:, 1]) / 2.0,
            spans[:, 1],
            (spans[:, 2] + spans[:, 3]) / 2.0,
            spans[:, 0] != spans[:, 2],
        )
        parts = [
            (low, mid, spans[:, 2], to_mid, np.ones(len(row), bool)),
            (low, mid, to_mid, spans[:, 3], np.ones(len(row), bool)),
            (mid, high, to_mid, spans[:, 3], np.ones(len(row), bool)),
            (mid, high, spans[:, 2], to_mid, other),
        ]
        row = np.concatenate([row[chosen] for *_, chosen in parts])
        spans = np.concatenate([np.stack(columns, axis=1)[chosen] for *columns, chosen in parts])
    return may


def _goes_ahead(curves: Floats) -> Flags:
    """(k,) curves all of whose headings lie near one direction."""
    steps = np.diff(curves, axis=1)
    size = np.hypot(steps[..., 0], steps[..., 1])
    along = (steps / np.where(size > 0.0, size, 1.0)[..., None]).sum(axis=1)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-300)[:, None]
    return np.asarray(((steps * along[:, None]).sum(axis=2) >= _AHEAD * size).all(axis=1))


def _boxes_near(first: Floats, second: Floats, within: float) -> Flags:
    one, other = cubics.hull_boxes(first), cubics.hull_boxes(second)
    near = (one[:, :2] <= other[:, 2:] + within).all(axis=1)
    return np.asarray(near & (other[:, :2] <= one[:, 2:] + within).all(axis=1))
