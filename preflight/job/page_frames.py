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

from .mark_surroundings import shows_ink

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
        off = np.abs(places - self.corner(sides))
        near = np.flatnonzero((off <= self.reach).all(axis=1))
        if len(near) > most:
            near = near[np.argpartition(np.hypot(*off[near].T), most)[:most]]
        return near

    def beyond(self, place: Floats, sides: tuple[int, int], larger_than: float) -> Integers:
        """Objects of a size that may reach past a place towards a corner on both sides; what spans the whole content is left out."""
        side = np.array(sides)
        with np.errstate(invalid="ignore"):
            past = (side * (np.where(side < 0, self.lows, self.highs) - place) > 0).all(axis=1)
            spans = (self.lows <= self.low + _SPANS).all(axis=1) & (self.highs >= self.high - _SPANS).all(
                axis=1
            )
            large = (self.highs - self.lows > larger_than).any(axis=1)
        return np.flatnonzero(past & large & ~spans)


def frames(artwork: Artwork, boxes: Floats, places: Floats) -> Iterator[Frame]:
    """The page as it lies; then turned so that the rectangle round some places (k, 2) stands upright.

    Parameters
    ----------
    boxes : (o, 4) mm, of the curves of each object.
    """
    size = np.array([artwork.page.width, artwork.page.height])
    with np.errstate(invalid="ignore"):
        on_page: Flags = np.asarray((boxes[:, 2:] > 0).all(axis=1) & (boxes[:, :2] < size).all(axis=1))
    lows = np.where(on_page[:, None], np.clip(boxes[:, :2], 0, size), np.nan)
    highs = np.where(on_page[:, None], np.clip(boxes[:, 2:], 0, size), np.nan)
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
    angles = np.arange(64) * (math.tau / 64)
    away = places @ np.array([np.cos(angles), np.sin(angles)])
    around = shapely.minimum_rotated_rectangle(shapely.multipoints(places[np.argmax(away, axis=0)]))
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
