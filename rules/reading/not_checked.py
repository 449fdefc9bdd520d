"""Page of ``not-checked``: our limit. The engine reports it; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable

from preflight.job import Job
from preflight.rule import Finding, Group, Level, Rule

__all__ = ["NotCheckedConstruct"]


class NotCheckedConstruct(Rule):
    """Something in the file that was met but not judged, with its place.

    What it finds
    -------------
    Every construct the reader does not model (a filter, a mask, a blend mode …), every fault of the file it
    worked round as the standard says, and everything it had to assume, such as the unit of a page. Each
    stands in the ``not_checked`` list of its page with its kind (``not-modelled``, ``fault`` or ``assumed``), its object
    and the object's place.

    Why it matters
    --------------
    The rules judge what the reader understood. Where it did not understand, no finding means nothing: a
    person has to look.

    Known limits
    ------------
    The engine makes the list from the reader's notes, so the rule has no settings; entries have no level and
    do not change the exit code. An entry about an element that draws nothing itself has no place. One entry stands for one place: a filter on a group is listed once, not
    once for each object in the group.

    How to mend it
    --------------
    Look at the place named. Flatten or expand the effect in the drawing program if it matters to the cut; leave it if
    it does not. Mend a fault of the file by exporting it again; confirm what was assumed, or state it in the file.
    """

    id = "not-checked"
    group = Group.READING
    by_engine = True
    level = Level.NOTE

    def check(self, job: Job) -> Iterable[Finding]:
        """Nothing: the engine lists the reader's notes."""
        return ()
