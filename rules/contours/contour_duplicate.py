"""Rule ``contour-duplicate``. Knows no geometry: the job finds the copies."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, figure, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["DuplicateContour"]


class DuplicateContour(Rule):
    """A cut contour that lies on another one.

    What it finds
    -------------
    Two contours, of one step or of two, of which each lies within {within} of the other along its whole length,
    whatever their start points, directions and nodes. It is reported at the second in paint order; of n copies,
    n − 1 are reported. The value is the greatest distance between the two curves.

    Why it matters
    --------------
    The knife cuts the same line twice. The second pass goes through the backing, frays the edge, and the sheet falls
    apart on the cutter or the labels come off with their backing.

    Known limits
    ------------
    A contour drawn twice on purpose for thick material is reported like any other. Contours that only share a part of
    their length are contour-overlap's. A copy is not reported again as overlapping or crossing; where this rule is switched
    off, contour-overlap reports it over its whole length.

    How to mend it
    --------------
    Delete one of the two. Where they belong to different steps, decide which step the line is meant for and
    delete the other.
    """

    id = "contour-duplicate"
    group = Group.CONTOURS
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-duplicate. The job reads the same value to set copies aside."""

        within: Millimetres = mm(0.05, "closer than two passes of a knife can be told apart")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each copy."""
        contours = job.cuts.contours
        fragments = job.set_aside.fragments
        rows = job.cuts.duplicates(self.settings.within)
        for first, second, distance in zip(
            rows.first.tolist(), rows.second.tolist(), rows.distance.tolist(), strict=True
        ):
            original, copy = contours[first], contours[second]
            if fragments[first] and fragments[second]:
                continue
            same = copy.step == original.step
            told = f"A {step_words(copy.step).lower()}" + (
                " contour lies on another one" if same else f" lies on a {step_words(original.step).lower()}"
            )
            yield self.finding(
                f"{told} (at most {figure(distance)} mm apart).",
                "Delete one of the two." if same else "Decide which step the line is for; delete the other.",
                of=(copy, original),
                at=copy.ends[0],
                bounds=copy.bounds,
                measured=distance,
                limit=self.settings.within,
            )
