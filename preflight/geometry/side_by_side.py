"""Which pairs of curves run along each other anywhere, and which surely nowhere. Knows single curves, no contours."""

from __future__ import annotations

import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Flags, Floats

__all__ = ["head_alike", "may_run_along"]

_FLAT = 0.005
"""mm: pieces that bend no more are told apart no further."""

_BATCH = 50_000


def may_run_along(first: Floats, second: Floats, within: float, aslant: float) -> Flags:
    """(k,) pairs of curves (k, 4, 2) with places within a distance that head alike, or opposite, but for an angle.

    The curve that bends more is halved until both are nearly straight; pieces that a box or a strip parts, and pieces whose
    headings differ by more wherever on them, are dropped. A pair of which a piece is left may run along each other.

    Parameters
    ----------
    within : float, mm
    aslant : float, radians
        Below a right angle.
    """
    may = np.zeros(len(first), bool)
    for begin in range(0, len(first), _BATCH):
        part = slice(begin, begin + _BATCH)
        may[part] = _of_batch(first[part], second[part], within, aslant)
    return may


def _of_batch(a: Floats, b: Floats, within: float, aslant: float) -> Flags:
    may = np.zeros(len(a), bool)
    pair = np.arange(len(a))
    while len(pair):
        box_a, box_b = cubics.hull_boxes(a), cubics.hull_boxes(b)
        keep = (box_a[:, :2] <= box_b[:, 2:] + within).all(axis=1)
        keep &= (box_b[:, :2] <= box_a[:, 2:] + within).all(axis=1)
        pair, a, b = pair[keep], a[keep], b[keep]
        near = ~cubics.kept_apart(a, b, within)
        pair, a, b = pair[near], a[near], b[near]
        alike = head_alike(a, b, aslant)
        pair, a, b = pair[alike], a[alike], b[alike]
        bend_a, bend_b = cubics.bends(a), cubics.bends(b)
        may[pair[(bend_a <= _FLAT) & (bend_b <= _FLAT)]] = True
        left = ~may[pair]
        pair, a, b, in_a = pair[left], a[left], b[left], (bend_a >= bend_b)[left]
        a_low, a_high = cubics.halves(a[in_a])
        b_low, b_high = cubics.halves(b[~in_a])
        pair = np.concatenate([pair[in_a], pair[in_a], pair[~in_a], pair[~in_a]])
        a, b = (
            np.concatenate([a_low, a_high, a[~in_a], a[~in_a]]),
            np.concatenate([b[in_a], b[in_a], b_low, b_high]),
        )
    return may


def head_alike(first: Floats, second: Floats, aslant: float) -> Flags:
    """(k,) pairs of curves (k, 4, 2) that may somewhere head alike, or opposite, but for an angle in radians."""
    (heading, spread), (other, other_spread) = _headings(first), _headings(second)
    off = np.abs(np.mod(heading - other + np.pi / 2.0, np.pi) - np.pi / 2.0)
    return np.asarray(off <= aslant + spread + other_spread + 1e-9)


def _headings(curves: Floats) -> tuple[Floats, Floats]:
    """(k,) heading of each chord, and how far the curve's own headings stray from it at most, in radians."""
    chord = curves[:, 3] - curves[:, 0]
    steps = np.diff(curves, axis=1)
    along = steps[..., 0] * chord[:, None, 0] + steps[..., 1] * chord[:, None, 1]
    aside = np.abs(steps[..., 1] * chord[:, None, 0] - steps[..., 0] * chord[:, None, 1])
    # A curve's heading lies between those of the sides of its control polygon, while these span no half turn.
    spread = np.arctan2(aside, along).max(axis=1, initial=0.0)
    spread[(chord == 0.0).all(axis=1)] = np.pi
    return np.arctan2(chord[:, 1], chord[:, 0]), spread
