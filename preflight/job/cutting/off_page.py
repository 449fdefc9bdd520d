"""Cuts that leave the page or its bleed box. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Page
from preflight.geometry.outermost import outermost
from preflight.geometry.outlines import Floats
from preflight.job.cutting.cuts import CutContour

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["OffPage", "cuts_off_page"]

_NOISE = 0.01
"""mm. A contour drawn along the edge of the page may pass it by what rounding of units leaves."""


class OffPage(msgspec.Struct, frozen=True, eq=False):
    """A contour that leaves the ``frame`` (``page`` or ``bleed box``) by ``distance`` mm, from ``here`` on the frame to
    ``there``, the place of the contour that is farthest out; ``box`` holds what lies outside.
    """

    contour: CutContour
    frame: str
    distance: float
    wholly: bool
    box: Box
    here: tuple[float, float]
    there: tuple[float, float]


def cuts_off_page(job: Job) -> Iterator[OffPage]:
    """Contours that leave the page, else those that leave a bleed box which the file states; copies and fragments left out."""
    cuts, aside = job.cuts, job.set_aside
    boxes = cuts.boxes
    asked = ~aside.copies & ~aside.fragments & np.isfinite(boxes).all(axis=1)
    for name, frame in _frames(job.artwork.page):
        beyond = np.concatenate([frame[:2] - boxes[:, :2], boxes[:, 2:] - frame[2:]], axis=1)
        # Of sides left by as much the first counts, whatever the last digits say.
        sides, beyond = beyond.round(3).argmax(axis=1), beyond.max(axis=1)
        out = asked & (beyond > _NOISE)
        asked &= ~out
        for index in np.flatnonzero(out).tolist():
            (line,) = cuts.lines(np.array([index]))
            outside = shapely.difference(line, shapely.box(*frame))
            x0, y0, x1, y1 = shapely.bounds(outside).tolist()
            wholly = bool(shapely.length(outside) >= shapely.length(line) - _NOISE)
            here, there = _measured(outside, int(sides[index]), frame, boxes[index])
            yield OffPage(
                cuts.contours[index], name, float(beyond[index]), wholly, (x0, y0, x1, y1), here, there
            )


def _measured(
    outside: Any, side: int, frame: Floats, box: Floats
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The place farthest out on a side, and the one on the frame's edge across from it."""
    there, here = list(outermost(outside, side)), list(outermost(outside, side))
    # The box is that of the true curve.
    there[side % 2], here[side % 2] = float(box[side]), float(frame[side])
    return (here[0], here[1]), (there[0], there[1])


def _frames(page: Page) -> Iterator[tuple[str, Floats]]:
    yield "page", np.array([0.0, 0.0, page.width, page.height])
    if "bleed" in page.stated_boxes:
        yield "bleed box", np.array(page.boxes["bleed"])
