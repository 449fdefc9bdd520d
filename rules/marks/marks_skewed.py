"""Rule ``marks-skewed``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, exceeds, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["SkewedMarks"]


class SkewedMarks(Rule):
    """Registration marks that are not the corners of a rectangle.

    What it finds
    -------------
    A registration mark whose centre is more than {tolerance} from where the best rectangle through the other marks has its corner;
    of more than four marks also one that stands so far off the line between two corners. The first place is the mark's centre (of an angle
    its vertex), the second where it should be; the value is the distance.

    Why it matters
    --------------
    The cutter takes the marks for a rectangle and bends every contour by as much as they are off: the pieces are cut beside their
    print, the more so towards that corner.

    Known limits
    ------------
    The mark told is the one without which the others fit best. Where one has moved along a side, the other at that side's end may be
    meant as well. Three marks are judged by their right angle. A sheet that is turned as a whole is in order. Where one mark is
    offset on purpose, to tell the cutter which way round the sheet lies, switch the rule off.

    How to mend it
    --------------
    Set the mark to the place told, or align all four anew; then group and lock them.
    """

    id = "marks-skewed"
    group = Group.MARKS
    level = Level.ERROR
    needs = Role.MARK

    class Settings(Rule.Settings):
        """Settings of marks-skewed."""

        tolerance: Millimetres = mm(
            0.2,
            "drawn marks stand exactly; a fifth of the 1 mm that contour cutting keeps by common practice",
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each set, and for each mark between corners."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        limit = self.settings.tolerance
        for one in job.marks.sets:
            for off in one.offsets:
                if exceeds(off.distance, limit):
                    x, y = off.expected
                    yield self.finding(
                        f"The registration mark at the {off.words} stands {off.distance:.2f} mm off the rectangle of the others.",
                        f"Move it to x {x:.2f} mm, y {y:.2f} mm.",
                        of=off.mark,
                        at=(off.mark.centre, off.expected),
                        measured=off.distance,
                        limit=limit,
                    )
