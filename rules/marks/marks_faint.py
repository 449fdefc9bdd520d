"""Rule ``marks-faint``. Knows no colour model: the job says how light marks print."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule, falls_short

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["FaintMarks"]


class FaintMarks(Rule):
    """Registration marks that stand out too little from the film to be read.

    What it finds
    -------------
    Registration marks that print less than contrast of the profile's table [marks] darker than the film, by lightness L*. The film
    counts as white as paper does in ISO 12647-2, L* 95. One finding for each set of marks; the value is the least difference. For
    comparison, printed on coated paper, from the characterisation data FOGRA39L: black has L* 16, a difference of 79; half black
    34; cyan 40, magenta 47, yellow 6.

    Why it matters
    --------------
    The cutter finds marks by the light they throw back. Grey or coloured ones are found now and then, or not at all, and the sheet
    is cut by hand or printed anew.

    Known limits
    ------------
    Process inks are worked out by a model of coated paper, good to some two units; the colours of a screen count relative to the
    film's white; named colours by the alternate the file gives; gradients by their lightest stop. A film that is clear, coloured or
    metallic is not known, nor is the light that the reader shines. Marks whose paint is a pattern are listed as not checked.

    How to mend it
    --------------
    Paint the marks black, 100 % of the black ink, without tint, opacity or gradient.
    """

    id = "marks-faint"
    group = Group.MARKS
    level = Level.WARNING
    needs = Role.MARK

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each set with faint marks; none where the profile sets no contrast."""
        least = job.profile.marks.contrast
        return () if least is None else self._found(job, least)

    def _found(self, job: Job, least: float) -> Iterator[Finding]:
        from preflight.colour.lightness import PAPER

        contrasts = dict(job.marks.contrasts(PAPER))
        for one in job.marks.sets:
            known = [(contrasts[mark], mark) for mark in one.marks if mark in contrasts]
            faint = sorted(
                ((contrast, mark) for contrast, mark in known if falls_short(contrast, least)),
                key=lambda pair: pair[0],
            )
            if faint:
                worst = faint[0][0]
                count = (
                    "A registration mark prints"
                    if len(faint) == 1
                    else f"{len(faint)} registration marks print"
                )
                yield self.finding(
                    f"{count} only L* {worst:.3g} darker than the film; a reader needs {least:g}.",
                    "Paint the marks in full black.",
                    of=[mark for _, mark in faint],
                    at=[mark.centre for _, mark in faint],
                    measured=worst,
                    limit=least,
                    unit="L*",
                )
