"""Rule ``cut-spacing``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["CutSpacing"]


class CutSpacing(Rule):
    """Neighbouring cuts with too little film between them.

    What it finds
    -------------
    Two cut contours that neither meet nor run along each other and come closer than {least_gap}. One
    finding for each pair; the value is the least distance, between the two points.

    Why it matters
    --------------
    A narrow bridge of film lifts or tears when the knife passes on its other side, and the waste no longer comes off in
    one sheet.

    Known limits
    ------------
    Two contours of one object count as well: a ring narrower than {least_gap} is found. Creases and folds are left
    out; copies, fragments and shared runs are other rules' findings.

    How to mend it
    --------------
    Move the pieces apart by at least {least_gap}, or let them share one cut line.
    """

    id = "cut-spacing"
    group = Group.CLEARANCES
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of cut-spacing."""

        least_gap: Millimetres = mm(
            3.0, "0.125 in between pieces is customary on rolls and sheets", Basis.COMMON_PRACTICE
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each pair of contours."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        least = self.settings.least_gap
        for gap in job.clearances.spacing(least):
            first, second = (step_words(contour.step).lower() for contour in (gap.first, gap.second))
            told = f"Two {first} contours are" if first == second else f"A {first} and a {second} are"
            yield self.finding(
                f"{told} only {gap.distance:.2f} mm apart: the film between them lifts or tears.",
                f"Move them at least {least:g} mm apart.",
                of=(gap.first, gap.second),
                at=[gap.here, gap.there],
                measured=gap.distance,
                limit=least,
            )
