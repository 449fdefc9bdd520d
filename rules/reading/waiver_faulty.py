"""Page of ``waiver-faulty``. The engine reports it; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable

from preflight.job import Job
from preflight.rule import Finding, Group, Level, Rule

__all__ = ["FaultyWaiver"]


class FaultyWaiver(Rule):
    """A waiver that gives no reason, or names no rule.

    What it finds
    -------------
    A ``data-preflight-waive`` attribute that is not written as a rule's id, a colon and a reason, or whose rule does not
    exist; and a table ``[[waivers]]`` in ``NAME.waivers.toml`` beside the artwork that lacks its reason, names no rule or a page
    that is not there, or holds what cannot be understood. It waives nothing.

    Why it matters
    --------------
    A waiver is read by the next person who has the file: without a reason nobody can tell whether it still holds.

    Known limits
    ------------
    Whether the reason is a good one is for people to judge. A waiver on an element that draws nothing is not seen.

    How to mend it
    --------------
    In SVG write it as ``contour-open: slit for the string`` on the object or on a group around it. In ``sheet.waivers.toml``
    beside ``sheet.pdf`` write ``[[waivers]]``, ``rule = "contour-open"`` and ``reason = "slit for the string"``, with ``page``,
    ``layer``, ``at`` or ``fingerprint`` to say where.
    """

    id = "waiver-faulty"
    group = Group.READING
    by_engine = True
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """Nothing: the engine applies waivers."""
        return ()
