"""What small art lies on: which of it is light on dark, and so left out of the ink beneath. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum, auto
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely

from preflight.artwork import Box, Kind, Note, NoteKind, Object, Paint, PaintKind
from preflight.job.objects import JobObject
from preflight.job.printing.inks import known_inks, laid, leaves_trace
from preflight.job.printing.paint_lightness import lightness_of_paint

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["WORK", "Grounds", "Reversal", "Small"]

WORK = 200_000
"""Parts that lie beneath small art and are looked at at most: some seconds."""

_AT_ONCE = 512
_PAIRS_AT_ONCE = 2_000_000
"""Small things looked at together, and the most pairs these can come to: many over many must not fill the memory."""
_MOST = 0.5
"""Share of a small thing that must lie on dark art for it to be reversed."""
_LEAST_WIDTH = 0.02
"""mm. Lines count as that wide at least when it is asked whether both their sides lie on something."""


class Small(msgspec.Struct, frozen=True, eq=False):
    """A fill or stroke that is asked about.

    ``region`` is what it covers, mm: polygons, or the lines that a stroke of that ``width`` follows. ``paint`` is what it is painted
    with, ``opacity`` how strongly.
    """

    index: int
    region: Any
    paint: Paint
    opacity: float
    width: float = 0.0

    @property
    def white(self) -> bool:
        """Whether it leaves no ink: it can only show by what it takes away."""
        return not laid(self.paint)


class Reversal(msgspec.Struct, frozen=True):
    """Where a small thing is light on dark: the box of it, mm, and how many inks lie there, None where that is not known."""

    box: Box
    inks: int | None


class _Kind(Enum):
    DARK = auto()
    LIGHT = auto()
    THROUGH = auto()
    """It does not hide what lies beneath it, and does not make it dark by itself."""
    UNSURE = auto()


class Grounds:
    """Answers what printed art lies beneath small art, in paint order."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._unjudged: dict[int, None] = {}

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was not judged of all that was asked so far."""
        if not self._unjudged:
            return ()
        count = len(self._unjudged)
        told = f"{count:,} small objects lie" if count > 1 else "A small object lies"
        message = f"{told} over more than can be looked at; taken to be dark on light."
        origin = self._job.artwork.objects[next(iter(self._unjudged))].origin
        return (Note(NoteKind.NOT_MODELLED, "reversed", message, origin),)

    def texts(self, below: float) -> list[tuple[JobObject, Small]]:
        """Printed text whose font is smaller than ``below`` mm, with what is asked about it: by the box of the text."""
        found = []
        for item in self._job.content.texts:
            drawn, size = item.object, item.object.font_size
            if size is None or size >= below or item.box is None:
                continue
            filled = leaves_trace(drawn.fill, drawn.fill_opacity)
            paint, opacity, _ = _painted(drawn, not filled)
            found.append((item, Small(item.index, shapely.box(*item.box), paint, opacity)))
        return found

    def reversals(
        self, small: Sequence[Small], lighter_by: float, least_length: float = float("inf")
    ) -> list[Reversal | None]:
        """Which small things are light on dark, in the order given; None for those that are not, or not for sure.

        Parameters
        ----------
        lighter_by : steps of L* by which they are lighter than what they lie on.
        least_length : mm of a line that lie on dark art and make it reversed, however long the line is; for others it is half of
            the line, or of the area.
        """
        found: list[Reversal | None] = [None] * len(small)
        light = [_lightness(one) for one in small]
        asked = [row for row, own in enumerate(light) if own is not None and own > lighter_by]
        for row, beneath in self._beneath(small, asked):
            own = light[row]
            if own is not None:
                found[row] = self._judged(small[row], own - lighter_by, beneath, least_length)
        return found

    def _beneath(
        self, small: Sequence[Small], asked: Sequence[int]
    ) -> Iterator[tuple[int, list[tuple[int, bool]]]]:
        """Small things, each with the parts painted before it that meet it, topmost first, and whether they hold all of it."""
        printed = self._job.printed
        index = printed.parts.index
        left = WORK
        together = max(1, min(_AT_ONCE, _PAIRS_AT_ONCE // max(1, len(index))))
        for first in range(0, len(asked), together):
            rows = np.array(asked[first : first + together], np.intp)
            regions = np.array([small[row].region for row in rows.tolist()], dtype=object)
            over, part = printed.meeting(shapely.envelope(regions))
            before = index[part] < np.array([small[row].index for row in rows.tolist()])[over]
            over, part = over[before], part[before]
            left -= len(over)
            if left < 0:
                self._unjudged.update(dict.fromkeys(small[row].index for row in asked[first:]))
                return
            ground = printed.regions(part)
            shapely.prepare(ground)
            meets = shapely.intersects(ground, regions[over])
            over, part, ground = over[meets], part[meets], ground[meets]
            whole = shapely.contains_properly(ground, regions[over])
            order = np.lexsort((-part, over))
            found: dict[int, list[tuple[int, bool]]] = {}
            for place in order.tolist():
                found.setdefault(int(over[place]), []).append((int(part[place]), bool(whole[place])))
            for place, parts in found.items():
                yield int(rows[place]), parts

    def _judged(
        self, small: Small, darkest: float, beneath: list[tuple[int, bool]], least_length: float
    ) -> Reversal | None:
        """Whether enough of it lies on what is no lighter than ``darkest``."""
        deciding: list[tuple[int, _Kind]] = []
        alone = False
        for row, whole in beneath:
            kind = self._kind(row, small, darkest)
            if kind is not _Kind.THROUGH:
                deciding.append((row, kind))
                if whole:
                    # Most small art lies on one ground alone, well within it.
                    alone = len(deciding) == 1
                    break
        if not any(kind is _Kind.DARK for _, kind in deciding):
            return None
        dark = small.region if alone else self._dark(small, deciding)
        measure = shapely.length if _is_line(small.region) else shapely.area
        size, all_of_it = float(measure(dark)), float(measure(small.region))
        enough = size >= _MOST * all_of_it or (_is_line(small.region) and size >= least_length)
        if not enough or shapely.is_empty(dark):
            return None
        x0, y0, x1, y1 = shapely.bounds(dark).tolist()
        inks = [self._inks(row) for row, kind in deciding if kind is _Kind.DARK]
        known = [count for count in inks if count is not None]
        return Reversal((x0, y0, x1, y1), max(known) if len(known) == len(inks) else None)

    def _dark(self, small: Small, deciding: Sequence[tuple[int, _Kind]]) -> Any:
        """What of its region lies on dark parts that are not covered before it is painted."""
        rest, dark = small.region, []
        regions = self._job.printed.regions(np.array([row for row, _ in deciding], np.intp))
        for (_, kind), region in zip(deciding, regions, strict=True):
            if kind is _Kind.DARK:
                ground = _within(region, small) if _is_line(small.region) else region
                dark.append(shapely.intersection(rest, ground))
            rest = shapely.difference(rest, region)
            if shapely.is_empty(rest):
                break
        return shapely.union_all(dark)

    def _kind(self, row: int, small: Small, darkest: float) -> _Kind:
        parts = self._job.printed.parts
        drawn = self._job.artwork.objects[int(parts.index[row])]
        paint, opacity, overprint = _painted(drawn, bool(parts.stroke[row]))
        if not parts.sure[row]:
            return _Kind.THROUGH if parts.causes[row] == "text" else _Kind.UNSURE
        if drawn.kind is Kind.IMAGE and not paint.paints:
            # White can only be seen where the image has ink.
            return _Kind.DARK if small.white else _Kind.UNSURE
        own = lightness_of_paint(paint, opacity)
        if own is not None and own <= darkest:
            return _Kind.DARK
        if own is None or paint.kind is not PaintKind.COLOR:
            return _Kind.DARK if small.white and bool(parts.adds[row]) else _Kind.UNSURE
        alpha = 1.0 if paint.color is None else paint.color.alpha
        hides = opacity * alpha >= 1.0 and drawn.blend == "normal" and not overprint
        return _Kind.LIGHT if hides else _Kind.THROUGH

    def _inks(self, row: int) -> int | None:
        parts = self._job.printed.parts
        drawn = self._job.artwork.objects[int(parts.index[row])]
        return known_inks(_painted(drawn, bool(parts.stroke[row]))[0])


def _painted(drawn: Object, stroke: bool) -> tuple[Paint, float, bool]:
    """Paint, opacity and overprint of a fill or stroke."""
    if stroke:
        return drawn.stroke.paint, drawn.stroke.opacity * drawn.opacity, drawn.stroke.overprint
    return drawn.fill, drawn.fill_opacity * drawn.opacity, drawn.overprint


def _lightness(small: Small) -> float | None:
    """L* of a plain colour; None for all else, which is never called reversed."""
    if small.paint.kind is not PaintKind.COLOR:
        return None
    return lightness_of_paint(small.paint, small.opacity)


def _is_line(region: Any) -> bool:
    return bool(shapely.get_dimensions(region) == 1)


def _within(region: Any, small: Small) -> Any:
    """What of a region has room for both sides of a line; a line along its edge lies beside it as much as on it."""
    half = max(small.width, _LEAST_WIDTH) / 2
    x0, y0, x1, y1 = shapely.bounds(small.region).tolist()
    around = shapely.box(x0 - 4 * half, y0 - 4 * half, x1 + 4 * half, y1 + 4 * half)
    near = shapely.intersection(region, around)
    return shapely.buffer(near, -half, join_style="mitre")
