"""Rules about registration marks: how many, where, how dark, how large, and what stands too near them."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .mark_crowded import CrowdedMark
from .mark_size import MarkSize
from .marks_faint import FaintMarks
from .marks_missing import MissingMarks
from .marks_skewed import SkewedMarks

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (CrowdedMark, MarkSize, FaintMarks, MissingMarks, SkewedMarks)
