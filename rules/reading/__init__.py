"""What the engine reports by itself, given pages so that ``explain`` and reports can show what it means."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .not_checked import NotCheckedConstruct
from .rule_failed import FailedRule
from .unreadable import UnreadableFile
from .waiver_faulty import FaultyWaiver
from .waiver_unused import UnusedWaiver

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (NotCheckedConstruct, FailedRule, UnreadableFile, FaultyWaiver, UnusedWaiver)
