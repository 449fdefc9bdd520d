"""Rule ``mark-size``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, exceeds, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["MarkSize"]


class MarkSize(Rule):
    """A registration mark of the wrong size, or marks of unequal sizes.

    What it finds
    -------------
    A registration mark whose size differs by more than {tolerance} from size of the profile's table [marks], where that is set;
    else one that differs so much from the middle one of its set. The size is a mark's longer extent along its own sides or bars,
    stroke included: the diameter of a dot, the length of a bar of a cross; the two points are its ends.

    Why it matters
    --------------
    A cutter looks for marks of the size it was told. It passes over one that is larger or smaller, or finds its edge in the wrong
    place.

    Known limits
    ------------
    Marks that are all of one wrong size are found only where the profile states the size. Of two sizes that are there equally
    often the smaller is taken for the right one.

    How to mend it
    --------------
    Draw the marks alike, by copying one, and at the size the cutter asks for; then place them without scaling.
    """

    id = "mark-size"
    group = Group.MARKS
    level = Level.WARNING
    needs = Role.MARK

    class Settings(Rule.Settings):
        """Settings of mark-size."""

        tolerance: Millimetres = mm(0.1, "drawn alike, marks differ by rounding only; a printed edge by more")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each mark of another size."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        asked = job.profile.marks.size
        for one in job.marks.sets:
            right = asked if asked is not None else _middle([mark.size for mark in one.marks])
            for mark in one.marks:
                if not exceeds(abs(mark.size - right), self.settings.tolerance):
                    continue
                told = "the profile asks for" if asked is not None else "the others measure"
                yield self.finding(
                    f"A registration mark measures {mark.size:.2f} mm; {told} {right:.4g} mm.",
                    f"Draw it {right:.4g} mm large.",
                    of=mark,
                    at=mark.ends,
                    bounds=mark.box,
                    measured=mark.size,
                    limit=round(right, 4),
                )


def _middle(sizes: Sequence[float]) -> float:
    """The lower median; `statistics` would cost every file, marks or none, several milliseconds."""
    return sorted(sizes)[(len(sizes) - 1) // 2]
