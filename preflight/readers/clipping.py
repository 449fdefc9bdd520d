"""What clips leave nothing of. Knows objects and regions, no file format."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from preflight.artwork.model import Object
from preflight.geometry import extents
from preflight.geometry.outlines import Floats, Outlines

__all__ = ["clipped_away"]


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
    areas: dict[int, Any] = {}
    for row in np.flatnonzero(measured & ~beyond & ~inside).tolist():
        check()
        index, place = int(clipped[row]), int(places[row])
        if place not in areas:
            areas[place] = _area(clips[place], rules[place])
        if _outside(drawn.of_objects([index]), areas[place], float(reach[row])):
            away.add(index)
    return sorted(away)


def _area(regions: Outlines, rules: Sequence[str]) -> Any:
    import shapely

    from preflight.geometry.rings import polygons

    area = shapely.intersection_all(polygons(regions, list(rules), 0.01))
    shapely.prepare(area)
    return area


def _outside(drawn: Outlines, area: Any, reach: float) -> bool:
    import shapely

    from preflight.geometry.rings import polygons

    filled = polygons(drawn, ["nonzero"], 0.01)[0]
    if shapely.is_empty(filled):
        return False
    return not bool(shapely.dwithin(area, filled, reach))


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
