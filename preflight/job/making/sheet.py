"""How the copies asked for lie on the roll, and how far the content of a page stands from its edges. Knows no rule.

A copy takes the page, turned as asked, or rather the box of the turned page. Copies lie side by side as many as the media and the
cutter take between the margins, in rows one after the other, the page's top edge first.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import msgspec
import numpy as np

from preflight.artwork import Box, Note
from preflight.geometry.outlines import Floats
from preflight.job.making.extent import Extent, Reach, turning
from preflight.job.objects import JobObject

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Edge", "Layout", "Room", "Sheet", "lay_out"]

_NOISE = 1e-6
"""mm. What is wider than its room by no more fits: float64 noise of adding up widths."""

_AS_WIDE = 0.5
"""mm. A page as wide as the media but for this stands for the media itself: half a millimetre is lost in rounding of units."""

EdgeName = Literal["left", "leading", "right", "tail"]


class Layout(msgspec.Struct, frozen=True):
    """Copies in rows and columns on the roll. Lengths in mm, the area in mm².

    ``frame`` is the width and height each copy takes. ``length`` is that of the roll, margins included, ``width`` the media's.
    """

    frame: tuple[float, float]
    copies: int
    columns: int
    rows: int
    width: float
    length: float

    @property
    def area(self) -> float:
        """Of the roll that is used up, mm²."""
        return self.width * self.length


class Room(msgspec.Struct, frozen=True):
    """What there is to lay out on: ``width`` mm between the margins, and which of the two machines allows no more."""

    width: float
    of: Literal["media", "cutter"]


class Edge(msgspec.Struct, frozen=True):
    """How far the content stands from an edge of a page that stands for the media.

    ``distance`` mm, below 0 where it reaches past the edge; ``margin`` mm that should be kept; ``box`` what of the page the content
    takes of the margin, as drawn; ``here`` on the edge and ``there``, where the content comes nearest to it; both are where the edge
    is crossed if it reaches past; ``band`` the ring (4, 2) of the margin; ``drawn`` the edge's side of the page as drawn; ``item`` reaches farthest towards it.
    """

    name: EdgeName
    distance: float
    margin: float
    box: Box
    drawn: str
    item: JobObject
    here: tuple[float, float]
    there: tuple[float, float]
    band: Floats


def lay_out(
    frame: tuple[float, float],
    room: float,
    width: float,
    copies: int,
    spacing: float,
    margins: tuple[float, float],
) -> Layout | None:
    """Copies in as few rows as there can be; None where not even one fits.

    Parameters
    ----------
    frame : mm, width and height each copy takes.
    room : mm, the width that copies side by side may take.
    width : mm, of the media.
    copies : how many, at least 1.
    spacing : mm, between copies side by side and between rows.
    margins : mm, left at the beginning and at the end of the roll.
    """
    across, down = frame
    if across > room + _NOISE:
        return None
    # A frame of no width is laid side by side without end, were it not for the copies asked.
    columns = int(min((room + spacing + _NOISE) / max(across + spacing, _NOISE), copies))
    columns = max(columns, 1)
    rows = math.ceil(copies / columns)
    return Layout(
        frame, copies, columns, rows, width, rows * down + (rows - 1) * spacing + margins[0] + margins[1]
    )


class Sheet:
    """The page on the roll, by the profile's [job], [media] and [cutter]."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self._extent = Extent(job)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What could not be judged: nothing; what is doubtful of the art is told by `Job.printed`."""
        return ()

    @property
    def turn(self) -> float:
        """Degrees clockwise that each copy is turned."""
        return float(self._job.profile.job.rotate)

    @cached_property
    def room(self) -> Room | None:
        """What there is to lay out on; None where the profile states neither the media's nor the cutter's width."""
        profile = self._job.profile
        media, cutter = profile.media.width, profile.cutter.width
        rooms = [] if media is None else [Room(media - 2 * profile.media.side_margin, "media")]
        rooms += [] if cutter is None else [Room(cutter, "cutter")]
        return min(rooms, key=lambda room: room.width, default=None)

    @cached_property
    def page_turned(self) -> tuple[float, float]:
        """Width and height of the box round the turned page, mm."""
        page = self._job.artwork.page
        a, b, c, d, _, _ = np.abs(turning(self.turn)).tolist()
        return a * page.width + c * page.height, b * page.width + d * page.height

    @property
    def content(self) -> Reach | None:
        """What is made, in the page as drawn; None where that is nothing."""
        return self._extent.turned(0.0)

    @property
    def content_turned(self) -> Reach | None:
        """What is made, in the page turned for the roll about its origin; None where that is nothing."""
        return self._extent.turned(self.turn)

    def content_size(self, turn: float | None = None) -> tuple[float, float] | None:
        """Width and height of what is made, as turned for the roll or by other degrees; None where that is nothing."""
        reach = self._extent.turned(self.turn if turn is None else turn)
        if reach is None:
            return None
        x0, y0, x1, y1 = reach.box
        return x1 - x0, y1 - y0

    @cached_property
    def frame(self) -> tuple[float, float] | None:
        """Width and height a copy takes: the page's, or those of what is made where only that fits; None where nothing does."""
        room = self.room
        if room is None or self.page_turned[0] <= room.width + _NOISE:
            return self.page_turned
        size = self.content_size()
        return size if size is not None and size[0] <= room.width + _NOISE else None

    @cached_property
    def layout(self) -> Layout | None:
        """The copies on the roll; None where the profile states no media width, or not even one copy fits."""
        profile, frame, room = self._job.profile, self.frame, self.room
        media = profile.media
        if media.width is None or frame is None or room is None:
            return None
        margins = media.lead_margin, media.tail_margin
        return lay_out(frame, room.width, media.width, profile.job.copies, profile.job.spacing, margins)

    @cached_property
    def stands_for_media(self) -> bool:
        """Whether the page, turned by quarters, is as wide as the media: the designer drew the roll itself."""
        media = self._job.profile.media.width
        return media is not None and not self.turn % 90.0 and abs(self.page_turned[0] - media) <= _AS_WIDE

    def edges(self) -> tuple[Edge, ...]:
        """How far the content stands from each edge of a page that stands for the media; none of any other page."""
        reach = self.content if self.stands_for_media else None
        if reach is None:
            return ()
        page, media = self._job.artwork.page, self._job.profile.media
        x0, y0, x1, y1 = reach.box
        # Sides of the page as drawn, clockwise from the left; a turn by a quarter brings each to the place of the next.
        distances = (x0, y0, page.width - x1, page.height - y1)
        names: tuple[EdgeName, ...] = ("left", "leading", "right", "tail")
        margins = (media.side_margin, media.lead_margin, media.side_margin, media.tail_margin)
        quarters = int(self.turn // 90.0) % 4
        edges = []
        for side, (drawn, distance) in enumerate(
            zip(("left", "top", "right", "bottom"), distances, strict=True)
        ):
            place = (side + quarters) % 4
            margin = margins[place]
            box = [x0, y0, x1, y1]
            if side < 2:
                box[side + 2] = min(box[side + 2], margin)
            else:
                whole = (page.width, page.height)[side - 2]
                box[side - 2] = max(box[side - 2], whole - margin)
            here, there = self._measured(reach, side, distance)
            edges.append(
                Edge(
                    names[place],
                    distance,
                    margin,
                    (box[0], box[1], box[2], box[3]),
                    drawn,
                    reach.items[side],
                    here,
                    there,
                    self._band(side, margin),
                )
            )
        return tuple(edges)

    def _measured(
        self, reach: Reach, side: int, distance: float
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        """The place on a side of the page across from where the content reaches farthest, and that place."""
        page = self._job.artwork.page
        place = list(self._extent.place(reach.rows[side], side))
        here = list(place)
        here[side % 2] = 0.0 if side < 2 else (page.width, page.height)[side - 2]
        # The box is that of the true curve. What reaches past the edge leaves nothing to measure.
        place[side % 2] = reach.box[side] if distance > 0.0 else here[side % 2]
        return (here[0], here[1]), (place[0], place[1])

    def _band(self, side: int, margin: float) -> Floats:
        """The ring of the margin along a side of the page as drawn."""
        page = self._job.artwork.page
        box = [0.0, 0.0, page.width, page.height]
        box[(side + 2) % 4] = margin if side < 2 else (page.width, page.height)[side - 2] - margin
        x0, y0, x1, y1 = box
        return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])

    def across(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """The two ends of the width that is needed on the roll, in the page as drawn; None where nothing is made."""
        reach = self.content_turned
        if reach is None:
            return None
        x0, y0, x1, y1 = reach.box
        a, b, c, d, _, _ = turning(self.turn).tolist()
        middle = (y0 + y1) / 2
        # Turned back: the inverse of a turn is its transpose.
        first, second = ((a * x + b * middle, c * x + d * middle) for x in (x0, x1))
        return first, second
