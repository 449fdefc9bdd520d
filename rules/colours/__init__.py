"""Rules about colours: what prints, and whether it prints as meant."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .overprint_lost import LostOverprint

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (LostOverprint,)
