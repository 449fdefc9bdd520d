"""Rule ``colour-gamut``. Knows no colour science: the job says how near the output comes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.job import Role
from preflight.job.colours.uses import FULL
from preflight.rule import Finding, Group, Level, Rule, exceeds, figure

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.colours.uses import NearestColour
    from preflight.job.colours.verdicts import JudgedTint

__all__ = ["ColourOutOfReach"]

_NOISE = 0.005
"""ΔE00. Reports give two digits."""


class ColourOutOfReach(Rule):
    """A named colour that the output cannot print, with the nearest that it can; a note where that is not sure.

    What it finds
    -------------
    Named colours in use whose nearest printable colour lies farther off than the tolerance under [output] in the profile, 3 ΔE00
    unless it says otherwise. The value is the ΔE00 (CIEDE2000) to the nearest, which is looked for over all that the output can be told to
    print. Where it is no farther past the tolerance than the output's colours are known to be off, the finding is a note and says uncertain.
    The colour is that of the shop's library, else the one the file gives: as measured (PDF's spectral data), in Lab or for the screen. Judged are the tints that the page
    prints it in, the full one only where it is among them; the finding is of the worst. Of an ink the library or the PDF may hold measured tints (CxF/X-4);
    else PDF says what a tint looks like. Where the nearest is of plainly another hue, the nearest of the same hue is named beside it.

    Why it matters
    --------------
    Bright oranges, greens and blues lie outside what process inks reach. The customer's brand colour comes out dull, and is
    seen when the order is on the van.

    Known limits
    ------------
    Without an output profile of the shop, offset on coated paper stands in (FOGRA39L), which a roll printer with more
    inks surpasses: name the printer's profile under [output] for verdicts to order by. A colour that the file gives in process inks only
    is within reach by itself and says nothing of the colour that is meant; it is not judged. What a tint of a library's colour
    looks like is assumed from the full tint where it was not measured, and its verdict uncertain within 3.4 ΔE00. Of more than twelve
    tints of a colour, fewer on pages with more than fifty colours, those near each other are taken together. A gradient counts as its darkest tint and
    the quarters below it, an ink that is mixed with others as its full tint. Opacity is no tint. Lamination changes colours, too. CIEDE2000 is
    made for small differences: above some 13 ΔE00 the verdict stands, but the colour it ranks nearest may be of another
    hue than people would choose.

    How to mend it
    --------------
    Show the customer the nearest colour and have it approved, or print the colour with an ink of its own.
    """

    id = "colour-gamut"
    group = Group.COLOURS
    level = Level.WARNING
    needs = Role.PRINT

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each colour."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        from preflight.job.colours.named import largest_of  # only where art prints

        tolerance = job.profile.output.tolerance
        for one in job.colours.judged:
            worst = one.worst(tolerance)
            if not exceeds(worst.difference, tolerance, _NOISE):
                continue
            uncertain = worst.verdict(tolerance) == "uncertain"
            told = self.finding(
                f"“{one.colour.name}” ({one.colour.said_by}){_tint(worst)} is {'perhaps ' if uncertain else ''}out of reach: "
                f"the nearest that prints is ΔE00 {figure(worst.difference)} off{', which is uncertain' if uncertain else ''}.",
                f"The nearest is {_told(worst.nearest)}{_same_hue(worst)}: have it approved, or print the colour with an ink of its own.",
                of=largest_of(worst.tint.items),
                bounds=largest_of(worst.tint.items).box,
                subject=one.colour.name,
                measured=worst.difference,
                limit=tolerance,
                unit="ΔE00",
            )
            yield msgspec.structs.replace(told, level=Level.NOTE) if uncertain else told


def _tint(worst: JudgedTint) -> str:
    if worst.tint.percent == FULL:
        return ""
    return f" at {worst.tint.percent} %" + (
        f", {worst.tint.look.said_by}," if worst.tint.look.assumed else ""
    )


def _same_hue(worst: JudgedTint) -> str:
    if worst.same_hue is None:
        return ""
    return (
        f"; it is of another hue, and of the same hue {_told(worst.same_hue)} is the nearest, "
        f"ΔE00 {figure(worst.same_hue.difference)} off"
    )


def _told(colour: NearestColour) -> str:
    lab = " ".join(f"{value:.0f}" for value in colour.lab)
    return f"Lab {lab.replace('-', '−')} ({colour.recipe})"
