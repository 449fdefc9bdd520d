"""Rules about distances: from the cuts to the art, to each other and to the edge of the page."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .art_near_cut import ArtNearCut
from .bleed_short import ShortBleed
from .cut_off_page import CutOffPage
from .cut_spacing import CutSpacing

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (ArtNearCut, ShortBleed, CutOffPage, CutSpacing)
