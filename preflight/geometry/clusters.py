"""Which things hang together through links between pairs of them. Knows no curves."""

from __future__ import annotations

import numpy as np

from .outlines import Integers

__all__ = ["linked"]


def linked(count: int, first: Integers, second: Integers) -> Integers:
    """Label of each of ``count`` things: the lowest index among those it hangs together with.

    Parameters
    ----------
    first, second : (k,) int
        The linked pairs, in any order; none leaves each thing by itself.

    Returns
    -------
    (count,) int
    """
    label = np.arange(count)
    while True:
        before = label.copy()
        low = np.minimum(label[first], label[second])
        np.minimum.at(label, first, low)
        np.minimum.at(label, second, low)
        # Following labels of labels halves the rounds that a long chain takes.
        label = label[label]
        if np.array_equal(before, label):
            return label
