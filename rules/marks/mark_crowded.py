"""Rule ``mark-crowded``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role, step_words
from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.marks.marks import Crowding

__all__ = ["CrowdedMark"]


class CrowdedMark(Rule):
    """Printed art or a cut inside a registration mark's quiet zone.

    What it finds
    -------------
    Printed art, or a cut line, nearer to a registration mark than quiet_zone of the profile's table [marks], 5 mm unless it says
    otherwise. Measured from the mark's edge, its stroke included, to the edge of what is printed there, or to the cut line; the
    value is the least distance, between the two points. The finding names the mark and what is nearest to it, the topmost where several
    lie there. One finding for each mark and kind.

    Why it matters
    --------------
    The cutter looks for a dark shape on bare film. Art beside it is taken for part of the mark, or for the mark itself, and every
    piece of the sheet is cut beside its print. A cut so near may lift the mark.

    Known limits
    ------------
    Art is what leaves ink in the end: what white takes away, what is hidden or does not print, does not count; an image counts where
    its pixels do. What a filter, mask or pattern leaves of the art is not known and is listed as not checked. Other marks, white
    ink and varnish do not crowd. Crop marks and what else prints outside the trim box for the printer has no quiet zone.

    How to mend it
    --------------
    Move the mark outwards, or the art and the cut away from it; or shorten the art.
    """

    id = "mark-crowded"
    group = Group.MARKS
    level = Level.ERROR
    needs = Role.MARK

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each mark that art is near to, and for each that a cut is near to."""
        return self._found(job, job.profile.marks.quiet_zone)

    def _found(self, job: Job, zone: float) -> Iterator[Finding]:
        for near in job.marks.crowding(zone):
            other = near.item or near.art
            yield self.finding(
                f"{_told(near)} a registration mark, which needs {zone:g} mm of bare film around it.",
                f"Keep {zone:g} mm clear around the mark: move it outwards, or what is near it away.",
                of=near.mark if other is None else (near.mark, other),
                at=near.points,
                area=near.zone,
                area_shows="quiet zone of the mark",
                measured=near.distance,
                limit=zone,
            )


def _told(near: Crowding) -> str:
    what = (
        "Art is"
        if near.item is None
        else f"A {step_words(near.item.assignment.step or '').lower()} line runs"
    )
    if near.distance > 0:
        return f"{what} {'printed ' if near.item is None else ''}{near.distance:.2f} mm from"
    return "Art is printed over" if near.item is None else f"{what} through"
