"""Rule ``ink-heavy``. Knows no paint and no geometry: the job adds the ink up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule, exceeds, figure, square_mm

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["HeavyInk"]

_NOISE = 0.05
"""Per cent of the area. What rounded numbers in files make of a total that was meant to be the limit."""


class HeavyInk(Rule):
    """More ink over an area than the output bears.

    What it finds
    -------------
    Connected areas of at least {least_area} under more ink than the limit under [output] in the profile, 300 % unless it says
    otherwise: cyan, magenta, yellow and black added up as they print, with overprint and opacity. The value is the most ink
    in the area. A named colour counts as the process inks that stand in for it. Opaque images in CMYK count by their pixels, averaged over
    a hundredth of that area.

    Why it matters
    --------------
    Too much ink does not dry. It runs, cracks when the film is bent, and the laminate does not hold on it and silvers; the roll
    sticks to itself.

    Known limits
    ------------
    Only colours that are given in process inks have a total. Those of a screen, in Lab or by a profile are separated by the printer's
    software, which has a limit of its own; SVG has few others. The heaviest stop stands for a gradient. Images that are see-through, masked, in
    named colours or JPEG 2000, and those beyond forty million pixels or two thousand images a page, are listed as not checked; images smaller
    than that area are passed over, and ink that lies over or under an image's lighter parts is not added to theirs. A blend mode counts as if it were Normal. Overprint is followed after ISO 32000-1, 8.6.7.

    How to mend it
    --------------
    Lighten the darkest colours: a deep black wants 40 to 60 % of cyan under the black, not all four inks in full. Take off
    overprint where it piles inks up.
    """

    id = "ink-heavy"
    group = Group.COLOURS
    level = Level.WARNING
    needs = Role.PRINT

    class Settings(Rule.Settings):
        """Settings of ink-heavy."""

        least_area: float = square_mm(
            100.0, "a square centimetre: lettering and thin lines dry from their edges"
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each connected area."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        limit = job.profile.output.ink_limit
        for area in job.colours.ink_cover.heavy(limit, self.settings.least_area):
            if not exceeds(area.total, limit, _NOISE):
                continue
            count = len(area.items)
            what = "what lies over one another here" if count > 1 else _kind(area.items[0])
            yield self.finding(
                f"The ink of {what} comes to {figure(area.total)} % over {figure(area.size)} mm².",
                f"Bring it down to {figure(limit)} %: lighten {_kind(area.items[0])}"
                + (", or take off the overprint." if count > 1 else "."),
                of=area.items,
                at=area.point,
                bounds=area.box,
                measured=area.total,
                limit=limit,
                unit="%",
            )


def _kind(item: JobObject) -> str:
    return "the image" if item.object.kind == "image" else "the colour"
