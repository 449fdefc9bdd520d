"""Rule ``contour-open``. Knows no geometry beyond the gap the job hands out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, exceeds, mm, names

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["OpenContour"]


class OpenContour(Rule):
    """A cut contour whose two ends do not meet.

    What it finds
    -------------
    A contour of the steps {steps} that the file does not close and whose ends stand more than
    {closed_within} apart, unless both end on other cuts of the same step, as the lines do that pieces laid side by side have in
    common. The value is the distance between the two ends; the places are both ends.

    Why it matters
    --------------
    The knife stops at one end and never reaches the other. The piece hangs on by the gap: it tears when it
    is weeded or peeled, or takes its neighbour along.

    Known limits
    ------------
    Two open contours that together make a closed shape are two findings: each is cut on its own. A common line that stops more than
    {closed_within} before the cut it should end on, or goes on past it, is open. A line meant
    to be open, such as a slit, belongs to a step that is not listed in ``steps``. Contours that
    contour-fragment reports are left to it.

    How to mend it
    --------------
    Join the two end nodes of the path in the drawing program, or close the path. If the line is meant to be
    open, move it to a step whose lines may be open, or take the step out of this rule's ``steps``.
    """

    id = "contour-open"
    group = Group.CONTOURS
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-open."""

        closed_within: Millimetres = mm(0.01, "finer than any cutter's step")
        steps: tuple[str, ...] = names(
            ("Cutting", "PartialCutting"),
            "a piece comes free only from a closed cut; creases and perforations are lines by nature",
            Basis.COMMON_PRACTICE,
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each open contour."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        limit = self.settings.closed_within
        fragments, common = job.set_aside.fragments, job.common_lines.flags
        for contour in job.cuts.open(limit):
            if contour.step not in self.settings.steps or fragments[contour.index] or common[contour.index]:
                continue
            if exceeds(contour.gap, limit):
                yield self.finding(
                    f"A {step_words(contour.step).lower()} contour is open: its ends are {contour.gap:.3g} mm apart.",
                    "Join the two end nodes, or close the path.",
                    of=contour,
                    at=contour.ends,
                    measured=contour.gap,
                    limit=limit,
                )
