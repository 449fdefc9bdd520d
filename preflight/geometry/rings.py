"""The regions that outlines fill, as polygons. Knows fill rules, nothing of paint or cutting."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.geometry.distinct import distinct
from preflight.geometry.effort import MANY, Effort, edges_of, nearby
from preflight.geometry.flatten import Polylines, flatten
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines

__all__ = ["common_regions", "filled", "polygons"]

_LEAST_POINTS = 4
"""Points of the smallest ring there is, the first one counted again at the end."""


def polygons(
    outlines: Outlines,
    rules: Sequence[str],
    tolerance: float,
    chains: Polylines | None = None,
    effort: Effort | None = None,
) -> NDArray[np.object_]:
    """The region each object fills, holes taken out.

    Parameters
    ----------
    outlines : Outlines, o objects
        Open contours are joined by a straight line, as filling does.
    rules : ``nonzero`` or ``evenodd`` for each object
    tolerance : float, in the unit of the outlines
        How far the polygon may leave the curves.
    chains : Polylines, optional
        The outlines flattened so finely, where that has been done already.
    effort : Effort, optional
        What may be spent on contours that cross themselves and each other; of this call alone where none is given.

    Returns
    -------
    (o,) of shapely geometries
        Valid Polygon or MultiPolygon; an empty Polygon where nothing is enclosed. Contours with
        coordinates that are not finite enclose nothing. None where the contours cross too often for the region to be worked out.

    Raises
    ------
    ValueError
        The rules do not match the objects, or one is neither of the two.
    """
    return filled(outlines, rules, tolerance, chains, effort)[0]


def filled(
    outlines: Outlines,
    rules: Sequence[str],
    tolerance: float,
    chains: Polylines | None = None,
    effort: Effort | None = None,
) -> tuple[NDArray[np.object_], Flags]:
    """As :func:`polygons`; and (o,) which regions are bounded by one contour as it is, which does not meet itself."""
    if len(rules) != outlines.object_count:
        raise ValueError(f"{len(rules)} fill rules for {outlines.object_count} objects")
    unknown = set(rules) - {"nonzero", "evenodd"}
    if unknown:
        raise ValueError(f"fill rules are nonzero and evenodd, not {', '.join(sorted(unknown))}")
    regions = np.full(outlines.object_count, shapely.Polygon(), dtype=object)
    plain = np.zeros(outlines.object_count, bool)
    rings, owner = _rings(outlines, chains or flatten(outlines, tolerance))
    if not len(rings):
        return regions, plain
    effort = effort or Effort()
    areas = shapely.polygons(rings)
    counts = np.bincount(owner, minlength=outlines.object_count)
    alone = counts[owner] == 1
    heavy = np.flatnonzero(alone & (shapely.get_num_coordinates(rings) > MANY))
    alone[heavy] = [effort.allows_test(rings[row]) for row in heavy.tolist()]
    alone[alone] = shapely.is_valid(areas[alone])
    # The common case, all at once: one ring that does not meet itself is its own region under either rule.
    regions[owner[alone]] = areas[alone]
    plain[owner[alone]] = True
    rest = np.flatnonzero(~alone)
    rest = rest[np.argsort(owner[rest], kind="stable")]
    for part in np.split(rest, np.flatnonzero(np.diff(owner[rest])) + 1):
        if len(part):
            index = int(owner[part[0]])
            regions[index] = _region(rings[part], rules[index], effort)
    return regions, plain


def common_regions(
    groups: Sequence[Outlines],
    rules: Sequence[Sequence[str]],
    tolerance: float,
    effort: Effort | None = None,
) -> NDArray[np.object_]:
    """(g,) the region that all objects of each group fill, such as the paths of nested clips; see :func:`polygons`.

    Every group holds at least one object; ``rules`` gives the fill rule of each. None where one of the regions, or what
    they have in common, cannot be worked out.
    """
    effort = effort or Effort()
    counts = np.array([group.object_count for group in groups], np.intp)
    joined = Outlines.joined(groups)
    every = [rule for own in rules for rule in own]
    if not (counts > 1).any():
        return polygons(joined, every, tolerance, effort=effort)
    # Nested clips repeat those round them: a hundred inside one another are as many shapes, not five thousand.
    shapes, firsts = _shapes(joined, every)
    regions = polygons(
        joined.of_objects(firsts), [every[first] for first in firsts], tolerance, effort=effort
    )
    common = np.empty(len(groups), dtype=object)
    begun: dict[tuple[int, ...], shapely.Geometry | None] = {}
    for row, (begin, count) in enumerate(zip((np.cumsum(counts) - counts).tolist(), counts, strict=True)):
        own = tuple(shapes[begin : begin + count])
        known = next((size for size in range(count, 1, -1) if own[:size] in begun), 1)
        region = begun[own[:known]] if known > 1 else regions[own[0]]
        for size in range(known, count):
            region = begun[own[: size + 1]] = _shared(region, regions[own[size]], effort)
        common[row] = region
    return common


def _shapes(outlines: Outlines, rules: Sequence[str]) -> tuple[list[int], list[int]]:
    """For each object the number of its shape, alike for objects that fill the same; and the first object of each shape."""
    numbers: dict[tuple[str, bytes, bytes], int] = {}
    shapes: list[int] = []
    firsts: list[int] = []
    contours, segments = outlines.object_offsets.tolist(), outlines.contour_offsets
    for index, rule in enumerate(rules):  # clips: few beside what they clip
        begin, end = contours[index], contours[index + 1]
        parts = segments[begin : end + 1] - segments[begin]
        key = (rule, parts.tobytes(), outlines.segments[segments[begin] : segments[end]].tobytes())
        shape = numbers.setdefault(key, len(firsts))
        if shape == len(firsts):
            firsts.append(index)
        shapes.append(shape)
    return shapes, firsts


def _shared(
    one: shapely.Geometry | None, other: shapely.Geometry | None, effort: Effort
) -> shapely.Geometry | None:
    if one is None or other is None or not effort.allows_joining(one, other):
        return None
    return shapely.intersection(one, other)


def _rings(outlines: Outlines, chains: Polylines) -> tuple[NDArray[np.object_], Integers]:
    """Closed rings of all contours that can enclose anything, and the object of each."""
    counts = np.diff(chains.offsets)
    usable = counts >= _LEAST_POINTS - 1
    finite = np.isfinite(chains.points)
    if not finite.all():
        contour = np.repeat(np.arange(len(counts)), counts)
        usable[distinct(contour[~finite.all(axis=1)])] = False
    kept = np.flatnonzero(usable)
    if not len(kept):
        return np.empty(0, object), np.empty(0, np.intp)
    points = chains.points if usable.all() else chains.points[np.repeat(usable, counts)]
    numbers = np.repeat(np.arange(len(kept)), counts[kept])
    # GEOS joins the ends of each ring by itself where they differ.
    rings = shapely.linearrings(points, indices=numbers)
    return np.asarray(rings), outlines.object_of_contour[kept]


def _region(rings: NDArray[np.object_], rule: str, effort: Effort) -> shapely.Geometry | None:
    """Region of one object whose rings may cross: faces of the drawing, kept by their winding number."""
    edges = edges_of(rings)
    if not effort.allows(edges):
        return None
    lines = shapely.get_parts(shapely.union_all(rings))
    faces = shapely.get_parts(shapely.polygonize(lines))
    if not len(faces):
        return shapely.Polygon()
    winding = _windings(shapely.get_coordinates(shapely.point_on_surface(faces)), edges, effort)
    if winding is None:
        return None
    inside: Flags = winding % 2 != 0 if rule == "evenodd" else winding != 0
    if not inside.any():
        return shapely.Polygon()
    try:
        return shapely.coverage_union_all(faces[inside])
    except shapely.errors.GEOSException:
        # Rounded crossings can make neighbouring faces overlap by a hair; the slow way does not mind.
        return shapely.union_all(faces[inside])


def _windings(points: Floats, edges: Floats, effort: Effort) -> Integers | None:
    """(p,) how often the edges wind about each point, upward less downward ones to the right of it; None where it costs too much."""
    right = edges[..., 0].max() + 1.0
    rays = np.stack([points, np.column_stack([np.full(len(points), right), points[:, 1]])], axis=1)
    windings = np.zeros(len(points), np.intp)
    looked = 0
    for done, ray, edge in nearby(rays, edges):
        looked += len(ray)
        if not effort.affords_looks(looked * len(points) / done, len(edges)):
            return None
        x, y = points[ray].T
        (x0, y0), (x1, y1) = edges[edge, 0].T, edges[edge, 1].T
        side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
        upward = (y0 <= y) & (y1 > y) & (side > 0.0)
        downward = (y0 > y) & (y1 <= y) & (side < 0.0)
        windings += np.bincount(ray[upward], minlength=len(points))
        windings -= np.bincount(ray[downward], minlength=len(points))
    effort.pays_looks(looked, len(edges))
    return windings
