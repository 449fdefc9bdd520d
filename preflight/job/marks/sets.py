"""Registration marks as rules see them, and sets of them that are read together. Knows no artwork and no limit."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np

from preflight.artwork import Box
from preflight.geometry.outlines import Floats
from preflight.geometry.rectangles import Corners, foot_on_sides, odd_corner, off_square
from preflight.job.marks.shapes import MarkShape
from preflight.job.objects import JobObject, Reference

__all__ = ["Absent", "Crowding", "Mark", "MarkSet", "MarkShape", "Offset"]


class Mark(msgspec.Struct, frozen=True, eq=False):
    """One registration mark, of one object or several.

    Attributes
    ----------
    items : its objects, in paint order.
    region : what it covers, strokes included; a shapely geometry, mm.
    box : round that region.
    centre : of the shape; the vertex of a corner.
    size : mm, its longer extent along its own sides or bars, strokes included.
    ends : of that extent.
    lightness : L* of its lightest paint as printed, None where it is not known.
    """

    items: tuple[JobObject, ...]
    region: Any
    box: Box
    centre: tuple[float, float]
    shape: MarkShape
    size: float
    ends: tuple[tuple[float, float], tuple[float, float]]
    lightness: float | None

    @property
    def why(self) -> str:
        """The reason it is taken for a mark."""
        return self.items[0].assignment.why

    @property
    def reference(self) -> Reference:
        """Where its first object stands in the file."""
        return self.items[0].reference


class Absent(msgspec.Struct, frozen=True):
    """Where a mark is missing: its place, what it would cover (``box``), and the corner in ``words``."""

    place: tuple[float, float]
    box: Box
    words: str


class Offset(msgspec.Struct, frozen=True, eq=False):
    """How far a mark stands from where the others say it should, mm, and near which corner or side it is in ``words``."""

    mark: Mark
    expected: tuple[float, float]
    distance: float
    words: str


class MarkSet(msgspec.Struct, frozen=True, eq=False):
    """Marks that are read together; ``corners`` says which stand where round a rectangle, None where they do not."""

    shape: MarkShape
    marks: tuple[Mark, ...]
    corners: Corners | None

    @property
    def absent(self) -> Absent | None:
        """The one of four corners that has no mark, where the other three have."""
        if self.corners is None or self.corners.missing is None:
            return None
        x, y = self.corners.places[self.corners.missing].tolist()
        half = max(mark.size for mark in self.marks) / 2
        return Absent((x, y), (x - half, y - half, x + half, y + half), self._words((x, y)))

    @property
    def offsets(self) -> list[Offset]:
        """How far the corner that fits least is off, and each mark between two corners from the line between them."""
        corners = self.corners
        if corners is None:
            return []
        if corners.missing is not None:
            number, expected, distance = off_square(corners.places)
        else:
            odd = odd_corner(corners.places)
            number, expected, distance = odd.corner, odd.expected, odd.offset
        found = [self._offset(corners.at[number], expected, distance)]
        for index in corners.others:
            foot, away = foot_on_sides(np.array(self.marks[index].centre), corners.places)
            found.append(self._offset(index, foot, away))
        return found

    def _offset(self, index: int | None, expected: Floats, distance: float) -> Offset:
        mark = self.marks[index or 0]
        x, y = expected.tolist()
        return Offset(mark, (x, y), distance, self._words((x, y)))

    def _words(self, place: tuple[float, float]) -> str:
        """The corner or side that a place is at: ``top left``, ``right``."""
        places = np.array([mark.centre for mark in self.marks])
        if self.corners is not None:
            places = self.corners.places
        low, high = places.min(axis=0), places.max(axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            x, y = np.nan_to_num((np.array(place) - low) / (high - low), nan=0.5).tolist()
        across = "left" if x < 0.25 else "right" if x > 0.75 else ""
        down = "top" if y < 0.25 else "bottom" if y > 0.75 else ""
        return f"{down} {across}".strip() or ("left" if x < 0.5 else "right")


class Crowding(msgspec.Struct, frozen=True, eq=False):
    """The nearest that anything comes to a mark: ``points`` on the mark and on the other, ``distance`` mm.

    ``item`` is the cut object, or None where it is printed art; ``art`` then is the object that prints there, the topmost if several do.
    ``zone`` are the rings of the area that is to be clear.
    """

    mark: Mark
    distance: float
    points: tuple[tuple[float, float], tuple[float, float]]
    item: JobObject | None
    zone: tuple[Floats, ...]
    art: JobObject | None = None
