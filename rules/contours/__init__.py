"""Rules that judge each cut contour and how cut contours lie to each other."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.rule import Rule

from .contour_crossing import CrossingContours
from .contour_duplicate import DuplicateContour
from .contour_fragment import FragmentContour
from .contour_open import OpenContour
from .contour_overlap import OverlappingContours
from .contour_self_crossing import SelfCrossingContour
from .corner_tight import TightCorner
from .node_excess import ExcessNodes

__all__ = ["rules"]


def rules() -> Sequence[type[Rule]]:
    """The rules of this folder."""
    return (
        CrossingContours,
        DuplicateContour,
        FragmentContour,
        OpenContour,
        OverlappingContours,
        SelfCrossingContour,
        TightCorner,
        ExcessNodes,
    )
