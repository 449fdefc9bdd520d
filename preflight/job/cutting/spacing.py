"""How much film is left between neighbouring cuts. Knows no limit and no rule."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.flatten import SKIN
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.within_reach import within_reach
from preflight.job.cutting.cuts import CutContour
from preflight.job.cutting.pieces import UNPARTED

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Spacing", "spacings"]

MOST_PAIRS = 2_000
"""Pairs that are told one by one, the nearest first; of the rest it is told how many they are."""

_LOOKS = 200_000.0
"""Pairs of contours that come near each other, beyond the free ones: about a second of work. Long contours count for more."""

_FREE_LOOKS = 32
"""The same that are free for each contour: its neighbours all round, and theirs."""

_POINTS = 32
"""Points of a contour that make a look cost as much again."""

_AT_A_TIME = 256
"""Contours whose neighbours are looked for at a time, at most."""

_MANY_PIECES = 100_000
"""Pairs of pieces of two lines from which on looking for the nearest pays."""

_MANY_CROSSED = 4_000
"""Pairs of pieces of two lines from which on it pays to look first whether they cross."""

_AS_NEAR = 0.001
"""mm. Places whose distances differ by less are as near as each other."""


class Spacing(msgspec.Struct, frozen=True, eq=False):
    """Two contours and the least film between them: ``distance`` mm, from ``here`` to ``there``."""

    first: CutContour
    second: CutContour
    distance: float
    here: tuple[float, float]
    there: tuple[float, float]


def spacings(job: Job, below: float) -> tuple[Spacing, ...]:
    """Pairs of contours closer than ``below`` mm that neither meet nor run along each other, the nearest first.

    Copies, fragments, creases and folds are left out. A pair that another rule reports as running along each other is
    left to that rule. What comes near others too often is not looked at, and noted.
    """
    cuts, aside = job.cuts, job.set_aside
    parting = np.array([step not in UNPARTED for step in cuts.steps], bool)
    asked = np.flatnonzero(parting & ~aside.copies & ~aside.fragments & (cuts.outlines.segment_counts > 0))
    if len(asked) < 2 or below <= SKIN:
        return ()
    first, second, done = _near_boxes(cuts.boxes[asked], cuts.chain_sizes(asked), below)
    cuts.mark_crowded(asked[done:])
    # Most cuts of most sheets are near no other: only those that may be become lines.
    lines = np.full(len(asked), None, dtype=object)
    used = distinct(np.concatenate([first, second]))
    lines[used] = cuts.lines(asked[used])
    shapely.prepare(lines)
    apart = ~_crossing(lines[first], lines[second])
    first, second = first[apart], second[apart]
    close = within_reach(lines[first], lines[second], below)
    first, second = first[close], second[close]
    distance = _distances(lines[first], lines[second])
    apart = (distance > SKIN) & (distance < below)
    apart[apart] &= ~_on_shared_runs(job, asked[first[apart]], asked[second[apart]], distance[apart])
    rows = np.flatnonzero(apart)
    rows = rows[np.lexsort((second[rows], first[rows], distance[rows]))]
    if len(rows) > MOST_PAIRS:
        cuts.mark_unlisted(int(asked[first[rows[MOST_PAIRS]]]), len(rows) - MOST_PAIRS)
        rows = rows[:MOST_PAIRS]
    places = [
        _place(lines[one], lines[other], gap + _AS_NEAR)
        for one, other, gap in zip(first[rows], second[rows], distance[rows], strict=True)
    ]
    found = zip(
        asked[first[rows]].tolist(), asked[second[rows]].tolist(), distance[rows].tolist(), strict=True
    )
    return tuple(
        Spacing(cuts.contours[one], cuts.contours[other], gap, (here[0], here[1]), (there[0], there[1]))
        for (one, other, gap), (here, there) in zip(found, places, strict=True)
    )


def _near_boxes(boxes: Floats, points: Integers, below: float) -> tuple[Integers, Integers, int]:
    """Pairs of lines whose boxes (k, 4) are closer than a distance, the first before the second, and how many lines were looked from.

    Parameters
    ----------
    points : (k,) of each line, which tell what it costs to measure it.
    """
    tree = shapely.STRtree(shapely.box(*boxes.T))
    found = [(np.empty(0, np.intp), np.empty(0, np.intp))]
    cost = 0.5 + points / _POINTS
    left = _LOOKS + 2.0 * _FREE_LOOKS * float(cost.sum())
    done, step = 0, 8
    while done < len(boxes) and left > 0:
        some = boxes[done : done + step] + np.array([-below, -below, below, below])
        own, other = tree.query(shapely.box(*some.T))
        own = own + done
        asked = float(cost[own].sum() + cost[other].sum())
        left -= asked
        later = own < other
        found.append((own[later], other[later]))
        done += len(some)
        # Where each comes near each, few are looked from at a time.
        step = int(min(max(left * step / (4.0 * max(asked, 1.0)), 1), 4 * step, _AT_A_TIME))
    first, second = (np.concatenate(column) for column in zip(*found, strict=True))
    return first, second, done


def _crossing(first: Any, second: Any) -> Flags:
    """(k,) pairs of lines of many pieces that cross: told in a fraction of the time that their distance takes."""
    large = shapely.get_num_coordinates(first) * shapely.get_num_coordinates(second) > _MANY_CROSSED
    crossing = np.zeros(len(first), bool)
    crossing[large] = shapely.intersects(first[large], second[large])
    return crossing


def _distances(first: Any, second: Any) -> Floats:
    """(k,) distances of lines, all prepared."""
    count, other = shapely.get_num_coordinates(first), shapely.get_num_coordinates(second)
    # Each piece of the one is held against each of the other, but where the nearest places are asked for of what is prepared.
    large = count * other > _MANY_PIECES
    distance = np.empty(len(first))
    distance[~large] = shapely.distance(first[~large], second[~large])
    distance[large] = shapely.length(shapely.shortest_line(first[large], second[large]))
    return distance


def _place(first: Any, second: Any, among: float) -> list[list[float]]:
    """Where two lines are nearest: of places as near as each other the topmost, then the leftmost, whatever the last digits say."""
    least: list[list[float]] = shapely.get_coordinates(shapely.shortest_line(first, second)).tolist()
    for line, other in ((first, second), (second, first)):
        points = shapely.points(shapely.get_coordinates(line))
        near = points[shapely.dwithin(other, points, among)]
        for point in near[np.lexsort((shapely.get_x(near).round(2), shapely.get_y(near).round(2)))][:1]:
            pair = shapely.get_coordinates(shapely.shortest_line(point, other)).tolist()
            pair = pair if line is first else pair[::-1]
            least = min(least, pair, key=lambda places: [round(side, 2) for side in places[0][::-1]])
    return least


def _on_shared_runs(job: Job, first: Integers, second: Integers, distance: Any) -> Flags:
    """(k,) pairs that contour-overlap reports."""
    aside = job.set_aside
    told = np.zeros(len(first), bool)
    close = distance <= aside.overlap_within
    if aside.overlap_length == np.inf or not close.any():
        return told
    runs = job.meetings.shared_runs(aside.overlap_within, aside.overlap_length)
    pairs = {frozenset((run.first.index, run.second.index)) for run in runs}
    for row in np.flatnonzero(close).tolist():
        told[row] = frozenset((int(first[row]), int(second[row]))) in pairs
    return told
