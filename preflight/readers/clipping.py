"""What clips leave nothing of. Knows objects and regions, no file format."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import msgspec
import numpy as np

from preflight.artwork.model import Object
from preflight.geometry import extents
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines

__all__ = ["Clipped", "clipped_away"]

_AT_ONCE = 512
"""Objects compared with their clips between two looks at the clock."""


class Clipped(msgspec.Struct, frozen=True):
    """Which objects their clip leaves nothing of; and, clip by clip, those of which it is not known and that count as shown."""

    away: list[int]
    unsure: list[list[int]]

    def notes(self) -> Iterator[tuple[int, str]]:
        """What has to be said of those not known: the first object of each clip, and the words."""
        for objects in self.unsure:
            others = f" and {len(objects) - 1:,} more under the same clip" if len(objects) > 1 else ""
            yield (
                objects[0],
                f"The clip, or what it clips, crosses itself too often to be followed: this object{others} "
                f"{'are' if others else 'is'} judged as if not clipped.",
            )


def clipped_away(
    objects: Sequence[Object],
    drawn: Outlines,
    clips: Sequence[Outlines],
    rules: Sequence[Sequence[str]],
    check: Callable[[], None],
) -> Clipped:
    """Which objects their clip leaves nothing of.

    Boxes decide first; where they meet, the true regions do, to 0.01 mm.

    Parameters
    ----------
    drawn : the objects' geometry, in mm.
    clips, rules : as in `preflight.artwork.Artwork`; ``Object.clip`` is an index into them.
    check : called now and then; raises when the time is over.
    """
    clipped = np.array([index for index, one in enumerate(objects) if one.clip is not None], np.intp)
    if not len(clipped):
        return Clipped([], [])
    boxes = extents.object_boxes(drawn)[clipped]
    reach = np.array([objects[index].stroke.width / 2 for index in clipped.tolist()])
    places = np.array([objects[index].clip for index in clipped.tolist()], np.intp)
    low, high = boxes[:, :2] - reach[:, None], boxes[:, 2:] + reach[:, None]
    allowed = _common_boxes(clips)[places]
    beyond = (low > allowed[:, 2:]).any(axis=1) | (high < allowed[:, :2]).any(axis=1)
    beyond |= (allowed[:, 2:] < allowed[:, :2]).any(axis=1)
    inside = (low >= allowed[:, :2]).all(axis=1) & (high <= allowed[:, 2:]).all(axis=1)
    measured = np.isfinite(boxes).all(axis=1)
    away = set(clipped[beyond & measured].tolist())
    unsure: dict[int, list[int]] = {}
    doubtful = np.flatnonzero(measured & ~beyond & ~inside)
    if len(doubtful):
        clear = _Clear(clips, rules)
        for start in range(0, len(doubtful), _AT_ONCE):
            check()
            rows = doubtful[start : start + _AT_ONCE]
            outside, known = clear.outside(drawn.of_objects(clipped[rows]), places[rows], reach[rows])
            away.update(clipped[rows[outside]].tolist())
            for row in rows[~known].tolist():
                unsure.setdefault(int(places[row]), []).append(int(clipped[row]))
    return Clipped(sorted(away), list(unsure.values()))


class _Clear:
    """Tells what is clear of its clip; the regions of clips are worked out once, all from one purse."""

    def __init__(self, clips: Sequence[Outlines], rules: Sequence[Sequence[str]]) -> None:
        from preflight.geometry.effort import Effort

        self._clips, self._rules = clips, rules
        self._regions: dict[int, Any] = {}
        self._effort = Effort()

    def outside(self, drawn: Outlines, places: Integers, reach: Floats) -> tuple[Flags, Flags]:
        """(n,) whether the region of a clip comes no nearer than ``reach`` to what an object fills, and whether it is known."""
        import shapely

        from preflight.geometry.rings import common_regions, polygons

        used = distinct(places)
        fresh = [place for place in used.tolist() if place not in self._regions]
        if fresh:
            chosen = [self._clips[place] for place in fresh]
            areas = common_regions(chosen, [self._rules[place] for place in fresh], 0.01, self._effort)
            shapely.prepare(areas)
            self._regions.update(zip(fresh, areas, strict=True))
        areas = np.array([self._regions[place] for place in places.tolist()], dtype=object)
        filled = polygons(drawn, ["nonzero"] * drawn.object_count, 0.01, effort=self._effort)
        known = ~(shapely.is_missing(areas) | shapely.is_missing(filled))
        return known & ~shapely.dwithin(areas, filled, reach) & ~shapely.is_empty(filled), known


def _common_boxes(clips: Sequence[Outlines]) -> Floats:
    """(c, 4) box that all regions of each clip share; inside out where there is none."""
    common = np.empty((len(clips), 4))
    counts = np.array([clip.object_count for clip in clips], np.intp)
    boxes = extents.object_boxes(Outlines.joined(clips))
    boxes[~np.isfinite(boxes).all(axis=1)] = (np.inf, np.inf, -np.inf, -np.inf)
    firsts = np.cumsum(counts) - counts
    common[:, :2] = np.maximum.reduceat(boxes[:, :2], firsts, axis=0)
    common[:, 2:] = np.minimum.reduceat(boxes[:, 2:], firsts, axis=0)
    return common
