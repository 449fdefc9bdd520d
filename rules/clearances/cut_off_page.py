"""Rule ``cut-off-page``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["CutOffPage"]


class CutOffPage(Rule):
    """A cut contour that runs off the page or out of its bleed box.

    What it finds
    -------------
    A cut contour that leaves the page, or the bleed box where a PDF states one. One finding for each contour;
    the value is how far it gets out, in mm, between the two points; the bounds show the part of its extent that
    lies outside.

    Why it matters
    --------------
    What lies off the page is not printed, and the cutter is not told of film there: the piece is cut through bare or
    missing media, or the file is refused.

    Known limits
    ------------
    Whether the job fits the media and the cutter is judged by media-overflow. A contour that only touches the edge
    is in order.

    How to mend it
    --------------
    Move the contour onto the page, or enlarge the page.
    """

    id = "cut-off-page"
    group = Group.CLEARANCES
    level = Level.ERROR
    needs = Role.CUT

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each contour."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for out in job.clearances.off_page():
            cut = step_words(out.contour.step).lower()
            told = "lies wholly off" if out.wholly else "runs off"
            yield self.finding(
                f"A {cut} contour {told} the {out.frame}, by {out.distance:.2f} mm.",
                f"Move it onto the {out.frame}, or enlarge that.",
                of=out.contour,
                at=[out.here, out.there],
                bounds=out.box,
                measured=out.distance,
                limit=0.0,
            )
