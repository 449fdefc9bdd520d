"""Rule ``step-order``. Knows no geometry: the job says what lies in what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role, step_words
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, exceeds, mm, names, ratio

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["StepOrder"]

THROUGH = "Cutting"
KISS = "PartialCutting"


class StepOrder(Rule):
    """Cut steps in the wrong places: a kiss cut outside its through cut, a perforation that leaves the piece.

    What it finds
    -------------
    Where the page has through cuts (step Cutting): a kiss cut (PartialCutting) no part of which, or only part of which, lies inside
    one; a kiss cut that goes round a through cut, as when the two steps were swapped; and a line of the steps {lines} that
    runs outside every through cut for more than {overrun}. The value is the longest stretch outside, the places
    are the middles of the stretches.

    Why it matters
    --------------
    A kiss cut outside the piece is lost with the waste. Swapped steps cut the label's backing and leave the piece in the
    sheet. A perforation that leaves the piece tears into its neighbour.

    Known limits
    ------------
    A sub-path inside another of the same object is its hole where the fill rule says so, and a kiss cut in it lies outside;
    a through cut of its own inside another is a piece. Through cuts inside a kiss cut that take up less than {hole_share}
    of its area are taken for holes, and a sheet that has only those is in order. A sheet that mixes die-cut pieces with
    labels left on the roll is reported: switch the rule off for it. A kiss cut that crosses a through cut is
    contour-crossing's; fragments and copies are left to their rules.

    How to mend it
    --------------
    Move the kiss cut into its piece or give it a through cut of its own; shorten the perforation to the edge of the
    piece; swap the steps if they were mixed up.
    """

    id = "step-order"
    group = Group.STEPS
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of step-order."""

        overrun: Millimetres = mm(
            0.5, "a tear line is run a little past the edge so that it certainly reaches it"
        )
        lines: tuple[str, ...] = names(
            ("Perforating", "Creasing", "Folding"), "steps that work inside one piece", Basis.COMMON_PRACTICE
        )
        hole_share: float = ratio(0.25, "a hole to hang a label by is small beside the label")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each contour out of place."""
        yield from self._kiss_cuts(job)
        yield from self._lines(job)

    def _kiss_cuts(self, job: Job) -> Iterator[Finding]:
        crossing = {
            contour.index
            for met in (job.meetings.crossing_pairs() if "contour-crossing" in job.in_force else ())
            if {met.first.step, met.second.step} == {KISS, THROUGH}
            for contour in (met.first, met.second)
        }
        left = job.set_aside.fragments | job.set_aside.copies
        for out in job.nesting.outside((KISS,), THROUGH, hole_share=self.settings.hole_share):
            if out.contour.index in crossing or left[out.contour.index] or not exceeds(out.longest, 0.0):
                continue
            held = job.nesting.holding(out.contour, THROUGH)
            stretch = "lies" if out.wholly else f"runs for {out.longest:.4g} mm"
            yield self.finding(
                f"A kiss cut goes round {'a through cut' if len(held) == 1 else 'through cuts'} instead of lying inside one."
                if held
                else f"A kiss cut {stretch} outside every through cut.",
                "The two steps look swapped: exchange them."
                if held
                else "Move it into its piece, or give it a through cut of its own.",
                of=(out.contour, *held),
                at=out.points,
                bounds=out.bounds,
                measured=out.longest,
                limit=0.0,
            )

    def _lines(self, job: Job) -> Iterator[Finding]:
        left = job.set_aside.fragments | job.set_aside.copies
        limit = self.settings.overrun
        for out in job.nesting.outside(self.settings.lines, THROUGH, hole_share=0.0):
            if left[out.contour.index] or not exceeds(out.longest, limit):
                continue
            yield self.finding(
                f"A {step_words(out.contour.step).lower()} line runs for {out.longest:.4g} mm outside every through cut.",
                "Shorten it to the edge of its piece, or move it into the piece.",
                of=out.contour,
                at=out.points,
                bounds=out.bounds,
                measured=out.longest,
                limit=limit,
            )
