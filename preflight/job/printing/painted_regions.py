"""The regions that fills and strokes of objects cover on the page, clips applied. Knows no ink and no role."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any, Protocol

import msgspec
import numpy as np
import shapely

from preflight.artwork import Artwork, Stroke
from preflight.geometry.effort import Effort
from preflight.geometry.layering import of_dimension
from preflight.geometry.outlines import Floats
from preflight.geometry.rings import common_regions, polygons

__all__ = ["Painted", "clipped", "painted_regions"]

_MANY = 200
"""Segments. Fewer cannot cross so often that it has to be counted first."""

_FLATNESS = 0.02
"""mm. Finer than a dot of a roll printer."""


class _Part(Protocol):
    """The fill or the stroke of an object."""

    @property
    def index(self) -> int: ...
    @property
    def stroke(self) -> bool: ...


class Painted(msgspec.Struct, frozen=True):
    """The fill or the stroke of the object of an index, where nothing else matters."""

    index: int
    stroke: bool


def painted_regions(
    artwork: Artwork,
    parts: Sequence[_Part],
    as_lines: Collection[int] = (),
    flatness: float = _FLATNESS,
    effort: Effort | None = None,
) -> Any:
    """(k,) shapely geometries, mm: what each part covers.

    Parameters
    ----------
    as_lines : objects whose strokes are given as the lines they follow, without their width and dashes, which is quicker.
    flatness : how far the regions may leave the curves, mm.
    effort : what may be spent on curves that cross; of this call alone where none is given.

    Polygons; lines for strokes of width 0; empty where nothing is covered; None where it cannot be worked out, because curves cross
    too often or dashes are too many.
    """
    effort = effort or Effort()
    regions = np.full(len(parts), shapely.Polygon(), dtype=object)
    fills = [row for row, part in enumerate(parts) if not part.stroke]
    strokes = [row for row, part in enumerate(parts) if part.stroke]
    if fills:
        indices = [parts[row].index for row in fills]
        rules = [artwork.objects[index].fill_rule for index in indices]
        regions[fills] = polygons(artwork.outlines.of_objects(indices), rules, flatness, effort=effort)
    if strokes:
        regions[strokes] = _stroked(
            artwork, [parts[row].index for row in strokes], flatness, as_lines, effort
        )
    return clipped(artwork, [part.index for part in parts], regions, flatness, effort)


def _stroked(
    artwork: Artwork, indices: Sequence[int], flatness: float, as_lines: Collection[int], effort: Effort
) -> Any:
    lines = artwork.outlines.of_objects(indices)
    # The chords of the curves cross about as often as the curves.
    counts = np.diff(lines.contour_offsets[lines.object_offsets])
    tangled = [
        row
        for row in np.flatnonzero(counts > _MANY).tolist()
        if not effort.allows(lines.of_objects([row]).segments[:, [0, 3]])
    ]
    if tangled:
        regions = np.full(len(indices), None, dtype=object)
        rest = np.setdiff1d(np.arange(len(indices)), tangled)
        regions[rest] = _drawn(artwork, [indices[row] for row in rest.tolist()], flatness, as_lines)
        return regions
    return _drawn(artwork, indices, flatness, as_lines)


def _drawn(artwork: Artwork, indices: Sequence[int], flatness: float, as_lines: Collection[int]) -> Any:
    from preflight.geometry.strokes import stroke_regions  # needed by no file whose art has no strokes

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


def clipped(artwork: Artwork, indices: Sequence[int], regions: Any, flatness: float, effort: Effort) -> Any:
    """(k,) what the clips of some objects leave of a region for each; None where that cannot be worked out."""
    clips = [artwork.objects[index].clip for index in indices]
    used = sorted({clip for clip in clips if clip is not None})
    if not used:
        return regions
    found = common_regions(
        [artwork.clips[clip] for clip in used], [artwork.clip_rules[clip] for clip in used], flatness, effort
    )
    shapely.prepare(found)
    places = {clip: place for place, clip in enumerate(used)}
    rows = np.array([row for row, clip in enumerate(clips) if clip is not None], np.intp)
    areas = found[[places[clip] for clip in clips if clip is not None]]
    cut = ~shapely.contains_properly(areas, regions[rows])
    # A clip that cannot be worked out leaves nothing known of what it clips.
    joined = [
        effort.allows_joining(area, region)
        for area, region in zip(areas[cut], regions[rows[cut]], strict=True)
    ]
    areas[np.flatnonzero(cut)[~np.array(joined, bool)]] = None
    whole = regions[rows[cut]]
    regions[rows[cut]] = of_dimension(shapely.intersection(whole, areas[cut]), shapely.get_dimensions(whole))
    return regions
