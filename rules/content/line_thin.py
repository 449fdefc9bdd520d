"""Rule ``line-thin``. Knows no geometry: the job finds the lines and what they lie on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import (
    Basis,
    Finding,
    Group,
    Level,
    Millimetres,
    Rule,
    falls_short,
    figure,
    mm,
    points,
    ratio,
)

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.printing.thin_lines import ThinLine

__all__ = ["ThinStroke"]

_POINT = 25.4 / 72
"""mm, ISO 32000-1, 8.3.2.3."""


class ThinStroke(Rule):
    """A printed line too thin to hold.

    What it finds
    -------------
    Printed strokes thinner than {positive}, or {positive_mixed} where they are printed in several inks; reversed, that is light on
    dark and left out of the ink around them, {reversed}, or {reversed_mixed} where several inks lie there. Widths are those at final
    size; a width of 0, which asks for the thinnest line a device can draw, is too thin in any case. And filled shapes so narrow
    that nowhere in them a circle of that width fits, if they are {least_length} long or longer. Reversed is what is at least
    {lighter_by} steps of L* lighter than what half of it, or {least_length} of it, lies on; white is so on any ink.

    Why it matters
    --------------
    A line thinner than a dot of the printer breaks up, or is drawn as wide as the device likes, on screen one pixel, on film a
    hair. A line left out of ink fills in, and where inks do not lie exactly on each other it is gone.

    Known limits
    ------------
    In how many inks a line prints only the file's CMYK, grey and named colours say; colours of a screen count as one ink. Shapes that
    are thin in one place and not in others are not found, nor the thin strokes of lettering and of fills that have a stroke of their
    own. A clip that leaves half of a stroke makes it thinner than is said here. A stroke in the paint of its own fill is no line.
    Where it cannot be told what lies beneath (pictures under coloured lines, patterns, blends), a line counts as positive, and a white
    one then as not there; what lies on top of it is not looked at. Lines of text for whose letters a box stands are left alone, and so
    are lines that step-misspelt, step-printed or step-unnamed report, which probably are not meant to be printed.

    How to mend it
    --------------
    Give the line more width, or one ink; scale artwork up with strokes scaled along.
    """

    id = "line-thin"
    group = Group.CONTENT
    level = Level.WARNING
    needs = Role.PRINT

    class Settings(Rule.Settings):
        """Settings of line-thin."""

        positive: Millimetres = points(0.25, "customary least line in one ink", Basis.COMMON_PRACTICE)
        positive_mixed: Millimetres = points(
            0.5, "customary least line where inks have to lie on each other", Basis.COMMON_PRACTICE
        )
        reversed: Millimetres = points(0.5, "customary least line left out of one ink", Basis.COMMON_PRACTICE)
        reversed_mixed: Millimetres = points(
            1, "customary least line left out of several inks", Basis.COMMON_PRACTICE
        )
        least_length: Millimetres = mm(1.0, "what is shorter is a dot and no line")
        lighter_by: float = ratio(25.0, "with less contrast, ink that spreads does not change the line much")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each stroke, and for each narrow part of a fill."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        if not len(job.content.printing_indices):
            return
        own = self.settings
        widest = max(own.positive, own.positive_mixed, own.reversed, own.reversed_mixed)
        for lines in (job.thin_lines.strokes, job.thin_lines.fills):
            for line in lines(widest, own.lighter_by, own.least_length):
                limit = self._limit(line)
                if falls_short(line.width, limit) or line.width == 0.0:
                    yield self._told(line, limit)

    def _limit(self, line: ThinLine) -> float:
        own = self.settings
        if line.reversal is not None:
            several = (line.reversal.inks or 1) > 1
            return float(max(own.reversed, own.positive, own.reversed_mixed if several else 0.0))
        return float(max(own.positive, own.positive_mixed if (line.inks or 1) > 1 else 0.0))

    def _told(self, line: ThinLine, limit: float) -> Finding:
        what = "A stroke" if line.stroke else "A filled shape"
        how = f"is {figure(line.width / _POINT)} pt thin"
        if line.width == 0.0:
            how = "has a width of 0, the thinnest line of the device"
        where = ", reversed out of darker art" if line.reversal is not None else ""
        return self.finding(
            f"{what} {how}{where}.",
            f"Make it {figure(limit / _POINT)} pt wide or more.",
            of=line.item,
            bounds=line.box,
            measured=line.width / _POINT,
            limit=round(limit / _POINT, 6),
            unit="pt",
        )
