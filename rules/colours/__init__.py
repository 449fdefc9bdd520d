"""Rules about colours: what prints, and whether it prints as meant."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .colour_conflict import ConflictingColour
from .colour_gamut import ColourOutOfReach
from .colour_space import RefusedColourSpace
from .colour_unknown import UnknownColour
from .ink_heavy import HeavyInk
from .overprint_lost import LostOverprint

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (ColourOutOfReach, UnknownColour, ConflictingColour, RefusedColourSpace, HeavyInk, LostOverprint)
