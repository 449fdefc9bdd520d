"""Lettering near a cut on a ground that bleeds: told by its object, as the art's edge does not show it. Knows no limit.

Lettering is never meant to bleed, whatever it stands on. Lettering on bare film is an edge of the art like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from preflight.artwork import Box, Kind
from preflight.geometry.flatten import SKIN
from preflight.job.clearances import Point

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["near_lettering"]


def near_lettering(
    job: Job, ink_beside: Callable[[int], Any], limit: float
) -> Iterator[tuple[int, int, float, Point, Point, Box]]:
    """Texts nearer than ``limit`` mm to the border of the piece they lie in, without reaching it.

    Parameters
    ----------
    ink_beside : gives the area of art along the border of a piece.

    Yields
    ------
    The object, the piece, the distance, where on the border, where on the lettering, and the lettering's box.
    """
    parts, pieces, objects = job.printed.parts, job.pieces, job.artwork.objects
    texts = [row for row, index in enumerate(parts.index.tolist()) if objects[index].kind is Kind.TEXT]
    rows = np.array(texts, np.intp)
    rows = rows[((parts.adds | parts.erases) & parts.sure & ~parts.stroke)[rows]]
    if not len(rows) or not pieces.count:
        return
    text, piece = pieces.tree.query(shapely.box(*parts.boxes[rows].T), predicate="within")
    near = shapely.dwithin(pieces.borders[piece], shapely.box(*parts.boxes[rows[text]].T), limit)
    text, piece = text[near], piece[near]
    letters = job.printed.regions(rows[text])
    told = shapely.get_coordinates(shapely.shortest_line(pieces.borders[piece], letters)).reshape(-1, 2, 2)
    distance = shapely.distance(pieces.borders[piece], letters)
    kept = np.flatnonzero((distance > SKIN) & (distance < limit))
    for at, (here, there) in zip(kept.tolist(), told[kept], strict=True):
        before = there + (here - there) * min(0.5, 2 * SKIN / float(distance[at]))
        if not shapely.intersects_xy(ink_beside(int(piece[at])), *before):
            continue
        x0, y0, x1, y1 = shapely.bounds(letters[at]).tolist()
        yield (
            int(parts.index[rows[text[at]]]),
            int(piece[at]),
            float(distance[at]),
            (float(here[0]), float(here[1])),
            (float(there[0]), float(there[1])),
            (x0, y0, x1, y1),
        )
