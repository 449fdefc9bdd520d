"""Artwork pictures and cut contours drawn for the tests of reports that draw: labels of the ferry's tea room."""

from __future__ import annotations

import base64
import math

from preflight.reports.report import Drawing, Drawings, StepDrawing
from preflight.rule import Rule

TINTS = ("#27566b", "#d9893b", "#8a3d3a", "#6f8f5a", "#c9b37a", "#3c4a6b")


class OpenContour(Rule):
    """A cut contour whose two ends do not meet.

    What it finds
    -------------
    A contour that ends more than 0.01 mm from its start. ``closed_within`` sets the limit.

    Why it matters
    --------------
    The knife leaves a bridge and the piece tears when it is weeded.

    Known limits
    ------------
    * Two open contours that make one shape are two findings.
    * <b>Not bold</b> & not a tag.

    How to mend it
    --------------
    Join the end nodes, or close the path.
    """

    id = "contour-open"


RULES = {OpenContour.id: OpenContour}


def wave(x: float, y: float, radius: float, bumps: int) -> str:
    """A scalloped ring as path data."""
    points = []
    for step in range(bumps * 8):
        turn = math.tau * step / (bumps * 8)
        reach = radius * (1 + 0.06 * math.cos(turn * bumps))
        points.append(f"{x + reach * math.cos(turn):.2f} {y + reach * math.sin(turn):.2f}")
    return "M" + "L".join(points) + "Z"


def picture(width: float, height: float, stickers: list[tuple[float, float, float]]) -> str:
    """A data URI of an SVG with one ferry badge at each place."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}mm" height="{height}mm">'
    ]
    for index, (x, y, radius) in enumerate(stickers):
        tint, other = TINTS[index % 6], TINTS[(index + 2) % 6]
        r = radius
        parts.append(
            f'<path d="{wave(x, y, r * 1.08, 14)}" fill="{tint}"/><circle cx="{x}" cy="{y}" r="{r * 0.72}" fill="#f4ead2"/>'
            f'<path d="M{x - r * 0.5} {y + r * 0.1}h{r}l{-r * 0.2} {r * 0.28}h{-r * 0.6}z" fill="{tint}"/>'
            f'<path d="M{x - r * 0.3} {y + r * 0.08}v{-r * 0.2}h{r * 0.5}v{r * 0.2}zM{x} {y - r * 0.14}v{-r * 0.22}h{r * 0.12}v{r * 0.22}z" fill="{other}"/>'
            f'<path d="M{x - r * 0.55} {y + r * 0.47}q{r * 0.14} {-r * 0.12} {r * 0.28} 0t{r * 0.28} 0t{r * 0.28} 0t{r * 0.28} 0" fill="none" stroke="{other}" stroke-width="{r * 0.05}"/>'
        )
    svg = "".join(parts) + "</svg>"
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def grid(columns: int, rows: int, pitch: float) -> list[tuple[float, float, float]]:
    return [(pitch * (i + 0.5), pitch * (j + 0.5), pitch * 0.38) for j in range(rows) for i in range(columns)]


def sheet_drawing(columns: int = 4, rows: int = 3, pitch: float = 65.0, page: int = 1) -> Drawing:
    """A sheet of badges with kiss cuts, one through cut, a perforation and a crease."""
    width, height = columns * pitch + 10, rows * pitch + 10
    stickers = [(x + 5, y + 5, r) for x, y, r in grid(columns, rows, pitch)]
    rim = f"M5 5H{width - 5}V{height - 5}H5Z"
    return Drawing(
        page=page,
        size_mm=(width, height),
        picture=picture(width, height, stickers),
        steps=(
            StepDrawing(step="Creasing", paths=(f"M{width / 2} 5V{height - 5}",)),
            StepDrawing(step="Cutting", paths=(rim,)),
            StepDrawing(step="PartialCutting", paths=tuple(wave(x, y, r, 14) for x, y, r in stickers)),
            StepDrawing(step="Perforating", paths=(f"M5 {height / 2}H{width - 5}",)),
        ),
    )


def drawings_of(**by_path: Drawing) -> Drawings:
    """Drawings for paths such as ``ferry.svg``, named without the suffix."""
    return lambda path: (by_path[path.removesuffix(".svg")],) if path.removesuffix(".svg") in by_path else ()
