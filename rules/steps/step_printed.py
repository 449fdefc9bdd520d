"""Rule ``step-printed``. Knows no geometry: the job finds the twins."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.colour.ink_names import ALL
from preflight.job import Role, step_words
from preflight.rule import Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job, JobObject
    from preflight.job.naming.suspects import Inked

__all__ = ["PrintedStep"]


class PrintedStep(Rule):
    """A cut line that will print: painted in process colour, on the plates of the print, or in a copy without its name.

    What it finds
    -------------
    A printing contour, closed (its ends at most {closed_within} apart), unfilled and no wider than {thin}, stroked in
    exactly the colour of a cut line and in no colour of the art: a twin of the cut that lost its name, as when a separation
    became the process values it looks like. A cut line in a plain colour where other lines of its step carry a named one, or,
    where its metadata or layer names it, where the page has separations at all. And a cut line in a separation that prints
    on the plates of the process inks, or on every plate. The value is the stroke width.

    Why it matters
    --------------
    A plain colour goes to the printer as ink. The twin is printed and not cut; the others are cut and
    printed too, and show as a hairline where the knife drifts from it.

    Known limits
    ------------
    Colours are compared exactly, in steps of 1/255, and where both are given in one colour space by its numbers. In a shop
    that names cuts by layer alone every line is in plain colour and none is reported. A cut line in its own separation that
    does not overprint is left to overprint-lost; where that rule is not in force it is reported here.

    How to mend it
    --------------
    Give the line the named colour of its step, set to overprint; or move the twin to the layer of the cut, or delete it if
    it is a leftover. Where the only cut in that colour is hidden, name the twin's own layer in the profile.
    """

    id = "step-printed"
    group = Group.STEPS
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of step-printed."""

        thin: Millimetres = mm(0.3, "cut lines are drawn as hairlines; wider lines in that colour are art")
        closed_within: Millimetres = mm(1.0, "a cut line may be left open by mistake")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each object."""
        yield from self._twins(job)
        for inked in job.suspects.inked():
            yield self.finding(
                _printing(inked),
                _renamed(inked),
                of=(inked.item,) if inked.like is None else (inked.item, inked.like),
                bounds=inked.item.box,
                measured=inked.item.object.stroke.width,
            )
        if "overprint-lost" not in job.in_force:
            yield from self._knock_outs(job)

    def _twins(self, job: Job) -> Iterator[Finding]:
        thin = self.settings.thin
        for twin in job.suspects.twins(thin, self.settings.closed_within):
            step = step_words(twin.like.assignment.step or "").lower()
            yield self.finding(
                f"A contour in {twin.color}, the colour of the {step} lines, will be printed and not cut.",
                _as_the_other(twin.like) if twin.shown else _named_itself(twin.item, twin.like),
                of=(twin.item, twin.like),
                bounds=twin.item.box,
                measured=twin.item.object.stroke.width,
                limit=thin,
            )

    def _knock_outs(self, job: Job) -> Iterator[Finding]:
        for place in job.overprints.knock_outs():
            if place.item.assignment.role is Role.CUT:
                yield self.finding(
                    f"{_line(place.item)} does not overprint: it shows as a bare line in the art beneath.",
                    "Set it to overprint.",
                    of=(place.item, place.beneath),
                    at=place.point,
                    bounds=place.box,
                    measured=place.item.object.stroke.width,
                )


def _line(item: JobObject) -> str:
    return f"A {step_words(item.assignment.step or '').lower()} line"


def _printing(inked: Inked) -> str:
    line = _line(inked.item)
    if inked.plates:
        if ALL in inked.plates:
            return f"{line} is in the separation All: it will print on every plate."
        return f"{line} is made of {' and '.join(inked.plates)} beside its own ink: it will print in {'them' if len(inked.plates) > 1 else 'it'}."
    if inked.like is None:
        return f"{line} is in plain {inked.color}, in no separation: it will print."
    return f"{line} is in plain {inked.color}, the others in “{inked.like.object.stroke.paint.spot}”: it will print."


def _renamed(inked: Inked) -> str:
    if inked.like is not None:
        return f"Stroke it with the named colour “{inked.like.object.stroke.paint.spot}”."
    name = step_words(inked.item.assignment.step or "")
    return f"Stroke it with a separation of its own that is named for the step, such as “{name}”, set to overprint."


def _named_itself(item: JobObject, hidden: JobObject) -> str:
    """Where the only cut in that colour is hidden: a line put beside it would be hidden, and not cut, too."""
    names = f"names of [steps.{hidden.assignment.step}] in the profile"
    if item.layers:
        return (
            f"If its layer “{item.layers[0]}” is to be cut, add that name to the {names}; or delete the line."
        )
    return f"If it is to be cut, put it on a layer of its own and add the name of that to the {names}; or delete the line."


def _as_the_other(like: JobObject) -> str:
    named = like.assignment
    if named.layer is not None:
        spot = like.object.stroke.paint.spot
        dressed = f" and give it the named colour “{spot}”" if spot else ""
        return f"Move it to the layer “{named.layer}”{dressed}, as {like.spoken} is, or delete it."
    return f"Give it the {named.route} “{named.named}”, as {like.spoken} has it, or delete it."
