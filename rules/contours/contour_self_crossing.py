"""Rule ``contour-self-crossing``. Knows no geometry: the job finds the places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Finding, Group, Level, Rule, flag

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["SelfCrossingContour"]


class SelfCrossingContour(Rule):
    """A cut contour that crosses or touches itself.

    What it finds
    -------------
    Every place where a contour of any step crosses itself, touches itself along the way, or passes twice through
    one node, as a figure of eight does. One finding for each contour, with all its places: crossings first,
    then touches. The value is the number of places. Touches alone are reported: {touches}.

    Why it matters
    --------------
    Where the blade comes back over its own cut it lifts the film, and a small loop falls out and sticks to the
    blade. What is inside the piece and what is outside is no longer clear, to the shop or to the fill.

    Known limits
    ------------
    Places closer than 0.01 mm to each other are one place. A contour that runs back along itself is
    contour-overlap's and not reported again. Fragments are contour-fragment's. Where a contour meets itself many thousands of
    times, only some of the places are looked for: the finding gives their number with "or more", and a note says what was not
    checked of the contour.

    How to mend it
    --------------
    Go to the place and pull the nodes apart, or unite the path with itself so that only the outline is left.
    """

    id = "contour-self-crossing"
    group = Group.CONTOURS
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-self-crossing."""

        touches: bool = flag(True, "a blade that touches its own cut lifts the film as one that crosses it")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each contour that meets itself."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for met in job.meetings.with_itself(touches=self.settings.touches):
            count = len(met.points)
            verb = "touches" if met.touching.all() else "crosses"
            places = f"at {count} places" if count > 1 else "at one place"
            if met.partial:
                places += " or more"
            yield self.finding(
                f"A {step_words(met.first.step).lower()} contour {verb} itself {places}.",
                "Pull the nodes apart there, or unite the path with itself.",
                of=met.first,
                at=met.points,
                measured=count,
                limit=0,
                unit="places",
            )
