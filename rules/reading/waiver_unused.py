"""Page of ``waiver-unused``. The engine reports it; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable

from preflight.job import Job
from preflight.rule import Finding, Group, Level, Rule

__all__ = ["UnusedWaiver"]


class UnusedWaiver(Rule):
    """A waiver that waives nothing.

    What it finds
    -------------
    A ``data-preflight-waive`` attribute whose rule finds nothing on the objects below it, or a waiver in ``NAME.waivers.toml``
    beside the artwork whose rule finds nothing in the place it names.

    Why it matters
    --------------
    The fault it was written for is mended. Left in place, it would hide the next one.

    Known limits
    ------------
    Waivers with the same words on several elements count as one. A waiver of a rule that did not judge the page is not
    looked at, nor is one on an element that draws nothing.

    How to mend it
    --------------
    Take the attribute, or the table in the waiver file, out.
    """

    id = "waiver-unused"
    group = Group.READING
    by_engine = True
    level = Level.NOTE

    def check(self, job: Job) -> Iterable[Finding]:
        """Nothing: the engine applies waivers."""
        return ()
