"""Rule ``object-stray``. Knows no geometry: the job finds what prints nowhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, exceeds, figure, mm

from .quoting import quoted

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.printing.strays import OffPage

__all__ = ["StrayObject"]


class StrayObject(Rule):
    """Art off the page, or text that runs out of it; things on the page that print nothing are a note at most.

    What it finds
    -------------
    Printed art that lies wholly off the page, and off the bleed box where the file states one; the value is how far off it lies.
    Text that reaches more than {past} over the edge. And, as a note, what is shown and leaves nothing: paths neither filled
    nor stroked, fully transparent objects, text without characters, single points, fills without area, strokes without length.

    Why it matters
    --------------
    What lies off the page is lost, and often it was meant to be on it. Invisible things make boxes larger than the art, move it when
    it is centred or scaled to fit, and are cut by programs that follow every path.

    Known limits
    ------------
    Art that reaches over the edge and is no text is in order: it bleeds. Off the page is judged by boxes; a thin curve round a corner
    of the page may pass. In PDF the page is what a viewer shows: things outside the crop box count as off it, though some programs
    print more. Hidden and clipped-away things are left alone, as are marks, white and varnish; what lies off the page in a cut step
    is reported by cut-off-page, specks of a cut by contour-fragment. Broken shapes are listed by the reader as faults.

    How to mend it
    --------------
    Move it onto the page, or delete it. Invisible leftovers are found by selecting everything in outline view.
    """

    id = "object-stray"
    group = Group.CONTENT
    level = Level.WARNING
    needs = Role.PRINT

    class Settings(Rule.Settings):
        """Settings of object-stray."""

        past: Millimetres = mm(0.1, "the box of text is no more exact than that")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each object."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for off in job.strays.off_page():
            if off.wholly or exceeds(off.beyond, self.settings.past):
                yield self._off(off)
        for left in job.strays.leftovers():
            finding = self.finding(
                f"The object is {left.why}: it prints nothing.",
                "Delete it, or give it the paint it was meant to have.",
                of=left.item,
                bounds=left.place,
            )
            yield msgspec.structs.replace(finding, level=Level.NOTE)

    def _off(self, off: OffPage) -> Finding:
        drawn = off.item.object
        what = quoted(drawn.text) if drawn.kind == "text" else "An object"
        told = f"{what} lies wholly off the page, {figure(off.beyond)} mm from it."
        if not off.wholly:
            told = f"{what} runs {figure(off.beyond)} mm over the edge of the page."
        return self.finding(
            told,
            "Move it onto the page, or delete it.",
            of=off.item,
            bounds=off.box,
            measured=off.beyond,
            limit=0.0 if off.wholly else self.settings.past,
        )
