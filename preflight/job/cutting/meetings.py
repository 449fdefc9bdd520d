"""Where cut contours cross, touch or run along each other, by contour or pair. Knows no limit and no rule."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property

import msgspec
import numpy as np

from preflight.geometry.coincidence import SharedRuns, shared_runs
from preflight.geometry.crossings import Crossings, between
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.job.cutting.cuts import CutContour, Cuts
from preflight.job.cutting.set_aside import SetAside

__all__ = ["Meeting", "Meetings", "Run"]


class Meeting(msgspec.Struct, frozen=True, eq=False):
    """Places (k, 2) mm where two contours meet, or one meets itself; crossings first, then touches.

    ``partial`` says that there were too many to look for all of them.
    """

    first: CutContour
    second: CutContour
    points: Floats
    touching: Flags
    partial: bool = False


class Run(msgspec.Struct, frozen=True, eq=False):
    """A stretch that two contours share, or one with itself.

    ``length`` mm, ``points`` (k, 2) its ends, ``bounds`` (4,) its box.
    """

    first: CutContour
    second: CutContour
    length: float
    points: Floats
    bounds: Floats


class Meetings:
    """Views of how cut contours lie to each other; copies and fragments are left out."""

    def __init__(self, cuts: Cuts, set_aside: SetAside) -> None:
        self._cuts = cuts
        self._set_aside = set_aside
        self._left = np.flatnonzero(set_aside.fragments | set_aside.copies)
        self._runs_found: dict[tuple[float, float], SharedRuns] = {}

    def shared_runs(self, within: float, least_length: float) -> list[Run]:
        """Stretches at least so long over which two contours, or two parts of one, stay within the distance."""
        runs = self._runs(within, least_length)
        contours = self._cuts.contours
        return [
            Run(
                contours[first], contours[second], float(runs.length[row]), runs.points[row], runs.bounds[row]
            )
            for row, (first, second) in enumerate(zip(runs.first.tolist(), runs.second.tolist(), strict=True))
        ]

    def with_itself(self, *, touches: bool) -> Iterator[Meeting]:
        """Places where a contour meets itself, one entry for each contour; shared runs are left out."""
        rows = self._cuts.self_crossings
        keep = ~self._set_aside.fragments[rows.first] & ~self._on_shared_run(rows)
        if not touches:
            keep &= ~rows.touching
        return self._grouped(rows, np.flatnonzero(keep))

    def crossing_pairs(self) -> Iterator[Meeting]:
        """Places where two different contours cross, one entry for each pair; touches are left out."""
        rows = self._crossings
        return self._grouped(rows, np.flatnonzero(~rows.touching & ~self._on_shared_run(rows)))

    @cached_property
    def _crossings(self) -> Crossings:
        found = between(self._cuts.strands, leave_out=distinct(np.concatenate([self._left, self._tangles])))
        self._cuts.mark_stopped(found.stopped)
        return found

    @property
    def _tangles(self) -> Integers:
        """Contours that meet themselves too often for anyone to wait until it is known whom else they meet."""
        return np.flatnonzero(self._cuts.self_crossings.stopped)

    def _runs(self, within: float, least_length: float) -> SharedRuns:
        key = (within, least_length)
        if key not in self._runs_found:
            whole = self._whole_runs(within, least_length)
            # What meets others too often to be followed where it crosses them would be given up here as well, at the same price.
            crossing = np.flatnonzero(self._crossings.stopped)
            left = distinct(np.concatenate([self._left, whole.second, self._tangles, crossing]))
            runs = shared_runs(self._cuts.strands, within, least_length, leave_out=left)
            self._cuts.mark_unsure(runs.unsure)
            self._cuts.mark_stopped(runs.stopped)
            self._cuts.mark_unfollowed(runs.unfollowed)
            self._runs_found[key] = SharedRuns(
                np.concatenate([runs.first, whole.first]),
                np.concatenate([runs.second, whole.second]),
                np.concatenate([runs.length, whole.length]),
                np.concatenate([runs.points, whole.points]),
                np.concatenate([runs.bounds, whole.bounds]),
                runs.unsure,
                runs.stopped,
                runs.unfollowed,
            )
        return self._runs_found[key]

    def _whole_runs(self, within: float, least_length: float) -> SharedRuns:
        """Copies as runs of their whole length along their original, where nothing else reports them."""
        cuts = self._cuts
        first = second = np.empty(0, np.intp)
        if not self._set_aside.copies_told:
            copies = cuts.duplicates(within)
            kept = (cuts.lengths[copies.second] >= least_length) & ~self._set_aside.fragments[copies.second]
            first, second = copies.first[kept], copies.second[kept]
        none = np.zeros(cuts.outlines.contour_count, bool)
        ends = np.stack([cuts.outlines.starts[second], cuts.outlines.ends[second]], axis=1)
        empty = second[:0]
        return SharedRuns(first, second, cuts.lengths[second], ends, cuts.boxes[second], empty, none, empty)

    def _on_shared_run(self, rows: Crossings) -> Flags:
        """(k,) places that belong to a run which contour-overlap reports."""
        on_run = np.zeros(len(rows.first), bool)
        within, length = self._set_aside.overlap_within, self._set_aside.overlap_length
        if not len(on_run) or length == math.inf:
            return on_run
        runs = self._runs(within, length)
        count = self._cuts.outlines.contour_count
        pairs = np.minimum(rows.first, rows.second) * count + np.maximum(rows.first, rows.second)
        order = np.argsort(pairs, kind="stable")
        wanted = np.minimum(runs.first, runs.second) * count + np.maximum(runs.first, runs.second)
        begins, stops = (np.searchsorted(pairs[order], wanted, side) for side in ("left", "right"))
        lows, highs = runs.bounds[:, :2] - within, runs.bounds[:, 2:] + within
        for run in np.flatnonzero(stops > begins).tolist():  # only runs whose pair also crosses: few
            own = order[begins[run] : stops[run]]
            points = rows.points[own]
            on_run[own] |= ((points >= lows[run]) & (points <= highs[run])).all(axis=1)
        return on_run

    def _grouped(self, rows: Crossings, chosen: Integers) -> Iterator[Meeting]:
        # Places level with each other, but for noise, are told from left to right.
        places = np.round(rows.points[chosen], 6)
        order = np.lexsort(
            (
                places[:, 0],
                places[:, 1],
                rows.touching[chosen],
                rows.second[chosen],
                rows.first[chosen],
            )
        )
        chosen = chosen[order]
        pairs = np.stack([rows.first[chosen], rows.second[chosen]], axis=1)
        borders = np.flatnonzero((pairs[1:] != pairs[:-1]).any(axis=1)) + 1
        for part in np.split(chosen, borders):
            if len(part):
                first, second = int(rows.first[part[0]]), int(rows.second[part[0]])
                contours = self._cuts.contours
                partial = bool(rows.stopped[first] or rows.stopped[second])
                yield Meeting(
                    contours[first], contours[second], rows.points[part], rows.touching[part], partial
                )
