"""Turns of a page in which its content lies upright, how far the content reaches in them, and what is near its corners.

Knows boxes and outlines of what is on the page, nothing of marks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec
import numpy as np
import shapely

from preflight.artwork import Artwork
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.job.marks.surroundings import shows_ink

__all__ = ["CORNERS", "ZONE", "Frame", "frames"]

CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1))
"""In the order round the page; left is -1, top is -1."""

ZONE = 0.2
"""Of the content's width and height: how near to a corner counts, so that things near four corners span at least three fifths."""

_FIRST_LOOKED_AT = 64
_SPANS = 1.0
"""mm. What comes so near to all sides of the content spans it."""


class Frame(msgspec.Struct, frozen=True, eq=False):
    """A turn of the page; ``low`` and ``high`` (2,) are the ends of the content in it, ``lows`` and ``highs`` (o, 2) those of objects.

    ``points @ turn`` brings points of the page into the frame.
    """

    turn: Floats
    low: Floats
    high: Floats
    lows: Floats
    highs: Floats

    def corner(self, sides: tuple[int, int]) -> Floats:
        """(2,) one corner of the content."""
        return np.where(np.array(sides) < 0, self.low, self.high)

    @property
    def reach(self) -> Floats:
        """(2,) how near to a corner counts, mm."""
        return np.asarray(ZONE * (self.high - self.low))

    def nearest(self, places: Floats, sides: tuple[int, int], most: int) -> Integers:
        """Those of (k, 2) places nearest to a corner, of those near it."""
        x, y = (np.abs(places[:, axis] - self.corner(sides)[axis]) for axis in (0, 1))
        near = np.flatnonzero((x <= self.reach[0]) & (y <= self.reach[1]))
        if len(near) > most:
            near = near[np.argpartition(np.hypot(x[near], y[near]), most)[:most]]
        return near

    def beyond(self, place: Floats, sides: tuple[int, int], larger_than: float) -> Integers:
        """Objects of a size that may reach past a place towards a corner on both sides; what spans the whole content is left out."""
        # Axis by axis: to put the two together for each of a hundred thousand objects takes numpy longer than all the rest.
        found: Flags = np.ones(len(self.lows), bool)
        large, spans = np.zeros(len(found), bool), np.ones(len(found), bool)
        with np.errstate(invalid="ignore"):
            for axis, side in enumerate(sides):
                low, high = self.lows[:, axis], self.highs[:, axis]
                found &= low < place[axis] if side < 0 else high > place[axis]
                large |= high - low > larger_than
                spans &= (low <= self.low[axis] + _SPANS) & (high >= self.high[axis] - _SPANS)
        return np.flatnonzero(found & large & ~spans)


def frames(artwork: Artwork, boxes: Floats, places: Floats) -> Iterator[Frame]:
    """The page as it lies; then turned so that the rectangle round some places (k, 2) stands upright.

    Parameters
    ----------
    boxes : (o, 4) mm, of the curves of each object.
    """
    width, height = artwork.page.width, artwork.page.height
    x0, y0, x1, y1 = boxes.T
    with np.errstate(invalid="ignore"):
        on_page: Flags = (x1 > 0) & (y1 > 0) & (x0 < width) & (y0 < height)
    lows = np.column_stack([np.maximum(x0, 0.0), np.maximum(y0, 0.0)])
    highs = np.column_stack([np.minimum(x1, width), np.minimum(y1, height)])
    lows[~on_page], highs[~on_page] = np.nan, np.nan
    upright = _framed(artwork, np.eye(2), lows, highs)
    if upright is not None:
        yield upright
    turn = _leaning(places)
    leaning = None if turn is None else _framed(artwork, turn, *_extents(artwork, turn, on_page))
    if leaning is not None:
        yield leaning


def _framed(artwork: Artwork, turn: Floats, lows: Floats, highs: Floats) -> Frame | None:
    ends = [
        _outermost(artwork, values[:, axis] * sign)
        for values, sign in ((lows, 1), (highs, -1))
        for axis in (0, 1)
    ]
    if None in ends:
        return None
    low, high = np.array(ends[:2], float), -np.array(ends[2:], float)
    return Frame(turn, low, high, lows, highs) if (high > low).all() else None


def _outermost(artwork: Artwork, values: Floats) -> float | None:
    """The least of the values of objects that show; hidden and white ones are passed over."""
    finite = np.flatnonzero(np.isfinite(values))
    # A few are enough as a rule; to put all in order would cost more than all else here.
    few = finite
    if len(finite) > _FIRST_LOOKED_AT:
        few = finite[np.argpartition(values[finite], _FIRST_LOOKED_AT)[:_FIRST_LOOKED_AT]]
    for chosen in (few, finite):
        for index in chosen[np.argsort(values[chosen])].tolist():
            if shows_ink(artwork.objects[index]):
                return float(values[index])
    return None


def _leaning(places: Floats) -> Floats | None:
    """(2, 2) turn that sets the rectangle round the places upright, None where it is upright already."""
    x, y = np.ascontiguousarray(places[:, 0]), np.ascontiguousarray(places[:, 1])
    # A corner of a rectangle is the outermost point in a quarter of all directions: four of these.
    angles = (np.arange(16) * (math.tau / 16)).tolist()
    outermost = [int(np.argmax(x * math.cos(angle) + y * math.sin(angle))) for angle in angles]
    around = shapely.minimum_rotated_rectangle(shapely.multipoints(places[outermost]))
    if around.geom_type != "Polygon":
        return None
    corners = shapely.get_coordinates(around)
    u, v = ((corners[1] - corners[0]) / np.hypot(*(corners[1] - corners[0]))).tolist()
    if min(abs(u), abs(v)) < math.sin(math.radians(0.5)):
        return None
    if abs(u) < abs(v):
        u, v = v, -u
    return np.array([[u, -v], [v, u]]) * math.copysign(1.0, u)


def _extents(artwork: Artwork, turn: Floats, on_page: Flags) -> tuple[Floats, Floats]:
    """(o, 2), (o, 2) extents of the nodes of each object in a turned frame; NaN where it has none."""
    outlines = artwork.outlines
    lows, highs = np.full((len(on_page), 2), np.nan), np.full((len(on_page), 2), np.nan)
    ends = outlines.contour_offsets[outlines.object_offsets]
    # Objects without segments take none from their neighbours: each run begins where the next full one does.
    full = np.flatnonzero(np.diff(ends) > 0)
    if len(full):
        nodes = outlines.segments[:, 3] @ turn
        lows[full] = np.minimum.reduceat(nodes, ends[full], axis=0)
        highs[full] = np.maximum.reduceat(nodes, ends[full], axis=0)
    lows[~on_page], highs[~on_page] = np.nan, np.nan
    return lows, highs
