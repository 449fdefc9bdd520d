"""Which things hang together through links between pairs of them. Knows no curves."""

from __future__ import annotations

import numpy as np

from .outlines import Integers

__all__ = ["linked", "members"]


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


def members(labels: Integers, count: int) -> list[Integers]:
    """The things of each label from 0 to ``count``, ascending; in one go for all, where one at a time would be quadratic.

    Parameters
    ----------
    labels : (k,) int
    """
    order = np.argsort(labels, kind="stable")
    return np.split(order, np.searchsorted(labels[order], np.arange(1, count)))
