"""Rule ``media-overflow``. Knows no geometry: the job lays the copies on the roll."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.rule import Finding, Group, Level, Rule, exceeds, falls_short

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.making.extent import Reach
    from preflight.job.making.sheet import Sheet

__all__ = ["MediaOverflow"]


class MediaOverflow(Rule):
    """What is to be made is wider than the media between its side margins, or than the cutter.

    What it finds
    -------------
    All that prints, cuts or marks, at final size and turned as asked, needs more width than there is: the profile's
    ``[media] width`` less ``side_margin`` on both sides, or ``[cutter] width`` where that is less. The value is the width needed,
    the limit the width there is. On a page as wide as the media itself (within 0.5 mm, turned by quarters) things stand where they
    will be printed, so there each side is judged by itself: the value is the distance to the edge, the limit the side margin.

    Why it matters
    --------------
    Pinch rollers run along the edges of the media, and the head does not reach past them: what lies there is cut off, smeared
    or not cut at all, and it is seen when the roll has been printed.

    Known limits
    ------------
    Nothing is judged where the profile states neither width. What hangs over the edge of the page is not printed and does not count,
    unless it is cut. Art hidden beneath white counts. A job in tiles or panels is not known as such. Whether several copies fit side
    by side is not a fault: they are laid in rows.

    How to mend it
    --------------
    Turn it, if the finding says that it fits when turned (``--rotate 90``, or ``[job] rotate``). Otherwise make it smaller, part it,
    or take wider media. On a page as wide as the media move the things near the edge inwards.
    """

    id = "media-overflow"
    group = Group.LAYOUT
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for the width; on a page as wide as the media one for each side as well."""
        profile = job.profile
        # The sheet itself is asked only where there is a width: what it takes to measure costs a small check milliseconds.
        unstated = profile.media.width is None and profile.cutter.width is None
        return () if unstated else self._found(job.sheet)

    def _found(self, sheet: Sheet) -> Iterator[Finding]:
        for edge in sheet.edges():
            if edge.name in ("left", "right") and falls_short(edge.distance, edge.margin):
                near = "reaches the edge" if edge.distance <= 0.0 else f"comes within {edge.distance:.4g} mm"
                yield self.finding(
                    f"The page is as wide as the media, and what is to be made {near} on the page's {edge.drawn} side.",
                    f"Move it inwards until {edge.margin:g} mm are left, or take wider media.",
                    of=edge.item,
                    at=[edge.here, edge.there],
                    bounds=edge.box,
                    subject=edge.name,
                    area=[edge.band],
                    area_shows="side margin of the media",
                    measured=max(edge.distance, 0.0),
                    limit=edge.margin,
                )
        reach, turned, room = sheet.content, sheet.content_turned, sheet.room
        if sheet.stands_for_media and room is not None and room.of == "media":
            return
        if reach is None or turned is None or room is None:
            return
        needed = turned.box[2] - turned.box[0]
        if exceeds(needed, room.width):
            yield self._too_wide(sheet, reach, turned, needed)

    def _too_wide(self, sheet: Sheet, reach: Reach, turned: Reach, needed: float) -> Finding:
        room = sheet.room
        assert room is not None  # noqa: S101 -- asked for by the caller
        there = "the cutter reaches" if room.of == "cutter" else "the media leaves between its side margins"
        other = (sheet.turn + 90.0) % 180.0
        size = sheet.content_size(other)
        if size is not None and not exceeds(size[0], room.width):
            mend = f"It fits when turned: --rotate {other:g}, or rotate = {other:g} under [job]; it then takes {size[0]:,.1f} mm."
        else:
            mend = "It does not fit when turned by 90° either: make it smaller, part it, or take wider media."
        as_turned = f", turned by {sheet.turn:g}°," if sheet.turn else ""
        return self.finding(
            f"What is to be made{as_turned} is {needed:,.1f} mm wide, and {there} {room.width:,.1f} mm.",
            mend,
            of=(turned.items[0], turned.items[2]),
            at=sheet.across(),
            bounds=reach.box,
            subject="width",
            measured=needed,
            limit=room.width,
        )
