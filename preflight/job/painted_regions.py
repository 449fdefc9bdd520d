"""The regions that fills and strokes of objects cover on the page, clips applied. Knows no ink and no role."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
import shapely

from preflight.artwork import Artwork
from preflight.geometry.flatten import flatten
from preflight.geometry.outlines import Integers
from preflight.geometry.rings import common_regions, polygons

from .inks import Part

__all__ = ["painted_regions"]

_FLATNESS = 0.02
"""mm. Finer than a dot of a roll printer."""

_CAPS = {"butt": "flat", "round": "round", "square": "square"}
_JOINS = {"miter": "mitre", "round": "round", "bevel": "bevel"}


def painted_regions(artwork: Artwork, parts: Sequence[Part], as_lines: Collection[int] = ()) -> Any:
    """(k,) shapely geometries, mm: what each part covers.

    Parameters
    ----------
    as_lines : objects whose strokes are given as the lines they follow, without their width, which is quicker.

    Dashes are left out of account: a dashed stroke covers its whole length.
    """
    regions = np.full(len(parts), shapely.Polygon(), dtype=object)
    fills = [row for row, part in enumerate(parts) if not part.stroke]
    strokes = [row for row, part in enumerate(parts) if part.stroke]
    if fills:
        indices = [parts[row].index for row in fills]
        rules = [artwork.objects[index].fill_rule for index in indices]
        regions[fills] = polygons(artwork.outlines.of_objects(indices), rules, _FLATNESS)
    if strokes:
        indices = [parts[row].index for row in strokes]
        lines = _lines(artwork, indices)
        for row, index in enumerate(indices):
            stroke = artwork.objects[index].stroke
            if index not in as_lines and stroke.width > 0:
                lines[row] = lines[row].buffer(
                    stroke.width / 2,
                    quad_segs=4,
                    cap_style=_CAPS[stroke.cap],
                    join_style=_JOINS[stroke.join],
                    mitre_limit=stroke.miter_limit,
                )
        regions[strokes] = lines
    return _clipped(artwork, [part.index for part in parts], regions)


def _lines(artwork: Artwork, indices: Sequence[int]) -> Any:
    """(k,) MultiLineStrings of the contours of some objects."""
    outlines = artwork.outlines.of_objects(indices)
    chains = flatten(outlines, _FLATNESS)
    counts = np.diff(chains.offsets)
    contour = np.repeat(np.arange(len(counts)), counts)
    bad = np.bincount(contour, ~np.isfinite(chains.points).all(axis=1), len(counts)) > 0
    usable = (counts >= 2) & ~bad
    lines = np.full(len(indices), shapely.MultiLineString(), dtype=object)
    if not usable.any():
        return lines
    numbers: Integers = np.cumsum(usable) - 1
    kept = usable[contour]
    single = shapely.linestrings(chains.points[kept], indices=numbers[contour[kept]])
    shapely.multilinestrings(single, indices=outlines.object_of_contour[usable], out=lines)
    return lines


def _clipped(artwork: Artwork, indices: Sequence[int], regions: Any) -> Any:
    clips = [artwork.objects[index].clip for index in indices]
    used = sorted({clip for clip in clips if clip is not None})
    found = common_regions(
        [artwork.clips[clip] for clip in used], [artwork.clip_rules[clip] for clip in used], _FLATNESS
    )
    shapely.prepare(found)
    areas = dict(zip(used, found, strict=True))
    for row, clip in enumerate(clips):
        if clip is None:
            continue
        if not shapely.contains_properly(areas[clip], regions[row]):
            regions[row] = shapely.intersection(regions[row], areas[clip])
    return regions
