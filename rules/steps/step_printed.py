"""Rule ``step-printed``. Knows no geometry: the job finds the twins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Route, step_words
from preflight.rule import Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["PrintedStep"]


class PrintedStep(Rule):
    """A cut line that will print: painted in plain colour where its fellows carry a name.

    What it finds
    -------------
    A printing contour, closed (its ends at most {closed_within} apart), unfilled and no wider than {thin}, stroked in
    exactly the colour of a cut line and in no colour of the art: a twin of the cut that lost its name. And a cut line known by its
    layer only, in a plain colour, where other lines of its step carry a named one. The value is the stroke width.

    Why it matters
    --------------
    A plain colour goes to the printer as ink. The twin is printed and not cut; the other is cut and
    printed too, and shows as a hairline where the knife drifts from it.

    Known limits
    ------------
    SVG has no overprint, so a cut line set to overprint cannot be told from one that is not. Colours are compared exactly, in
    steps of 1/255. In a shop that names cuts by layer alone every line is in plain colour and none is reported.

    How to mend it
    --------------
    Give the line the named colour of its step (the finding names a line that has it), or move the twin to the layer of the
    cut, or delete it if it is a leftover.
    """

    id = "step-printed"
    group = Group.STEPS
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of step-printed."""

        thin: Millimetres = mm(0.3, "cut lines are drawn as hairlines; wider lines in that colour are art")
        closed_within: Millimetres = mm(1.0, "a cut line may be left open by mistake")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each twin."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        thin = self.settings.thin
        for twin in job.suspects.twins(thin, self.settings.closed_within):
            step = step_words(twin.like.assignment.step or "").lower()
            yield self.finding(
                f"A contour in {twin.color}, the colour of the {step} lines, will be printed and not cut.",
                _as_the_other(twin.like),
                of=(twin.item, twin.like),
                bounds=twin.item.box,
                measured=twin.item.object.stroke.width,
                limit=thin,
            )
        for twin in job.suspects.in_process():
            spot = twin.like.object.stroke.paint.spot
            yield self.finding(
                f"A {step_words(twin.item.assignment.step or '').lower()} line is in plain {twin.color}, the others in “{spot}”: "
                "it will print.",
                f"Stroke it with the named colour “{spot}”.",
                of=(twin.item, twin.like),
                bounds=twin.item.box,
                measured=twin.item.object.stroke.width,
            )


def _as_the_other(like: JobObject) -> str:
    named, ref = like.assignment, like.reference.ref
    if named.route is Route.LAYER:
        return f"Move it to the layer “{named.named}”, where {ref} is, or delete it."
    return f"Give it the {named.route} “{named.named}”, as {ref} has it, or delete it."
