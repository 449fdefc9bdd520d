"""Thin lines of printed art: strokes, and fills so narrow that they are lines. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Kind, Object, Paint, PaintKind, Stroke
from preflight.geometry.outlines import Integers
from preflight.geometry.thickness import may_be_thin, thicknesses
from preflight.job.objects import JobObject
from preflight.job.printing.inks import known_inks, leaves_trace, stroke_shows

if TYPE_CHECKING:
    from preflight.job.job import Job
    from preflight.job.printing.grounds import Reversal, Small

__all__ = ["ThinLine", "ThinLines"]


class ThinLine(msgspec.Struct, frozen=True):
    """A line that prints.

    Attributes
    ----------
    width : mm; of an uneven stroke where it is thinnest, of a fill that of the largest circle in it. 0 is the thinnest line of the
        device.
    stroke : whether it is a stroke, and not a fill.
    inks : how many inks it is printed in; None where that is not known.
    box : mm, of the line, without its width; where it is reversed, of what is.
    reversal : where it is light on dark, or None.
    """

    item: JobObject
    width: float
    stroke: bool
    inks: int | None
    box: Box
    reversal: Reversal | None


class ThinLines:
    """Views of the thin lines of a page. White that takes away no ink is no line."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def strokes(self, below: float, lighter_by: float, least_length: float) -> list[ThinLine]:
        """Strokes thinner than ``below`` mm, but for those in the paint of the fill they are drawn round, and probable cuts.

        Parameters
        ----------
        lighter_by : steps of L* by which a reversed line is lighter than what it lies on.
        least_length : mm that must lie there.
        """
        lines = self._of_look(lambda drawn: _is_line(drawn) and _thinnest(drawn.stroke) < below)
        found = [
            (item, _thinnest(item.object.stroke), item.box)
            for item in self._job.items_at(lines)
            if item.box is not None
        ]
        if not found:
            return []
        from preflight.job.printing.grounds import Small  # few pages have thin lines
        from preflight.job.printing.painted_regions import Painted, painted_regions

        reported = self._job.suspects.reported
        found = [one for one in found if one[0].index not in reported]
        asked = [Painted(item.index, True) for item, _, _ in found]
        as_lines = {item.index for item, _, _ in found}
        shapes = painted_regions(self._job.artwork, asked, as_lines)
        smalls = [
            Small(
                item.index,
                shape if shape is not None else shapely.MultiLineString(),
                item.object.stroke.paint,
                item.object.stroke.opacity * item.object.opacity,
                width,
            )
            for (item, width, _), shape in zip(found, shapes, strict=True)
        ]
        return self._told(found, smalls, lighter_by, least_length, stroke=True)

    def fills(self, below: float, lighter_by: float, least_length: float) -> list[ThinLine]:
        """Parts of fills thinner than ``below`` mm all over, and at least ``least_length`` long; those with a stroke left out."""
        rows, items = self._candidates(below)
        if not items:
            return []
        from preflight.job.printing.grounds import Small  # few pages have thin lines

        parts, owner = shapely.get_parts(self._job.printed.regions(rows), return_index=True)
        edges = shapely.length(parts)
        # Half the edge is the length of something thin.
        chosen = np.flatnonzero((edges / 2 >= least_length) & (shapely.area(parts) < below / 2 * edges))
        parts, owner = parts[chosen], owner[chosen]
        widths = thicknesses(parts, below)
        thin = np.flatnonzero(widths < below)
        boxes = shapely.bounds(parts[thin]).tolist()
        found: list[tuple[JobObject, float, Box]] = [
            (items[own], width, (box[0], box[1], box[2], box[3]))
            for own, width, box in zip(owner[thin].tolist(), widths[thin].tolist(), boxes, strict=True)
        ]
        smalls = [
            Small(item.index, part, item.object.fill, item.object.fill_opacity * item.object.opacity, width)
            for (item, width, _), part in zip(found, parts[thin], strict=True)
        ]
        return self._told(found, smalls, lighter_by, least_length, stroke=False)

    def _candidates(self, below: float) -> tuple[Integers, list[JobObject]]:
        """Rows among the printed parts of plain fills that may be thin, and their objects."""
        plain = self._of_look(_is_plain_fill)
        thin = plain[may_be_thin(self._job.artwork.outlines.of_objects(plain), below)]
        if not len(thin):
            return np.empty(0, np.intp), []
        parts = self._job.printed.parts
        rows = np.flatnonzero(np.isin(parts.index, thin) & ~parts.stroke)
        return rows, self._job.items_at(parts.index[rows])

    def _of_look(self, asked: Callable[[Object], bool]) -> Integers:
        """(k,) art that prints and has a look of which something is so, by index."""
        art = self._job.content.printing_indices
        return art[self._job.looks.flags(asked)[art]]

    def _told(
        self,
        found: Sequence[tuple[JobObject, float, Box]],
        smalls: Sequence[Small],
        lighter_by: float,
        least_length: float,
        *,
        stroke: bool,
    ) -> list[ThinLine]:
        reversals = self._job.grounds.reversals(smalls, lighter_by, least_length)
        return [
            ThinLine(
                item, width, stroke, known_inks(small.paint), reversal.box if reversal else box, reversal
            )
            for (item, width, box), small, reversal in zip(found, smalls, reversals, strict=True)
            if reversal is not None or not small.white
        ]


def _is_plain_fill(drawn: Object) -> bool:
    return (
        drawn.kind is Kind.PATH
        and drawn.fill.kind in (PaintKind.COLOR, PaintKind.GRADIENT)
        and leaves_trace(drawn.fill, drawn.fill_opacity)
        and not stroke_shows(drawn.stroke)
    )


def _is_line(drawn: Object) -> bool:
    return stroke_shows(drawn.stroke) and not drawn.boxed and not _thickens(drawn)


def _thinnest(stroke: Stroke) -> float:
    if stroke.pen is None:
        return stroke.width
    a, b, c, d = stroke.pen
    return stroke.width * float(np.linalg.svd(np.array([[a, c], [b, d]]), compute_uv=False)[-1])


def _thickens(drawn: Object) -> bool:
    """Whether the stroke is of one paint with the fill it goes round, and so makes the shape larger."""
    return _alike(drawn.fill, drawn.stroke.paint) and drawn.fill_opacity == drawn.stroke.opacity


def _alike(one: Paint, other: Paint) -> bool:
    return one.paints and one == other
