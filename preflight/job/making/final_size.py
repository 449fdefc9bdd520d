"""Artwork drawn at some scale, brought to the size it is made at. Knows lengths and the page, nothing of cutting."""

from __future__ import annotations

import math

import msgspec

from preflight.artwork import Artwork, Box, Object, Page, Stroke
from preflight.geometry.outlines import Outlines

__all__ = ["FinalSizeError", "at_final_size", "final_factor"]


class FinalSizeError(ValueError):
    """The page cannot be brought to the size asked for; the message says why."""


def final_factor(page: Page, scale: float | None, width: float | None, most: float) -> float:
    """How many times the size drawn a page is made at.

    Parameters
    ----------
    page : as it is drawn.
    scale : the factor itself, None where none is stated.
    width : mm, the final width of the page, None where none is stated; the height follows.
    most : mm; a page that is brought to a larger size is refused, as lengths beyond it are taken for faults.

    Raises
    ------
    FinalSizeError
        The page has no width to be brought to another, or would become too large.
    """
    if scale is None and width is None:
        return 1.0
    if width is not None and page.width <= 0.0:
        raise FinalSizeError("The page is drawn without a width, so it cannot be brought to one")
    factor = width / page.width if width is not None else scale or 1.0
    longer = factor * max(page.width, page.height)
    if not math.isfinite(longer) or (factor > 1.0 and longer > most):
        drawn = f"{page.width:.6g} × {page.height:.6g} mm"
        raise FinalSizeError(
            f"The page is drawn {drawn}; {factor:.4g} times as large it passes the limit of {most:,.0f} mm "
            "([limits] coordinate)"
        )
    return factor


def at_final_size(artwork: Artwork, factor: float) -> Artwork:
    """The artwork with every length multiplied; notes, which tell of the file as it is drawn, stay.

    Parameters
    ----------
    factor : above 0; at 1 the artwork is handed back as it is.
    """
    if factor == 1.0:
        return artwork
    strokes: dict[int, Stroke] = {}
    return msgspec.structs.replace(
        artwork,
        page=_page(artwork.page, factor),
        objects=tuple([_object(drawn, factor, strokes) for drawn in artwork.objects]),
        outlines=_outlines(artwork.outlines, factor),
        clips=tuple([_outlines(clip, factor) for clip in artwork.clips]),
        alphas={index: alpha.scaled(factor) for index, alpha in artwork.alphas.items()},
        inks={index: inks.scaled(factor) for index, inks in artwork.inks.items()},
    )


def _page(page: Page, factor: float) -> Page:
    return msgspec.structs.replace(
        page,
        width=page.width * factor,
        height=page.height * factor,
        boxes={name: _box(box, factor) for name, box in page.boxes.items()},
        scale=page.scale * factor,
    )


def _box(box: Box, factor: float) -> Box:
    x0, y0, x1, y1 = box
    return x0 * factor, y0 * factor, x1 * factor, y1 * factor


def _outlines(outlines: Outlines, factor: float) -> Outlines:
    return msgspec.structs.replace(
        outlines,
        segments=outlines.segments * factor,
        starts=outlines.starts * factor,
        gaps=outlines.gaps * factor,
    )


def _object(drawn: Object, factor: float, strokes: dict[int, Stroke]) -> Object:
    """The object with its own lengths; ``strokes`` holds those made so far, as many objects share one."""
    stroke = drawn.stroke
    if not (stroke.width or stroke.dash or drawn.placed_size or drawn.font_size):
        return drawn
    made = strokes.get(id(stroke))
    if made is None:
        made = strokes[id(stroke)] = msgspec.structs.replace(
            stroke,
            width=stroke.width * factor,
            dash=tuple([length * factor for length in stroke.dash]),
            dash_offset=stroke.dash_offset * factor,
        )
    placed = drawn.placed_size
    return msgspec.structs.replace(
        drawn,
        stroke=made,
        placed_size=None if placed is None else (placed[0] * factor, placed[1] * factor),
        font_size=None if drawn.font_size is None else drawn.font_size * factor,
    )
