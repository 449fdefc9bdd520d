"""What clips leave nothing of. Knows objects and regions, no file format."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from preflight.artwork.model import Object
from preflight.geometry import extents
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines

__all__ = ["clipped_away"]

_AT_ONCE = 512
"""Objects compared with their clips between two looks at the clock."""


def clipped_away(
    objects: Sequence[Object],
    drawn: Outlines,
    clips: Sequence[Outlines],
    rules: Sequence[Sequence[str]],
    check: Callable[[], None],
) -> list[int]:
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
        return []
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
    doubtful = np.flatnonzero(measured & ~beyond & ~inside)
    for start in range(0, len(doubtful), _AT_ONCE):
        check()
        rows = doubtful[start : start + _AT_ONCE]
        outside = _outside(drawn.of_objects(clipped[rows]), places[rows], reach[rows], clips, rules)
        away.update(clipped[rows[outside]].tolist())
    return sorted(away)


def _outside(
    drawn: Outlines,
    places: Integers,
    reach: Floats,
    clips: Sequence[Outlines],
    rules: Sequence[Sequence[str]],
) -> Flags:
    """(n,) whether the region of a clip comes no nearer than ``reach`` to what an object fills."""
    import shapely

    from preflight.geometry.rings import common_regions, polygons

    used = distinct(places)
    chosen = used.tolist()
    areas = common_regions([clips[place] for place in chosen], [rules[place] for place in chosen], 0.01)
    shapely.prepare(areas)
    filled = polygons(drawn, ["nonzero"] * drawn.object_count, 0.01)
    outside: Flags = ~shapely.dwithin(
        areas[np.searchsorted(used, places)], filled, reach
    ) & ~shapely.is_empty(filled)
    return outside


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
