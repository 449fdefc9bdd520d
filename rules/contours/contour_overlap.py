"""Rule ``contour-overlap``. Knows no geometry: the job finds the shared runs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["OverlappingContours"]


class OverlappingContours(Rule):
    """Cut contours that share part of their length, so that the knife passes there twice.

    What it finds
    -------------
    Two contours, or a contour and itself, that run within {within} of each other for at least {least_length}. The value
    is the length they share, the bounds are those of the shared run.

    Why it matters
    --------------
    The second pass follows the first cut almost, not quite: it shaves a thread off the edge, lifts the film
    or goes through the backing.

    Known limits
    ------------
    Two runs of the same pair, apart from each other, are two findings. Lengths are known to 0.001 mm: a run that a file in
    pixels or inches rounds to a hair below {least_length} is one. Shorter runs are no double cut: where the contours change sides
    over one it is contour-crossing's, else they touch. Neighbouring pieces that share one
    edge on purpose (common-line cutting) are found when both draw the edge, since both then cut it.
    Contours that coincide wholly are contour-duplicate's, fragments contour-fragment's, as long as those rules are on.

    How to mend it
    --------------
    Move the pieces apart, or delete the shared edge from one of the two contours. Where a contour runs back
    over itself, delete the stretch that is drawn twice.
    """

    id = "contour-overlap"
    group = Group.CONTOURS
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-overlap. The job reads the same values when it looks for crossings."""

        within: Millimetres = mm(0.05, "closer than two passes of a knife can be told apart")
        least_length: Millimetres = mm(1.0, "shorter runs are crossings at a shallow angle, not double cuts")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each shared run."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        limit = self.settings.least_length
        for run in job.meetings.shared_runs(self.settings.within, limit):
            first, second = run.first, run.second
            if first is second:
                told = f"A {step_words(first.step).lower()} contour runs back over itself"
                mend = "Delete the stretch that is drawn twice."
            else:
                pair = (
                    f"Two {step_words(first.step).lower()} contours"
                    if first.step == second.step
                    else f"A {step_words(first.step).lower()} and a {step_words(second.step).lower()}"
                )
                told = f"{pair} run along each other"
                mend = "Move the pieces apart, or delete the shared edge from one of them."
            yield self.finding(
                f"{told} for {run.length:.2f} mm: the knife passes twice.",
                mend,
                of=(second, first),
                at=run.points,
                bounds=run.bounds,
                measured=run.length,
                limit=limit,
            )
