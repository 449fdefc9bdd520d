"""Rule ``contour-fragment``. Knows no geometry beyond the sizes the job hands out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, mm, names

if TYPE_CHECKING:
    from preflight.job import CutContour, Job

__all__ = ["FragmentContour"]


class FragmentContour(Rule):
    """A stray point, a contour without length, or a speck too small for the film to hold.

    What it finds
    -------------
    On any cut step, a contour that holds a single point or has no length. On the steps {steps} also a contour
    whose box is less than {least_size} along its longer side. The value is that longer side.

    Why it matters
    --------------
    The knife is lifted, moved and lowered for nothing; a stray point pricks the backing. A speck does not
    stay on the backing: it comes off under the blade, sticks to it and spoils the next cuts.

    Known limits
    ------------
    The size is that of the box, so a long thin sliver passes. Short strokes of a perforation drawn one by one
    are what they should be: specks are looked for on the listed steps only. What this rule reports is not
    reported again by the other contour rules.

    How to mend it
    --------------
    Delete it: select the contours of the step by size, or clean up stray points. If it is a detail of
    the piece, enlarge it or leave it to be printed only.
    """

    id = "contour-fragment"
    group = Group.CONTOURS
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-fragment. The job reads the same values to set fragments aside."""

        least_size: Millimetres = mm(
            2.0, "nothing smaller than about 2 mm square stays on the backing", Basis.COMMON_PRACTICE
        )
        steps: tuple[str, ...] = names(
            ("Cutting", "PartialCutting"),
            "pieces are cut by these; strokes of a perforation may be as short as they like",
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each fragment."""
        for contour, size in job.cut_shapes.fragments(self.settings.least_size, self.settings.steps):
            yield self._finding(contour, size)

    def _finding(self, contour: CutContour, size: float) -> Finding:
        step = step_words(contour.step).lower()
        if contour.segments == 0:
            found = f"A {step} holds a stray point."
            mend = "Delete the stray point."
        elif size == 0.0:
            found = f"A {step} contour has no length."
            mend = "Delete the path: all its nodes lie on one spot."
        else:
            found = f"A {step} contour is a speck of {size:.3g} mm."
            mend = "Delete it, or enlarge it until the film can hold it."
        limit = self.settings.least_size
        return self.finding(
            found, mend, of=contour, at=contour.middle, bounds=contour.bounds, measured=size, limit=limit
        )
