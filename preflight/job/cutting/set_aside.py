"""Cut contours that one rule reports and the others leave alone. Knows the settings of the rules in force, no rule.

Without this a speck would be reported as a speck, as open, as sharp-cornered and as a copy of another speck. A contour
is left aside only where the rule that reports it judges the page, and by that rule's own settings, so that nothing falls
between two rules: what contour-fragment does not call a fragment, or may not report, the others judge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.geometry.outlines import Flags

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["SetAside"]


class SetAside(msgspec.Struct, frozen=True, eq=False):
    """``fragments`` (c,) contours left to contour-fragment, ``copies`` (c,) later copies of another contour.

    ``copies_told`` says whether contour-duplicate reports copies; where it does not, a copy runs along its original over
    its whole length. ``overlap_within`` and ``overlap_length`` (mm) say which shared runs are left to contour-overlap; the length is
    infinite where that rule is not in force.
    """

    fragments: Flags
    copies: Flags
    copies_told: bool
    overlap_within: float
    overlap_length: float

    @classmethod
    def of(cls, job: Job) -> SetAside:
        """What contour-fragment, contour-duplicate and contour-overlap take upon themselves on this page."""
        count = len(job.cuts.contours)
        fragments, copies = np.zeros(count, bool), np.zeros(count, bool)
        fragment, duplicate, overlap = (
            job.in_force.get(id_) for id_ in ("contour-fragment", "contour-duplicate", "contour-overlap")
        )
        if fragment is not None:
            found = job.cut_shapes.fragments(fragment.least_size, fragment.steps)
            fragments[[contour.index for contour, _ in found]] = True
        if duplicate is not None:
            copies[job.cuts.duplicates(duplicate.within).second] = True
        within, length = (0.0, math.inf) if overlap is None else (overlap.within, overlap.least_length)
        return cls(fragments, copies, duplicate is not None, within, length)
