"""Rule ``step-missing``. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["MissingStep"]

_NO_LENGTH = 1e-6
"""mm. What reaches no farther is a point."""


class MissingStep(Rule):
    """No cut step at all although the profile expects one.

    What it finds
    -------------
    A page on which no object belongs to a cut step, hidden ones included, while ``job.expects_cut`` of the profile asks for
    one; and one whose cut steps hold nothing that has a length: text, images, stray points, paths that broke off at once.

    Why it matters
    --------------
    The sheet is printed, goes to the cutter, and there is nothing to cut along.

    Known limits
    ------------
    Where step-unnamed or step-misspelt are in force and report a line that is probably the missing cut, this rule keeps
    still: they say the same and how to mend it. A page with one cut step is in order here even if another one was
    wanted. Each page of a file is judged by itself: one without a cut is reported though another page has it.

    How to mend it
    --------------
    Draw the cut contours and put them on a layer, or give them a spot colour, whose name the profile knows (``preflight
    profile show`` lists them). If the job is not to be cut, set ``expects_cut`` in the ``[job]`` table to false.
    """

    id = "step-missing"
    group = Group.STEPS
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """At most one finding, without a place."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        if not job.profile.job.expects_cut:
            return
        meant = job.of_role(Role.CUT)
        if any(_can_be_followed(item) for item in meant) or job.suspects.reported_elsewhere:
            return
        if meant:
            yield self.finding(
                "Nothing on the cut steps has a contour of any length: there is nothing to cut along.",
                "Draw the cut contours again; turn text that is to be cut into outlines.",
                of=meant,
            )
            return
        yield self.finding(
            "No object belongs to a cut step, and the profile expects a cut.",
            f"Put the cut contours on a layer, or give them a spot colour, named as in the profile, such as “{_a_name(job)}”; "
            "or add the name they have to the profile.",
        )


def _can_be_followed(item: JobObject) -> bool:
    """Whether a knife could go along an object once it shows."""
    if item.object.kind != "path" or item.box is None:
        return False
    x0, y0, x1, y1 = item.box
    return max(x1 - x0, y1 - y0) > _NO_LENGTH


def _a_name(job: Job) -> str:
    """A name of a cut step that the profile in force knows: a kiss cut's where it has one, as most jobs here are kiss cut."""
    steps = job.profile.steps
    for key in ("PartialCutting", *steps):
        for name in steps[key].names if key in steps else ():
            # A name two steps claim counts for the first of them; any cut step mends a missing cut.
            known = job.vocabulary.look_up(name)
            if known is not None and known[0] is Role.CUT:
                return name
    return next(iter(steps), "Cutting")
