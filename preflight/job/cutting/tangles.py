"""Pairs of cut contours that meet too often for all of it to be told, gathered into tangles. Knows no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec
import numpy as np

from preflight.geometry.clusters import linked
from preflight.geometry.outlines import Floats
from preflight.job.cutting.cuts import CutContour
from preflight.job.cutting.meetings import Meeting

__all__ = ["Tangle", "parted"]

_LEAST_PAIRS = 10
"""Pairs from which on a tangle is told as a whole: so many of a rule are shown one by one on the terminal."""


class Tangle(msgspec.Struct, frozen=True, eq=False):
    """Contours that hang together through pairs that meet: ``points`` (k, 2) mm are all of their places that were found.

    All pairs in it are of the same two steps and layers, those of ``first`` and ``second``.
    """

    first: CutContour
    second: CutContour
    contours: tuple[CutContour, ...]
    points: Floats


def parted(met: Sequence[Meeting]) -> tuple[list[Meeting], list[Tangle]]:
    """The pairs that are told one by one, and the tangles of the others.

    Only pairs of which not all was looked for belong to a tangle, as it is no more than chance which of them were found. What carries
    a waiver stays a pair, so that nothing else is waived with it.
    """
    alone: list[Meeting] = []
    tangled: dict[tuple[frozenset[str | None], ...], list[Meeting]] = {}
    for one in met:
        if one.partial and not (one.first.item.object.waive or one.second.item.object.waive):
            tangled.setdefault(_alike(one), []).append(one)
        else:
            alone.append(one)
    found: list[Tangle] = []
    for pairs in tangled.values():
        for own in _hanging_together(pairs):
            if len(own) < _LEAST_PAIRS:
                alone += own
            else:
                found.append(_tangle(own))
    return alone, found


def _alike(met: Meeting) -> tuple[frozenset[str | None], ...]:
    first, second = met.first, met.second
    return frozenset((first.step, second.step)), frozenset((first.reference.layer, second.reference.layer))


def _hanging_together(pairs: Sequence[Meeting]) -> Iterator[list[Meeting]]:
    ends = np.array([(one.first.index, one.second.index) for one in pairs], np.intp)
    contours, numbers = np.unique(ends, return_inverse=True)
    first, second = numbers.reshape(-1, 2).T
    labels = linked(len(contours), first, second)[first]
    for label in dict.fromkeys(labels.tolist()):
        yield [pairs[row] for row in np.flatnonzero(labels == label).tolist()]


def _tangle(pairs: Sequence[Meeting]) -> Tangle:
    contours = {contour.index: contour for one in pairs for contour in (one.first, one.second)}
    return Tangle(
        pairs[0].first,
        pairs[0].second,
        tuple(contours[index] for index in sorted(contours)),
        np.concatenate([one.points for one in pairs]),
    )
