"""Rule ``lead-short``. Knows no geometry: the job tells how far the content stands from the edges."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from preflight.rule import Finding, Group, Level, Rule, falls_short

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.making.sheet import Edge

__all__ = ["ShortLead"]


class ShortLead(Rule):
    """Too little film before the first or after the last thing on a page that stands for the media itself.

    What it finds
    -------------
    A page as wide as the profile's ``[media] width`` (within 0.5 mm, turned by quarters) on which what prints, cuts or marks comes
    nearer to the leading edge than ``[media] lead_margin``, or to the tail edge than ``tail_margin``. The leading edge is the top of
    the page as it lies on the roll. The value is the distance to the edge, between the two points.

    Why it matters
    --------------
    The laminator needs film to take hold of before the first print, and the cutter film to feed. Without it the laminate starts
    on the art, or the sheet slips out of the rollers before the last cut.

    Known limits
    ------------
    A page narrower than the media is laid on the roll with the margins the profile asks for, so there is nothing to find. Which end
    of the page leads is a convention of this program. Art hidden beneath white counts. That a margin is left is common practice; how
    much has no source.

    How to mend it
    --------------
    Make the page longer at that end, or move the things away from it.
    """

    id = "lead-short"
    group = Group.LAYOUT
    level = Level.WARNING

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each of the two ends."""
        if job.profile.media.width is None:
            return ()
        return [
            self._finding(edge)
            for edge in job.sheet.edges()
            if edge.name in ("leading", "tail") and falls_short(edge.distance, edge.margin)
        ]

    def _finding(self, edge: Edge) -> Finding:
        near = "reaches" if edge.distance <= 0.0 else f"stands {edge.distance:.4g} mm from"
        return self.finding(
            f"What is to be made {near} the {edge.name} edge of the media, the page's {edge.drawn}.",
            f"Leave {edge.margin:g} mm for laminating and feeding: make the page longer there.",
            of=edge.item,
            at=[edge.here, edge.there],
            bounds=edge.box,
            subject=edge.name,
            area=[edge.band],
            area_shows=f"{edge.name} margin of the media",
            measured=max(edge.distance, 0.0),
            limit=edge.margin,
        )
