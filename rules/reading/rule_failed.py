"""Page of ``rule-failed``: our fault. The engine reports it; nothing is judged here."""

from __future__ import annotations

from collections.abc import Iterable

from preflight.job import Job
from preflight.rule import Finding, Group, Level, Rule

__all__ = ["FailedRule"]


class FailedRule(Rule):
    """A rule that broke down on a page, so that what it would have found is not known.

    What it finds
    -------------
    A fault of this program or of a plug-in: a rule stopped with an error of its own. The other rules go on, and
    the command ends with exit code 2.

    Why it matters
    --------------
    The page was not judged by that rule. Without this finding it would look as if the rule had found nothing.

    Known limits
    ------------
    The engine reports it, so the rule has no settings. The message names the rule and the place in its code,
    which helps its author and nobody else.

    How to mend it
    --------------
    Nothing is known to be wrong with the artwork. Report the message to the author of the rule, with the file if it may be
    passed on; until it is mended, ``--ignore`` the rule and look for its faults by eye.
    """

    id = "rule-failed"
    group = Group.READING
    by_engine = True
    level = Level.ERROR

    def check(self, job: Job) -> Iterable[Finding]:
        """Nothing: the engine reports rules that fail."""
        return ()
