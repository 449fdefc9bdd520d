"""Which pieces have an edge of the art near their border. Knows no limit and no rule.

Where no part of the art ends near a border, all of it that lies there covers the border or none does: nothing needs to be laid over
anything to know that the piece is in order. So are most pieces of most sheets, and this tells them at a tenth of the cost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.plainly_clear import plainly_clear
from preflight.geometry.within_reach import within_reach
from preflight.job.printing.painted_regions import Painted, painted_regions
from preflight.job.printing.printed import FLATNESS

if TYPE_CHECKING:
    from preflight.job.cutting.pieces import Pieces
    from preflight.job.job import Job

__all__ = ["pieces_beside_edges"]

_ROUGHLY = 0.04
"""mm. How far borders and edges may leave the true ones at the first look, which has a quarter of the points to hold together. Art that
goes on for a tenth of a millimetre more than is asked, as with 1/8 in for 3 mm, is still in order at that look."""

_ROUNDED = 0.001
"""mm. Far above what rounding amounts to."""


def pieces_beside_edges(job: Job, inside: float, outside: float) -> Integers:
    """Pieces near whose border a part of the art ends, seen or not, or may print or not; ascending.

    Parameters
    ----------
    inside, outside : mm, how near to the border is near on either side of it.
    """
    pieces, parts = job.pieces, job.printed.parts
    far = max(inside, outside, 0.0) + 2 * FLATNESS
    # Most edges are well out of reach, or well in it: lines with a third of the points tell, and leave a handful for a close look. The
    # true regions and borders are not even made where nothing is left for it.
    regions, rough = pieces.rough(_ROUGHLY)
    piece, part = job.printed.near(rough, far + _ROUGHLY)
    deep = max(inside + 2 * FLATNESS, 0.0)
    slack = _ROUGHLY + _ROUNDED
    unclear = ~plainly_clear(regions, rough, piece, parts.boxes[part], deep + slack, far + slack)
    piece, part = piece[unclear], part[unclear]
    boxes = job.printed.boxes(part)
    distance = _distances(pieces, piece, rough[piece], boxes, (deep, far))
    near = distance <= far
    within = np.flatnonzero(near & (distance > deep))
    if len(within):
        near[within] = ~shapely.contains_properly(pieces.regions[piece[within]], boxes[within])
    piece, part = piece[near], part[near]
    unsure = ~parts.sure[part]
    told = distinct(piece[unsure])
    asked = ~np.isin(piece, told)
    piece, part = piece[asked], part[asked]
    shapely.prepare(rough)
    for flatness in (_ROUGHLY, FLATNESS):
        if not len(piece):
            break
        slack = 2 * flatness + _ROUNDED
        edges = _edges(job, part, flatness)
        lines = rough if flatness == _ROUGHLY else pieces.borders
        near = _ends_near(pieces, piece, lines[piece], edges, inside + slack, outside + slack)
        piece, part = piece[near], part[near]
    return distinct(np.concatenate([told, piece]))


def _distances(pieces: Pieces, piece: Integers, rough: Any, shapes: Any, limits: tuple[float, ...]) -> Floats:
    """(n,) distance of each piece's border from its shape, mm: near a limit the true one, elsewhere that of the rough border."""
    found: Floats = shapely.distance(rough, shapes)
    close = np.min([np.abs(found - limit) for limit in limits], axis=0) <= _ROUGHLY + _ROUNDED
    if close.any():
        found[close] = shapely.distance(pieces.borders[piece[close]], shapes[close])
    return found


def _edges(job: Job, part: Integers, flatness: float) -> Any:
    """(n,) the edges of what some parts cover by themselves; None where it is not known."""
    parts, used = job.printed.parts, distinct(part)
    asked = zip(parts.index[used].tolist(), parts.stroke[used].tolist(), strict=True)
    shapes = painted_regions(job.artwork, [Painted(*pair) for pair in asked], flatness=flatness)
    edges = np.where(shapely.get_dimensions(shapes) == 2, shapely.boundary(shapes), shapes)
    shapely.prepare(edges)
    return edges[np.searchsorted(used, part)]


def _ends_near(
    pieces: Pieces, piece: Integers, borders: Any, edges: Any, inside: float, outside: float
) -> Flags:
    """(n,) whether each edge comes near the border of its piece, or might, as it is not known."""
    # The distance is searched from the one with more points, which are sorted once for all that it is held against.
    many = shapely.get_num_coordinates(edges) > shapely.get_num_coordinates(borders)
    near = within_reach(np.where(many, edges, borders), np.where(many, borders, edges), max(inside, outside))
    if near.any():
        _keep_to_sides(near, pieces.regions[piece], borders, edges, inside, outside)
    return np.asarray(near | shapely.is_missing(edges))


def _keep_to_sides(
    near: Flags, regions: Any, borders: Any, shapes: Any, inside: float, outside: float
) -> None:
    """Of shapes near the border of their region, drop those that lie all on a side on which they are not near enough."""
    for side, reach in ((shapely.contains_properly, inside), (shapely.disjoint, outside)):
        if reach < max(inside, outside):
            rows = np.flatnonzero(near)
            rows = rows[side(regions[rows], shapes[rows])]
            near[rows] = within_reach(borders[rows], shapes[rows], max(reach, 0.0))
