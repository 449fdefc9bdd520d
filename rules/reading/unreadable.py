"""Page of ``unreadable``: the file's fault. The engine reports it; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable

from preflight.job import Job
from preflight.rule import Finding, Group, Level, Rule

__all__ = ["UnreadableFile"]


class UnreadableFile(Rule):
    """A file that cannot be read as artwork, with the reason and where in the file it shows.

    What it finds
    -------------
    A file that is missing, empty, cut off, not of a known format, damaged beyond what its standard says how to
    read, or larger than the limits of the profile allow. The report gives the file the status ``unreadable``
    and the command ends with exit code 2: nothing about the artwork is known, neither good nor bad.

    Why it matters
    --------------
    What cannot be read here may still open elsewhere and show something else there. A file nobody could check
    must not pass for a clean one.

    Known limits
    ------------
    The engine reports this before any rule runs, so the rule has no settings and cannot be waived. A file the
    reader could mend as its standard says is not unreadable: it is read, and what was mended is said under
    *not checked*.

    How to mend it
    --------------
    Follow the reason given: export the artwork again from the drawing program, ask the customer for the
    original, or raise the limit the reason names in the ``[limits]`` table of the profile if the file is
    to be trusted.
    """

    id = "unreadable"
    group = Group.READING
    by_engine = True
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """Nothing: a job exists only for a file that could be read."""
        return ()
