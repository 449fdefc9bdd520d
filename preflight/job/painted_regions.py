"""The regions that fills and strokes of objects cover on the page, clips applied. Knows no ink and no role."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, NamedTuple, Protocol

import numpy as np
import shapely

from preflight.artwork import Artwork, Stroke
from preflight.geometry.outlines import Floats
from preflight.geometry.rings import common_regions, polygons
from preflight.geometry.strokes import stroke_regions

__all__ = ["Painted", "painted_regions"]

_FLATNESS = 0.02
"""mm. Finer than a dot of a roll printer."""


class _Part(Protocol):
    """The fill or the stroke of an object."""

    @property
    def index(self) -> int: ...
    @property
    def stroke(self) -> bool: ...


class Painted(NamedTuple):
    """The fill or the stroke of the object of an index, where nothing else matters."""

    index: int
    stroke: bool


def painted_regions(
    artwork: Artwork, parts: Sequence[_Part], as_lines: Collection[int] = (), flatness: float = _FLATNESS
) -> Any:
    """(k,) shapely geometries, mm: what each part covers.

    Parameters
    ----------
    as_lines : objects whose strokes are given as the lines they follow, without their width and dashes, which is quicker.
    flatness : how far the regions may leave the curves, mm.

    Polygons; lines for strokes of width 0; empty where nothing is covered; None where it cannot be worked out, because curves cross
    too often or dashes are too many.
    """
    regions = np.full(len(parts), shapely.Polygon(), dtype=object)
    fills = [row for row, part in enumerate(parts) if not part.stroke]
    strokes = [row for row, part in enumerate(parts) if part.stroke]
    if fills:
        indices = [parts[row].index for row in fills]
        rules = [artwork.objects[index].fill_rule for index in indices]
        regions[fills] = polygons(artwork.outlines.of_objects(indices), rules, flatness)
    if strokes:
        regions[strokes] = _stroked(artwork, [parts[row].index for row in strokes], flatness, as_lines)
    return _clipped(artwork, [part.index for part in parts], regions, flatness)


def _stroked(artwork: Artwork, indices: Sequence[int], flatness: float, as_lines: Collection[int]) -> Any:
    chosen = [artwork.objects[index].stroke for index in indices]
    bare = [index in as_lines for index in indices]
    return stroke_regions(
        artwork.outlines.of_objects(indices),
        _numbers([0.0 if line else stroke.width for stroke, line in zip(chosen, bare, strict=True)]),
        [stroke.cap for stroke in chosen],
        [stroke.join for stroke in chosen],
        _numbers([stroke.miter_limit for stroke in chosen]),
        [() if line else stroke.dash for stroke, line in zip(chosen, bare, strict=True)],
        _numbers([stroke.dash_offset for stroke in chosen]),
        flatness,
        [None if line else _pen(stroke) for stroke, line in zip(chosen, bare, strict=True)],
    )


def _pen(stroke: Stroke) -> tuple[float, float, float, float] | None:
    return stroke.pen if stroke.uneven else None


def _numbers(values: list[float]) -> Floats:
    return np.array(values, np.float64)


def _clipped(artwork: Artwork, indices: Sequence[int], regions: Any, flatness: float) -> Any:
    clips = [artwork.objects[index].clip for index in indices]
    used = sorted({clip for clip in clips if clip is not None})
    if not used:
        return regions
    found = common_regions(
        [artwork.clips[clip] for clip in used], [artwork.clip_rules[clip] for clip in used], flatness
    )
    shapely.prepare(found)
    places = {clip: place for place, clip in enumerate(used)}
    rows = np.array([row for row, clip in enumerate(clips) if clip is not None], np.intp)
    areas = found[[places[clip] for clip in clips if clip is not None]]
    cut = ~shapely.contains_properly(areas, regions[rows])
    regions[rows[cut]] = shapely.intersection(regions[rows[cut]], areas[cut])
    return regions
