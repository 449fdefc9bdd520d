"""Contours in straight pieces, each with its place along the contour. Knows no runs."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.distinct import distinct
from preflight.geometry.flatten import flatten
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.strands import Strands

__all__ = ["GAP", "Edges", "measured_edges"]

GAP = 1e-3
"""mm. What is no farther apart goes on without a break."""

_ALIKE = np.cos(np.pi / 4.0)
"""Edges that turn by more have a corner between them."""


class Edges(msgspec.Struct, frozen=True, eq=False):
    """Straight pieces of contours, in the order in which they are drawn.

    Attributes
    ----------
    ends : (k, 2, 2) mm
    contour : (k,) int
    path : (k,) mm
        Distance along the contour of the start of each.
    length : (k,) mm, along the contour
    totals : (c,) mm
        Lengths of the contours that edges are of, 0 of the others.
    unsure : (m,) int
        Contours whose pieces leave the tolerance.
    """

    ends: Floats
    contour: Integers
    path: Floats
    length: Floats
    totals: Floats
    unsure: Integers

    @property
    def goes_on(self) -> Flags:
        """(k, 2) whether another edge goes on from the start, from the end, without a corner."""
        result = np.zeros((len(self.length), 2), bool)
        if len(self.length):
            meets = (self.contour[1:] == self.contour[:-1]) & (
                np.abs(self.ends[1:, 0] - self.ends[:-1, 1]).max(axis=1, initial=0.0) <= GAP
            )
            heading = self.heading
            meets &= (heading[1:] * heading[:-1]).sum(axis=1) >= _ALIKE
            result[1:, 0], result[:-1, 1] = meets, meets
            # The closing point of a contour whose edges are all here.
            first = np.flatnonzero(np.append(True, self.contour[1:] != self.contour[:-1]))
            last = np.append(first[1:], len(self.length)) - 1
            closes = np.abs(self.ends[first, 0] - self.ends[last, 1]).max(axis=1) <= GAP
            closes &= (heading[first] * heading[last]).sum(axis=1) >= _ALIKE
            result[first[closes], 0], result[last[closes], 1] = True, True
        return result

    @property
    def heading(self) -> Floats:
        """(k, 2) unit vectors from start to end."""
        return np.asarray((self.ends[:, 1] - self.ends[:, 0]) / self.length[:, None])

    def along(self, contour: Integers, start: Floats, stop: Floats) -> tuple[Floats, Floats]:
        """(k, 2, 2) first and last point and (k, 4) box of stretches of contours, which may go on past the contour's start."""
        totals = self.totals
        by_place = np.lexsort((self.path, self.contour))
        path, length, owner = self.path[by_place], self.length[by_place], self.contour[by_place]
        # Contours one behind the other, so that one search serves them all.
        base = np.cumsum(totals + 1.0) - totals
        begins, ends = base[owner] + path, base[owner] + path + length
        run, lap = np.repeat(np.arange(len(contour)), 2), np.tile([0.0, 1.0], len(contour))
        contour, laps = contour[run], lap * totals[contour[run]]
        low, high = (base[contour] + np.clip(at[run] - laps, 0.0, totals[contour]) for at in (start, stop))
        # One edge more at either end, as the search rounds: those that are not touched are left out below.
        least, most = (np.searchsorted(owner, contour, side) for side in ("left", "right"))
        first = np.maximum(np.searchsorted(ends, low) - 1, least)
        last = np.minimum(np.searchsorted(begins, high) + 1, most)
        counts = np.where(high > low, np.maximum(last - first, 0), 0)
        of_run, of_lap = np.repeat(run, counts), np.repeat(laps, counts)
        edge = np.arange(len(of_run)) + np.repeat(first - np.cumsum(counts) + counts, counts)
        low, high = (
            np.clip((at[of_run] - (path[edge] + of_lap)) / length[edge], 0.0, 1.0) for at in (start, stop)
        )
        touched = np.flatnonzero(high > low)
        of_run, lines = of_run[touched], self.ends[by_place[edge[touched]]]
        across = lines[:, 1] - lines[:, 0]
        places = np.stack(
            [lines[:, 0] + across * low[touched, None], lines[:, 0] + across * high[touched, None]], axis=1
        )
        heads = np.searchsorted(of_run, np.arange(len(start)))
        tails = np.searchsorted(of_run, np.arange(len(start)), "right") - 1
        points = np.stack([places[heads, 0], places[tails, 1]], axis=1)
        least_at, most_at = np.minimum(places[:, 0], places[:, 1]), np.maximum(places[:, 0], places[:, 1])
        bounds = (
            np.concatenate(
                [np.minimum.reduceat(least_at, heads), np.maximum.reduceat(most_at, heads)], axis=1
            )
            if len(heads)
            else np.zeros((0, 4))
        )
        return points, bounds


def measured_edges(strands: Strands, used: Integers, flat: float) -> Edges:
    """Some segments as straight pieces that leave the curves by no more than ``flat``, mm."""
    curves = strands.segments
    contours = distinct(strands.contour[used])
    measured = np.flatnonzero(np.isin(strands.contour, contours))
    lengths = np.zeros(len(curves))
    ones = np.ones(len(measured))
    lengths[measured] = cubics.arc_lengths(curves[measured], 0.0 * ones, ones)
    before = np.concatenate([np.zeros(1), np.cumsum(lengths)])
    path = before[:-1] - before[strands.offsets[strands.contour]]
    single = Outlines(
        curves[used],
        cubics.bends(curves[used]) == 0.0,
        np.arange(len(used) + 1),
        np.arange(len(used) + 1),
        curves[used, 0],
        np.zeros(len(used), bool),
        np.linalg.norm(curves[used, 3] - curves[used, 0], axis=1),
    )
    lines = flatten(single, flat)
    counts = np.diff(lines.offsets)
    owner = np.repeat(np.arange(len(used)), counts)
    inside = np.ones(max(len(owner) - 1, 0), bool)
    inside[lines.offsets[1:-1] - 1] = False
    ends = np.stack([lines.points[:-1], lines.points[1:]], axis=1)[inside]
    owner = owner[:-1][inside]
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    real = length > 0.0
    ends, owner, length = ends[real], owner[real], length[real]
    run = np.concatenate([np.zeros(1), np.cumsum(length)])
    first = np.searchsorted(owner, np.arange(len(used) + 1))
    drawn = run[first[1:]] - run[first[:-1]]
    # The polyline is a hair shorter than the curve: distances along it are stretched to the curve's length.
    scale = lengths[used] / np.where(drawn > 0.0, drawn, 1.0)
    start = path[used][owner] + (run[:-1] - run[first[:-1]][owner]) * scale[owner]
    unsure = distinct(strands.contour[used[lines.inexact]])
    totals: Floats = np.zeros(len(strands.offsets) - 1)
    np.add.at(totals, strands.contour[measured], lengths[measured])
    return Edges(ends, strands.contour[used][owner], start, length * scale[owner], totals, unsure)
