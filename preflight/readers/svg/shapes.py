"""Shape elements, handed over to the curves of the whole document. Knows no style.

The equivalent paths are those of SVG 2, chapter 10; ``z`` marks what the shape closes by itself.
"""

from __future__ import annotations

from collections.abc import Callable

from preflight.readers.svg.curves import Curves
from preflight.readers.svg.units import parse_numbers

__all__ = ["MARKED", "SHAPES", "Shape", "Value", "path_of", "shape_of"]

SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
MARKED = frozenset({"path", "line", "polyline", "polygon"})
"""Shapes whose markers viewers draw. SVG 2, 13.7, has markers on all shapes; browsers keep to these."""

Value = Callable[[str, str], float | None]
"""A geometry property in user units by name and axis (``x``, ``y``, ``o``); None where it has no usable value."""


Shape = tuple[int, str | None]
"""Number of a shape among the document's curves, and what is wrong with it (None: nothing)."""


def shape_of(curves: Curves, name: str, value: Value, text: Callable[[str], str | None]) -> Shape:
    """Hand one shape element over to the document's curves.

    Parameters
    ----------
    name : local name of the element, one of `SHAPES`.
    value : gives a geometry property in user units.
    text : gives an attribute as written.
    """
    match name:
        case "path":
            return path_of(curves, text("d"))
        case "rect":
            return _rectangle(curves, value)
        case "circle":
            radius = value("r", "o")
            return _ellipse(curves, value, radius, radius)
        case "ellipse":
            rx, ry = value("rx", "x"), value("ry", "y")
            return _ellipse(curves, value, ry if rx is None else rx, rx if ry is None else ry)
        case "line":
            x1, y1, x2, y2 = (
                value(key, axis) or 0.0 for key, axis in (("x1", "x"), ("y1", "y"), ("x2", "x"), ("y2", "y"))
            )
            return curves.path(f"M{x1!r} {y1!r}L{x2!r} {y2!r}"), None
    return _points(curves, text("points"), name == "polygon")


def path_of(curves: Curves, data: str | None) -> Shape:
    """Hand the data of a ``<path>`` over to the document's curves."""
    if not data or data.isspace() or (len(data) < 32 and data.strip() == "none"):
        return curves.path(""), "the path holds no data"
    return curves.path(data), None


def _rectangle(curves: Curves, value: Value) -> Shape:
    width, height = value("width", "x") or 0.0, value("height", "y") or 0.0
    if width <= 0 and height <= 0:
        return curves.path(""), "the rectangle has neither width nor height"
    x, y = value("x", "x") or 0.0, value("y", "y") or 0.0
    if width <= 0 or height <= 0:
        # Not drawn (SVG 2, 10.2), yet where it stands is worth knowing.
        right, bottom = x + max(width, 0.0), y + max(height, 0.0)
        flat = curves.path(f"M{x!r} {y!r}H{right!r}V{bottom!r}H{x!r}z")
        return flat, "the rectangle has no width or no height, and viewers do not draw it"
    rx, ry = value("rx", "x"), value("ry", "y")
    rx, ry = (ry if rx is None else rx) or 0.0, (rx if ry is None else ry) or 0.0
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    if rx <= 0 or ry <= 0:
        return curves.rectangle(x, y, width, height), None
    right, bottom = x + width, y + height
    corner = f"A{rx!r} {ry!r} 0 0 1 "
    rounded = (
        f"M{x + rx!r} {y!r}H{right - rx!r}{corner}{right!r} {y + ry!r}V{bottom - ry!r}{corner}{right - rx!r} {bottom!r}"
        f"H{x + rx!r}{corner}{x!r} {bottom - ry!r}V{y + ry!r}{corner}{x + rx!r} {y!r}z"
    )
    return curves.path(rounded), None


def _ellipse(curves: Curves, value: Value, rx: float | None, ry: float | None) -> Shape:
    if rx is None or ry is None or rx < 0 or ry < 0:
        return curves.path(""), "the circle or ellipse has no radius"
    x, y = value("cx", "x") or 0.0, value("cy", "y") or 0.0
    if rx and ry:
        return curves.ellipse(x, y, rx, ry), None
    flat = curves.path(
        f"M{x + rx!r} {y!r}L{x!r} {y + ry!r}L{x - rx!r} {y!r}L{x!r} {y - ry!r}L{x + rx!r} {y!r}z"
    )
    return flat, "the circle or ellipse has a radius of nothing, and viewers do not draw it"


def _points(curves: Curves, text: str | None, closed: bool) -> Shape:
    numbers, complete = parse_numbers(text or "")
    broken = None
    if not complete:
        broken = "the list of points holds something that is no number; drawn up to there"
    elif len(numbers) % 2:
        broken = "the list of points ends with half a point, which is left out"
    if len(numbers) < 2:
        return curves.path(""), broken or "the shape has no points"
    pairs = [f"{numbers[i]!r} {numbers[i + 1]!r}" for i in range(0, len(numbers) - 1, 2)]
    return curves.path("M" + "L".join(pairs) + ("z" if closed else "")), broken
