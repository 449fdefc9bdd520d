"""What small art lies on: which of it is light on dark, and so left out of the ink beneath. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum, auto
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from preflight.artwork import Box, Kind, Note, NoteKind, Object, Paint, PaintKind
from preflight.geometry.outlines import Flags, Integers
from preflight.job.objects import JobObject
from preflight.job.printing.inks import known_inks, laid, leaves_trace
from preflight.job.printing.paint_lightness import lightness_of_paint
from preflight.job.remembered import remembered

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
_FEW_POINTS = 64
"""Of a small thing that is cut by the boxes of what lies beneath it."""
_NOISE = 1e-9
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

    @property
    def is_line(self) -> bool:
        """Whether its length counts, and not its area."""
        return bool(shapely.get_dimensions(self.region) == 1)


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


class _Look(msgspec.Struct, frozen=True):
    """What decides of what kind a printed part is.

    ``always`` is its kind where that is the same for all that lies on it. ``lightness`` is its L*, where that is known, ``plain``
    whether it is painted in one colour; ``adds`` whether it leaves ink, ``hides`` whether nothing shows through it.
    """

    always: _Kind | None = None
    lightness: float | None = None
    adds: bool = False
    plain: bool = False
    hides: bool = False


class _Asked(msgspec.Struct, frozen=True, eq=False):
    """A small thing that may be reversed, the ``row``-th asked about.

    What is no lighter than ``darkest`` is dark for it, and ``least`` of it (mm, or mm² of an area) must lie on that; ``white`` tells
    whether it leaves no ink.
    """

    row: int
    small: Small
    darkest: float
    least: float
    white: bool


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
        asked = [
            _Asked(row, small[row], own - lighter_by, _least_dark(small[row], least_length), small[row].white)
            for row, own in enumerate(light)
            if own is not None and own > lighter_by
        ]
        for one, beneath in self._beneath(asked):
            found[one.row] = self._judged(one, beneath)
        return found

    def _beneath(self, asked: Sequence[_Asked]) -> Iterator[tuple[_Asked, list[tuple[int, _Kind, bool]]]]:
        """Small things that may be reversed, each with the parts beneath it that decide it, topmost first: what each is for it, and
        whether it holds all of it.
        """
        printed = self._job.printed
        index = printed.parts.index
        left = WORK
        together = max(1, min(_AT_ONCE, _PAIRS_AT_ONCE // max(1, len(index))))
        for first in range(0, len(asked), together):
            own = asked[first : first + together]
            regions = np.array([one.small.region for one in own], dtype=object)
            over, part = printed.meeting(shapely.envelope(regions))
            before = index[part] < np.array([one.small.index for one in own])[over]
            over, part = over[before], part[before]
            left -= len(over)
            if left < 0:
                self._unjudged.update(dict.fromkeys(one.small.index for one in asked[first:]))
                return
            order = np.lexsort((-part, over))
            over, part = over[order], part[order]
            kinds = np.array(
                [self._kind(row, own[at]) for at, row in zip(over.tolist(), part.tolist(), strict=True)],
                object,
            )
            decides = self._may_decide(own, regions, over, part, kinds)
            over, part, kinds = over[decides], part[decides], kinds[decides]
            ground = printed.regions(part)
            shapely.prepare(ground)
            meets = shapely.intersects(ground, regions[over])
            over, part, kinds, ground = over[meets], part[meets], kinds[meets], ground[meets]
            whole = shapely.contains_properly(ground, regions[over])
            found: dict[int, list[tuple[int, _Kind, bool]]] = {}
            for at, *told in zip(over.tolist(), part.tolist(), kinds.tolist(), whole.tolist(), strict=True):
                found.setdefault(at, []).append((told[0], told[1], told[2]))
            for at, parts in found.items():
                yield own[at], parts

    def _may_decide(
        self,
        asked: Sequence[_Asked],
        regions: NDArray[np.object_],
        over: Integers,
        part: Integers,
        kinds: NDArray[np.object_],
    ) -> Flags:
        """(n,) which parts may decide the small things above them, by their boxes, ordered by small thing and topmost first.

        Nothing of that needs the shape of the parts, and most small things are done with.
        """
        dark = np.flatnonzero(kinds == _Kind.DARK)
        most = np.full(len(asked), -1.0)
        most[over[dark]] = 0.0
        near = regions[over[dark]]
        # What has many points counts as lying on the dark with all it has: to cut it takes as long as to look closer.
        simple = shapely.get_num_coordinates(near) <= _FEW_POINTS
        np.add.at(most, over[dark[~simple]], np.inf)
        within = shapely.intersection(near[simple], self._job.printed.boxes(part[dark[simple]]))
        of_line = np.array([one.small.is_line for one in asked], bool)[over[dark[simple]]]
        np.add.at(most, over[dark[simple]], _measure(within, of_line))
        enough = most >= np.array([one.least for one in asked]) * (1.0 - _NOISE)
        # What lies beneath all that is dark takes nothing away from it.
        lowest = np.full(len(asked), -1, np.intp)
        lowest[over[dark]] = dark
        return np.asarray(
            (kinds != _Kind.THROUGH)
            & (most[over] >= 0.0)
            & enough[over]
            & (np.arange(len(over)) <= lowest[over])
        )

    def _judged(self, asked: _Asked, beneath: Sequence[tuple[int, _Kind, bool]]) -> Reversal | None:
        """Whether enough of a small thing lies on what is dark for it."""
        small = asked.small
        first_whole = next((at for at, (_, _, whole) in enumerate(beneath) if whole), len(beneath))
        deciding = [(row, kind) for row, kind, _ in beneath[: first_whole + 1]]
        if not any(kind is _Kind.DARK for _, kind in deciding):
            return None
        # Most small art lies on one ground alone, well within it.
        dark = small.region if first_whole == 0 else self._dark(small, deciding)
        if shapely.is_empty(dark) or float(_measure(dark, small.is_line)) < asked.least:
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
                ground = _within(region, small) if small.is_line else region
                dark.append(shapely.intersection(rest, ground))
            rest = shapely.difference(rest, region)
            if shapely.is_empty(rest):
                break
        return shapely.union_all(dark)

    def _kind(self, row: int, asked: _Asked) -> _Kind:
        """What a part is for a small thing above it."""
        look = self._look(row)
        if look.always is not None:
            return look.always
        if look.lightness is not None and look.lightness <= asked.darkest:
            return _Kind.DARK
        if look.lightness is None or not look.plain:
            # White can only be seen where there is ink.
            return _Kind.DARK if asked.white and look.adds else _Kind.UNSURE
        return _Kind.LIGHT if look.hides else _Kind.THROUGH

    @remembered
    def _look(self, row: int) -> _Look:
        parts = self._job.printed.parts
        drawn = self._job.artwork.objects[int(parts.index[row])]
        paint, opacity, overprint = _painted(drawn, bool(parts.stroke[row]))
        if not parts.sure[row]:
            return _Look(_Kind.THROUGH if parts.causes[row] == "text" else _Kind.UNSURE)
        if drawn.kind is Kind.IMAGE and not paint.paints:
            return _Look(adds=True)
        alpha = 1.0 if paint.color is None else paint.color.alpha
        return _Look(
            lightness=lightness_of_paint(paint, opacity),
            adds=bool(parts.adds[row]),
            plain=paint.kind is PaintKind.COLOR,
            hides=opacity * alpha >= 1.0 and drawn.blend == "normal" and not overprint,
        )

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


def _least_dark(small: Small, least_length: float) -> float:
    """How much of a small thing must lie on dark art: mm of a line, mm² of an area."""
    share = _MOST * float(_measure(small.region, small.is_line))
    return min(share, least_length) if small.is_line else share


def _measure(shapes: Any, of_line: Any) -> Any:
    """Lengths of what is part of lines, areas of what is part of areas."""
    return np.where(of_line, shapely.length(shapes), shapely.area(shapes))


def _within(region: Any, small: Small) -> Any:
    """What of a region has room for both sides of a line; a line along its edge lies beside it as much as on it."""
    half = max(small.width, _LEAST_WIDTH) / 2
    x0, y0, x1, y1 = shapely.bounds(small.region).tolist()
    around = shapely.box(x0 - 4 * half, y0 - 4 * half, x1 + 4 * half, y1 + 4 * half)
    near = shapely.intersection(region, around)
    return shapely.buffer(near, -half, join_style="mitre")
