"""Rule ``colour-unknown``. Knows no library: the job looks names up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["UnknownColour"]


class UnknownColour(Rule):
    """A named colour of the art that no colour library of the shop defines.

    What it finds
    -------------
    Names of colours in use on the page (swatches, separations, colorants) that none of the libraries under [colours] in the profile has,
    one finding a name. Names are compared as people write them: case, space and punctuation do not count. A name that comes near
    is suggested. Names of cut steps, marks, white and varnish, the process inks, All and None are no such colours. A
    profile that names no library knows no name from another, and the rule keeps still.

    Why it matters
    --------------
    A name is a promise: this very colour. What nothing defines is printed as whatever stands in for it in the file, which some program
    once chose for the screen, and the customer's colour comes out as another.

    Known limits
    ------------
    What a colour looks like is not compared here: colour-conflict does. Colours that images hold by name are judged by their name.

    How to mend it
    --------------
    Correct the name if it was misspelt, paint the art in a colour the shop knows, or add the colour to a library of the profile.
    """

    id = "colour-unknown"
    group = Group.COLOURS
    level = Level.WARNING
    needs = Role.PRINT

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each name."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for one in job.colours.unknown():
            name, largest = one.colour.name, one.colour.largest
            hint = f"Did you mean “{one.near}”? If not, add" if one.near else "Correct the name, or add"
            yield self.finding(
                f"The named colour “{name}” is in no library of the shop"
                + (f": {one.refusal}." if one.refusal else "."),
                f"{hint} the colour to a library of the profile.",
                of=largest,
                bounds=largest.box,
                subject=name,
            )
