"""Which shape of registration mark a few objects make together. Knows no place on the page and no rule."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import Any, TypeVar

import msgspec
import numpy as np
import shapely

from preflight.artwork import Artwork, Object
from preflight.geometry.figures import Angle, Circle, Cross, Figure, Line, Point, Rectangle, figures_of
from preflight.geometry.outlines import Floats
from preflight.job.printing.painted_regions import Painted, painted_regions

__all__ = ["Form", "MarkShape", "extent_along", "form_of", "half_stroke", "painted_region"]

_CONCENTRIC = 0.02
"""Of the radius. Drawn about one place, rounding aside."""

_HALFWAY = 0.05
"""Of its length. How far from its middle a line of a cross may be crossed."""

_BAR = 5.0
"""A filled rectangle so many times as long as it is wide is a line."""

_SAME = 2
"""Decimals of a mm to which two figures agree that are drawn on each other: copies count once."""

_FLATNESS = 0.002
"""mm. Distances from marks are measured to 0.02 mm."""

T = TypeVar("T")


class MarkShape(StrEnum):
    """What a mark looks like."""

    DOT = "dot"
    CROSS = "cross"
    CORNER = "corner"
    SQUARE = "square"
    TARGET = "target"
    """A ring with a cross or dot in it."""
    OTHER = "other"


class Form(msgspec.Struct, frozen=True):
    """Shape of a mark, its centre (of a corner, its vertex), and the direction of one of its sides or bars.

    ``size`` mm is its longer extent along that direction or square to it, strokes left out of account.
    """

    shape: MarkShape
    centre: Point
    size: float
    along: Point = (1.0, 0.0)


class _Drawn(msgspec.Struct):
    """The figures of a mark by kind; bars are among the lines, ``reach`` mm is half the widest stroke."""

    circles: list[Circle]
    discs: list[Circle]
    squares: list[Rectangle]
    crosses: list[Cross]
    angles: list[Angle]
    lines: list[Line]
    reach: float = 0.0


def form_of(artwork: Artwork, objects: Sequence[int]) -> Form | None:
    """The shape that some objects make together; None where it is none of those marks have."""
    drawn = _Drawn([], [], [], [], [], [])
    for index in objects:
        figures = figures_of(artwork.outlines, index)
        if figures is None or not all(_take(figure, artwork.objects[index], drawn) for figure in figures):
            return None
    return _form(drawn)


def _take(figure: Figure, item: Object, drawn: _Drawn) -> bool:
    filled, stroked = item.fill.paints, item.stroke.paint.paints
    drawn.reach = max(drawn.reach, half_stroke(item))
    match figure:
        case Circle():
            _add(drawn.circles, figure)
            if filled:
                _add(drawn.discs, figure)
            return filled or stroked
        case Line():
            _add(drawn.lines, figure)
            return stroked
        case Rectangle() if figure.length >= _BAR * figure.width:
            half = figure.length / 2
            (x, y), (u, v) = figure.centre, figure.along
            _add(drawn.lines, Line((x - u * half, y - v * half), (x + u * half, y + v * half)))
            drawn.reach = max(drawn.reach, figure.width / 2)
        case Rectangle():
            _add(drawn.squares, figure)
            return filled and figure.length <= 1.02 * figure.width
        case Cross():
            _add(drawn.crosses, figure)
        case Angle():
            _add(drawn.angles, figure)
    return filled


def _add(known: list[T], figure: T) -> None:
    if not any(_rounded(one) == _rounded(figure) for one in known):
        known.append(figure)


def _rounded(figure: Any) -> Any:
    def told(value: Any) -> Any:
        return tuple(map(told, value)) if isinstance(value, tuple) else round(value, _SAME) + 0.0

    values = tuple(told(value) for value in msgspec.structs.astuple(figure))
    # A line runs both ways.
    return frozenset(values) if isinstance(figure, Line) else values


def _form(drawn: _Drawn) -> Form | None:
    circles, lines = drawn.circles, drawn.lines
    single = len(drawn.squares) + len(drawn.crosses) + len(drawn.angles)
    if circles:
        return _round_form(drawn) if not drawn.squares and not drawn.angles else None
    if single == 1 and not lines:
        for square in drawn.squares:
            return Form(MarkShape.SQUARE, square.centre, square.length, square.along)
        for cross in drawn.crosses:
            return Form(MarkShape.CROSS, cross.centre, cross.length, cross.along)
        (angle,) = drawn.angles
        return Form(MarkShape.CORNER, angle.vertex, angle.length, angle.along)
    return _crossed(lines, drawn.reach) if len(lines) == 2 and not single else None


def _round_form(drawn: _Drawn) -> Form | None:
    circles = drawn.circles
    widest = max(circle.radius for circle in circles)
    centre = circles[0].centre
    if any(math.dist(centre, circle.centre) > _CONCENTRIC * widest for circle in circles):
        return None
    if not drawn.lines and not drawn.crosses:
        if len(circles) > 1:
            return Form(MarkShape.TARGET, centre, 2 * widest)
        return Form(MarkShape.DOT, centre, 2 * widest) if drawn.discs else None
    crosses = [Form(MarkShape.CROSS, cross.centre, cross.length, cross.along) for cross in drawn.crosses]
    crossed = _crossed(drawn.lines, drawn.reach) if len(drawn.lines) == 2 else None
    forms = [*crosses, *([crossed] if crossed else [])]
    if len(forms) != 1 or (drawn.lines and not crossed) or forms[0].shape is not MarkShape.CROSS:
        return None
    if math.dist(centre, forms[0].centre) > _CONCENTRIC * widest:
        return None
    return Form(MarkShape.TARGET, centre, max(2 * widest, forms[0].size), forms[0].along)


def _crossed(lines: Sequence[Line], reach: float) -> Form | None:
    """A cross or a corner made of two lines at right angles."""
    one, other = lines
    (u, v), (s, t) = one.along, other.along
    turn = u * t - v * s
    if abs(u * s + v * t) > math.sin(math.radians(1.0)):
        return None
    dx, dy = other.start[0] - one.start[0], other.start[1] - one.start[1]
    # How far along each line, from its start, the two meet.
    first, second = (dx * t - dy * s) / turn, (dx * v - dy * u) / turn
    met = one.start[0] + u * first, one.start[1] + v * first
    longest = max(one.length, other.length)
    if all(
        abs(at - line.length / 2) <= _HALFWAY * line.length for at, line in ((first, one), (second, other))
    ):
        return Form(MarkShape.CROSS, met, longest, one.along)
    near = max(0.1, 1.5 * reach)
    if all(min(abs(at), abs(at - line.length)) <= near for at, line in ((first, one), (second, other))):
        return Form(MarkShape.CORNER, met, longest, one.along)
    return None


def half_stroke(drawn: Object) -> float:
    """How far the stroke of an object reaches to either side, mm; 0 where it has none."""
    return drawn.stroke.width / 2 if drawn.stroke.paint.paints else 0.0


def painted_region(artwork: Artwork, objects: Sequence[int]) -> Any:
    """What some objects cover, strokes and fills, clips applied: one shapely geometry, mm."""
    filled = [index for index in objects if artwork.objects[index].fill.paints]
    stroked = [index for index in objects if artwork.objects[index].stroke.paint.paints]
    # Images and what is not painted count by their outlines.
    filled += [index for index in objects if index not in filled and index not in stroked]
    asked = [*(Painted(index, False) for index in filled), *(Painted(index, True) for index in stroked)]
    found = painted_regions(artwork, asked, flatness=_FLATNESS)
    return shapely.union_all([one for one in found if one is not None])


def extent_along(region: Any, along: Point) -> tuple[float, tuple[Point, Point]] | None:
    """The longer of the extents of a region along a direction and square to it, mm, and its two ends; None where it is empty.

    The ends lie midway between the region's other two sides: on the rim of a disc, at the tips of a bar.
    """
    points: Floats = shapely.get_coordinates(region)
    if not len(points):
        return None
    turn = np.array([[along[0], -along[1]], [along[1], along[0]]])
    turned = points @ turn
    low, high = turned.min(axis=0), turned.max(axis=0)
    axis = int(np.argmax(high - low))
    ends = np.tile((low + high) / 2, (2, 1))
    ends[:, axis] = low[axis], high[axis]
    (x0, y0), (x1, y1) = (ends @ turn.T).tolist()
    return float(high[axis] - low[axis]), ((x0, y0), (x1, y1))
