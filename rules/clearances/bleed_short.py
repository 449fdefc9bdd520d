"""Rule ``bleed-short``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["ShortBleed"]


class ShortBleed(Rule):
    """Printed art that lies on the cut and does not go far enough past it.

    What it finds
    -------------
    A piece whose art reaches its cut and ends less than {bleed} beyond it, measured square to the cut. One
    finding for each piece; the value is the least distance the art reaches past the cut, 0 where it ends on the
    cut itself, and the two points are the place on the cut and the place where the art ends.

    Why it matters
    --------------
    Print, laminate and knife never meet exactly: film stretches, and contour cutting is good to about a millimetre. Where the
    art ends on the cut, every such shift leaves a sliver of bare film along the edge of the sticker.

    Known limits
    ------------
    An edge of the art that itself runs out across the cut, at 15° or more, and on past the bleed is in order. At a
    sharp corner any join of an offset will do. Art is judged as one area, whatever its colours: a change of colour on the cut is
    not seen. Patterns and whatever else may or may not print count as bleed, and are noted. Pieces that
    an open contour should bound, creases and folds are not judged. A piece inside another, as a kiss cut in a through
    cut, keeps its own bleed: it is not asked to bleed past the outer cut as well.

    How to mend it
    --------------
    Extend the art past the cut by at least {bleed}, or draw it back inside by more than the safe margin.
    """

    id = "bleed-short"
    group = Group.CLEARANCES
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of bleed-short."""

        bleed: Millimetres = mm(
            3.0, "3 mm at least is taught in print schools; 1/8 in is customary", Basis.EDUCATION
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each piece."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        bleed = self.settings.bleed
        for short in job.clearances.bleed_short(bleed):
            cut = step_words(short.step).lower()
            told = (
                f"The art ends on the {cut}"
                if short.reached == 0.0
                else f"The art goes only {short.reached:.2f} mm past the {cut}"
            )
            yield self.finding(
                f"{told}: without {bleed:g} mm of bleed the film shows where the knife runs beside the print.",
                f"Extend the art at least {bleed:g} mm past the cut, or keep it well inside.",
                of=short.item,
                at=[short.here, short.there],
                bounds=short.box,
                area=short.missing,
                area_shows="missing bleed",
                measured=short.reached,
                limit=bleed,
            )
