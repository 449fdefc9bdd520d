"""Rule ``marks-missing``. Knows no geometry: the job says which corner has no mark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Rule

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.marks.marks import MarkSet

__all__ = ["MissingMarks"]

_AUTO = 4
"""Marks where there are any: one near each corner, common practice, no single source."""


class MissingMarks(Rule):
    """The wrong number of registration marks, or not one near each corner.

    What it finds
    -------------
    A set of registration marks of another number than count of the profile's table [marks]. Unless it says otherwise, a page has
    none or four, one near each corner. Of three the page says near which corner one is absent and where it should stand; the value
    is the number of marks. Four that do not stand near the corners of a rectangle are found too, and marks that are all hidden. Where the
    profile asks for a number, a page without marks is found.

    Why it matters
    --------------
    A cutter that cannot find a mark stops, or takes a spot of art for it and cuts the whole sheet awry.

    Known limits
    ------------
    Marks of one shape make a set, and each set must be complete. What is there once or twice beside a whole set is left alone. A page
    without marks is in order unless the profile asks for some: they may be added when the job is laid out on the roll. Crop marks and
    colour patches are no marks a cutter reads.

    How to mend it
    --------------
    Copy one of the others to the place told. Where a sheet is to have more marks than four, say how many in the profile.
    """

    id = "marks-missing"
    group = Group.MARKS
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each set that is not complete."""
        asked: Any = job.profile.marks.count
        wanted = None if asked == "auto" else int(asked)
        # Most files have no marks: nothing is looked into for those.
        if not job.of_role(Role.MARK):
            return self._none(job, wanted) if wanted else ()
        return self._found(job, wanted)

    def _none(self, job: Job, wanted: int) -> Iterator[Finding]:
        yield self.finding(
            f"No registration mark was found; the profile asks for {wanted}.",
            "Add the marks, or name their layer in [marks] names of the profile.",
            measured=0,
            limit=wanted,
            unit="marks",
        )

    def _found(self, job: Job, wanted: int | None) -> Iterator[Finding]:
        marks = job.marks
        if not marks.sets and marks.hidden:
            boxes = np.array([item.box for item in marks.hidden if item.box is not None]).reshape(-1, 4)
            yield self.finding(
                "The registration marks do not print: they are hidden, clipped away, or on a layer that does not print.",
                "Show them and let their layer print, or delete them if they are not needed.",
                of=marks.hidden,
                bounds=np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])
                if len(boxes)
                else None,
                measured=0,
                limit=wanted or _AUTO,
                unit="marks",
            )
        elif not marks.sets and wanted:
            yield from self._none(job, wanted)
        for one in marks.sets:
            yield from self._judged(one, _AUTO if wanted is None else wanted)

    def _judged(self, one: MarkSet, wanted: int) -> Iterator[Finding]:
        count = len(one.marks)
        if count == wanted and (count < _AUTO or one.corners is not None):
            return
        places, bounds = [mark.centre for mark in one.marks], None
        told = f"{count} registration {'mark is' if count == 1 else 'marks are'} there instead of {wanted}"
        hint = "Add what is missing, or say in [marks] count of the profile how many there are to be."
        absent = one.absent if count < wanted else None
        if absent is not None:
            told += f": the one at the {absent.words} is missing"
            hint = f"Copy another mark to x {absent.place[0]:.2f} mm, y {absent.place[1]:.2f} mm."
            places, bounds = [absent.place], absent.box
        elif count == wanted:
            told = f"{count} registration marks do not stand one near each corner"
            hint = "Place one near each corner of a rectangle around the job."
        elif count > wanted:
            hint = (
                "Take out what is too many, or say in [marks] count of the profile how many there are to be."
            )
        yield self.finding(
            f"{told}.",
            hint,
            of=one.marks,
            at=places,
            bounds=bounds,
            measured=count,
            limit=wanted,
            unit="marks",
        )
