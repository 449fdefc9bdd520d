"""The stroke of an object in millimetres. Knows no element."""

from __future__ import annotations

from operator import itemgetter
from typing import Any

from preflight.artwork.model import Paint, Stroke
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.units import MM_PER_PX, Length, Matrix, mean_scale, pen, to_px, uneven

__all__ = ["Strokes"]

Pen = tuple[float, float, float, float]

_inherited = itemgetter(
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-opacity",
    "stroke-width",
)
"""What `_stroke` reads of a style."""


class Strokes:
    """Makes strokes, each distinct one once: sheets repeat a few styles thousands of times."""

    def __init__(self) -> None:
        self._known: dict[tuple[Any, ...], Stroke] = {}
        self._scales: dict[tuple[float, ...], tuple[float, Pen | None]] = {}

    def of(self, style: Style, paint: Paint, matrix: Matrix, diagonal: float) -> Stroke:
        """The stroke of a style.

        Parameters
        ----------
        matrix : from user units to mm on the page.
        diagonal : what percentages are of, user units.
        """
        linear = matrix[:4]
        if linear not in self._scales:
            self._scales[linear] = mean_scale(matrix), pen(matrix) if uneven(matrix) else None
        scale, skewed = self._scales[linear]
        if style["vector-effect"] == "non-scaling-stroke":
            scale, skewed = MM_PER_PX, None
        # Not by the style itself: thousands may differ in their fill alone.
        key = (paint, scale, skewed, diagonal, style.font_size, *_inherited(style.values))
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = _stroke(style, paint, scale, skewed, diagonal)
        return known


def _stroke(
    style: Style,
    paint: Paint,
    scale: float,
    skewed: Pen | None,
    diagonal: float,
) -> Stroke:
    def measured(length: Length) -> float:
        return to_px(length, diagonal, style.font_size) * scale

    dashes = tuple(measured(length) for length in style["stroke-dasharray"])
    if len(dashes) % 2:
        dashes += dashes
    if not any(dashes):
        dashes = ()  # SVG 2, 13.5.6: a sum of nothing means a solid line
    return Stroke(
        paint=paint,
        width=measured(style["stroke-width"]),
        cap=style["stroke-linecap"],
        join=style["stroke-linejoin"],
        miter_limit=style["stroke-miterlimit"],
        dash=dashes,
        dash_offset=measured(style["stroke-dashoffset"]),
        opacity=style["stroke-opacity"],
        uneven=skewed is not None,
        pen=skewed,
    )
