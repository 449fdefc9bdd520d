"""Rule ``colour-conflict``. Knows no colour science: the job compares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule, colour_difference, figure

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.colours.conflicts import Conflict

__all__ = ["ConflictingColour"]


class ConflictingColour(Rule):
    """A named colour with two values, or one colour under two names.

    What it finds
    -------------
    A name in use that the file defines in two ways more than {within} apart, or in Lab or as measured more than that from the library of
    the shop that has it; a name spelt in two ways, which makes two plates of one colour; and two names whose colours are within {alike}, known
    from as good a source. The value is the ΔE00 between the two.

    Why it matters
    --------------
    The printer's software takes one definition for all, and which one is not said. Half the sheet comes out in another
    colour than its designer saw. Two names for one colour are printed alike today, and apart once one of them is corrected.

    Known limits
    ------------
    Process inks and screen colours that stand in for a colour are not held against the library: they differ from it by nature. A tint
    of a colour is the same colour. Definitions in process inks are compared as the output of the profile prints them.

    How to mend it
    --------------
    Keep one swatch and paint everything that means the colour with it; delete the other.
    """

    id = "colour-conflict"
    group = Group.COLOURS
    level = Level.WARNING
    needs = Role.PRINT

    class Settings(Rule.Settings):
        """Settings of colour-conflict."""

        within: float = colour_difference(
            2.0, "side by side two areas that differ less look alike to most people; from memory"
        )
        alike: float = colour_difference(
            0.5, "below it nobody means two colours; twice what rounding to whole numbers makes"
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each pair of names, or name at odds with itself."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for conflict in job.colours.conflicts(self.settings.within, self.settings.alike):
            message, hint = _words(conflict)
            limit = self.settings.alike if conflict.kind == "one colour" else self.settings.within
            items = dict.fromkeys((conflict.second.largest, conflict.first.largest))
            yield self.finding(
                message,
                hint,
                of=tuple(items),
                bounds=conflict.second.largest.box,
                subject=" / ".join(sorted((conflict.first.name, conflict.second.name))),
                measured=conflict.difference,
                limit=limit,
                unit="ΔE00",
            )


def _words(conflict: Conflict) -> tuple[str, str]:
    first, second = conflict.first.name, conflict.second.name
    apart = "" if conflict.difference is None else f"ΔE00 {figure(conflict.difference)} apart"
    match conflict.kind:
        case "defined twice":
            return (
                f"The file defines “{first}” in two ways, {apart}.",
                "Keep one of the two swatches for all that is meant to be this colour.",
            )
        case "unlike its library":
            return (
                f"The file's own “{first}” is not the one of {conflict.first.said_by}: {apart}.",
                "Take the swatch from the library of the shop, or give the colour another name.",
            )
        case "spelt twice":
            return (
                f"One colour is spelt “{first}” and “{second}”: they print as two.",
                f"Paint both with “{first}” and delete the other swatch.",
            )
    return (
        f"“{first}” and “{second}” are one colour under two names, {apart}.",
        "Keep one of them, or make them the two colours they were meant to be.",
    )
