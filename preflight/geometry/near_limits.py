"""How many pairs of segments are looked at, contour by contour, before anything is made of them. Knows no curves and no rule.

Two thousand segments thrown over a sheet meet a million times: nobody waits for that, and nobody wants to read it. What a contour
asks for is counted while its pairs are found, part by part; the worst are stopped, and whoever asked is told which.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["NearLimits"]

_SOME = 1_000
"""Pairs kept of a contour that was stopped: what is found there is shown."""

_SHOWN = 4_000
"""The same of all contours that were stopped, together: half of what is left goes to those stopped at a time."""


class NearLimits:
    """Collects pairs of segments until they cost too much, and then stops the contours that cost most.

    Each contour has a share that grows with its segments and is free; what goes beyond is taken from one purse. Of a contour
    that is stopped some pairs are kept. With each round of stopping the purse is halved, so that many tangles cost no more than two.

    Parameters
    ----------
    contour : (n,) contour of each segment
    count : how many contours there are
    purse : what pairs beyond the free share may cost, all contours together
    free : what a segment adds to the free share of its contour
    look : what a pair costs that is looked at and not kept
    """

    def __init__(self, contour: Integers, count: int, purse: float, free: float, look: float) -> None:
        self._contour = contour
        self._free = free * np.bincount(contour, minlength=count)
        self._purse, self._look = purse, look
        self._looked: Floats = np.zeros(count)
        self._spent = 0.0
        self._to_show = _SHOWN
        self._kept: list[tuple[Integers, Integers, Floats]] = [(contour[:0], contour[:0], np.zeros(0))]
        self._some: list[tuple[Integers, Integers]] = [(contour[:0], contour[:0])]
        self.stopped: Flags = np.zeros(count, bool)
        """(c,) contours not all of whose pairs are given."""

    @property
    def pairs(self) -> tuple[Integers, Integers]:
        """The pairs kept, those of stopped contours last."""
        first, second, _ = (np.concatenate(column) for column in zip(*self._kept, strict=True))
        some_first, some_second = (np.concatenate(column) for column in zip(*self._some, strict=True))
        return np.concatenate([first, some_first]), np.concatenate([second, some_second])

    def add(
        self, first: Integers, second: Integers, kept: Flags | None = None, cost: Floats | float = 1.0
    ) -> None:
        """Pairs that were looked at, which of them are kept, and what each of those will cost."""
        if self._look:
            for side in (first, second):
                # Each side bears half of the pair.
                self._looked += (
                    0.5 * self._look * np.bincount(self._contour[side], minlength=len(self._looked))
                )
            self._spent += self._look * len(first)
        if kept is not None:
            first, second = first[kept], second[kept]
        costs = np.broadcast_to(np.asarray(cost, float), (len(first),)).copy()
        self._kept.append((first, second, costs))
        self._spent += float(costs.sum())
        if self._spent > self._purse:
            self._stop_the_worst()

    def _stop_the_worst(self) -> None:
        first, second, cost = (np.concatenate(column) for column in zip(*self._kept, strict=True))
        one, other = self._contour[first], self._contour[second]
        count = len(self._looked)
        looks = np.where(self.stopped, 0.0, self._looked)
        while True:
            asked = looks + 0.5 * (np.bincount(one, cost, count) + np.bincount(other, cost, count))
            asked[self.stopped] = 0.0
            beyond = np.maximum(asked - self._free, 0.0)
            if beyond.sum() <= self._purse:
                break
            worst = beyond >= 0.5 * beyond.max()
            self.stopped |= worst
            looks[worst] = 0.0
            self._purse /= 2.0
            out = worst[one] | worst[other]
            self._show(first[out], second[out], np.where(worst[one[out]], one[out], other[out]))
            first, second, cost, one, other = (row[~out] for row in (first, second, cost, one, other))
        self._kept = [(first, second, cost)]
        self._spent = float(cost.sum() + looks.sum())

    def _show(self, first: Integers, second: Integers, owner: NDArray[np.intp]) -> None:
        """Keep the first pairs of each contour that was stopped."""
        order = np.argsort(owner, kind="stable")
        sorted_owner = owner[order]
        rank = np.arange(len(order)) - np.searchsorted(sorted_owner, sorted_owner)
        most = min(_SOME, max(1, self._to_show // (2 * max(len(distinct(owner)), 1))))
        # Row by row of their rank: where not even one each can be shown, the first contours are.
        chosen = order[np.argsort(rank, kind="stable")][: np.count_nonzero(rank < most)]
        chosen = np.sort(chosen[: self._to_show])
        self._to_show -= len(chosen)
        self._some.append((first[chosen], second[chosen]))
