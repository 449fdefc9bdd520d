"""Rule ``step-misspelt``. Knows no geometry: the job compares the names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from preflight.rule import Count, Finding, Group, Level, Rule, count

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["MisspeltStep"]


class MisspeltStep(Rule):
    """A name one slip of the pen away from a name the profile knows.

    What it finds
    -------------
    The name of a layer, spot colour, object or class of at least {least_letters} letters that is unknown but becomes a
    known name when one letter is put in, left out, changed, or swapped with the next. One finding for
    each name, with all its objects; the value is the number of slips.

    Why it matters
    --------------
    The cutter looks for names letter by letter. “Kis cut” is printed as a line and not cut.

    Known limits
    ------------
    Capitals, spaces and punctuation make no difference to a name and are no slips. Short names are not compared: too many
    words lie one letter apart. A name like a cut step's counts only if one of its objects is stroked and unfilled.
    Objects that something else already names are not looked at.

    How to mend it
    --------------
    Correct the name in the file. If it is right, add it to the profile under the step it stands for.
    """

    id = "step-misspelt"
    group = Group.STEPS
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of step-misspelt."""

        least_letters: Count = count(5, "four-letter words lie one slip apart too often")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each misspelt name."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for slip in job.unknown_names.slips(self.settings.least_letters):
            boxes = np.array([item.box for item in slip.items if item.box is not None]).reshape(-1, 4)
            stands_for = slip.step or str(slip.role)
            yield self.finding(
                f"The {slip.route} “{slip.name}” names nothing; it is one slip away from “{slip.known}” ({stands_for}).",
                f"Rename it “{slip.known}”, or add “{slip.name}” to the names of {stands_for} in the profile.",
                of=slip.items,
                bounds=np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])
                if len(boxes)
                else None,
                subject=f"{slip.route} {slip.name}",
                measured=1,
                limit=0,
                unit="slips",
            )
