"""Rules about the page on the roll: its size, its margins, whether it fits."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .lead_short import ShortLead
from .media_overflow import MediaOverflow
from .scale_doubtful import DoubtfulScale

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (MediaOverflow, ShortLead, DoubtfulScale)
