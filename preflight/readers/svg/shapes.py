"""Basic shapes as path data, so that one parser makes the curves of the whole document. Knows no style.

The equivalents are those of SVG 2, chapter 10; ``z`` marks what the shape closes by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from preflight.readers.svg.units import parse_numbers

__all__ = ["SHAPES", "ShapeText", "Value", "shape_text"]

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})

Value = Callable[[str, str], float | None]
"""A geometry property in user units by name and axis (``x``, ``y``, ``o``); None where it has no usable value."""


class ShapeText(NamedTuple):
    """Path data of a shape, and what is wrong with it (None: nothing)."""

    text: str
    broken: str | None


def shape_text(name: str, value: Value, text: Callable[[str], str | None]) -> ShapeText:
    """Path data of one shape element.

    Parameters
    ----------
    name : local name of the element, one of `SHAPES`.
    value : gives a geometry property in user units.
    text : gives an attribute as written.
    """
    match name:
        case "path":
            return _path(text("d"))
        case "rect":
            return _rectangle(value)
        case "circle":
            radius = value("r", "o")
            return _ellipse(value, radius, radius)
        case "ellipse":
            rx, ry = value("rx", "x"), value("ry", "y")
            return _ellipse(value, ry if rx is None else rx, rx if ry is None else ry)
        case "line":
            x1, y1, x2, y2 = (
                value(key, axis) or 0.0 for key, axis in (("x1", "x"), ("y1", "y"), ("x2", "x"), ("y2", "y"))
            )
            return ShapeText(f"M{x1!r} {y1!r}L{x2!r} {y2!r}", None)
    return _points(text("points"), name == "polygon")


def _path(data: str | None) -> ShapeText:
    if data is None or not data.strip() or data.strip() == "none":
        return ShapeText("", "the path holds no data")
    return ShapeText(data, None)


def _rectangle(value: Value) -> ShapeText:
    width, height = value("width", "x") or 0.0, value("height", "y") or 0.0
    broken = None
    if width <= 0 and height <= 0:
        return ShapeText("", "the rectangle has neither width nor height")
    if width <= 0 or height <= 0:
        # Not drawn (SVG 2, 10.2), yet where it stands is worth knowing.
        width, height = max(width, 0.0), max(height, 0.0)
        broken = "the rectangle has no width or no height, and viewers do not draw it"
    x, y = value("x", "x") or 0.0, value("y", "y") or 0.0
    rx, ry = value("rx", "x"), value("ry", "y")
    rx, ry = (ry if rx is None else rx) or 0.0, (rx if ry is None else ry) or 0.0
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    right, bottom = x + width, y + height
    if rx <= 0 or ry <= 0:
        return ShapeText(f"M{x!r} {y!r}H{right!r}V{bottom!r}H{x!r}z", broken)
    corner = f"A{rx!r} {ry!r} 0 0 1 "
    return ShapeText(
        f"M{x + rx!r} {y!r}H{right - rx!r}{corner}{right!r} {y + ry!r}V{bottom - ry!r}{corner}{right - rx!r} {bottom!r}"
        f"H{x + rx!r}{corner}{x!r} {bottom - ry!r}V{y + ry!r}{corner}{x + rx!r} {y!r}z",
        None,
    )


def _ellipse(value: Value, rx: float | None, ry: float | None) -> ShapeText:
    if rx is None or ry is None or rx < 0 or ry < 0:
        return ShapeText("", "the circle or ellipse has no radius")
    broken = (
        None if rx and ry else "the circle or ellipse has a radius of nothing, and viewers do not draw it"
    )
    x, y = value("cx", "x") or 0.0, value("cy", "y") or 0.0
    arc = f"A{rx!r} {ry!r} 0 0 1 "
    return ShapeText(
        f"M{x + rx!r} {y!r}{arc}{x!r} {y + ry!r}{arc}{x - rx!r} {y!r}{arc}{x!r} {y - ry!r}{arc}{x + rx!r} {y!r}z",
        broken,
    )


def _points(text: str | None, closed: bool) -> ShapeText:
    numbers, complete = parse_numbers(text or "")
    broken = None
    if not complete:
        broken = "the list of points holds something that is no number; drawn up to there"
    elif len(numbers) % 2:
        broken = "the list of points ends with half a point, which is left out"
    if len(numbers) < 2:
        return ShapeText("", broken or "the shape has no points")
    pairs = [f"{numbers[i]!r} {numbers[i + 1]!r}" for i in range(0, len(numbers) - 1, 2)]
    return ShapeText("M" + "L".join(pairs) + ("z" if closed else ""), broken)
