"""Cut contours that one rule reports and the others leave alone. Knows the profile's values for those rules.

Without this a speck would be reported as a speck, as open, as sharp-cornered and as a copy of another speck. The
values are the profile's own, so that nothing falls between two rules: what contour-fragment does not call
a fragment, the others judge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from preflight.geometry.outlines import Flags
from preflight.profile import Profile
from preflight.profile.settings import SettingError, parse_length

if TYPE_CHECKING:
    from .job import Job

__all__ = [
    "DUPLICATE_WITHIN",
    "FRAGMENT_SIZE",
    "FRAGMENT_STEPS",
    "OVERLAP_LENGTH",
    "OVERLAP_WITHIN",
    "SetAside",
]

FRAGMENT_SIZE = 2.0
"""mm. Default of contour-fragment.least_size."""

FRAGMENT_STEPS = ("Cutting", "PartialCutting")
"""Default of contour-fragment.steps."""

DUPLICATE_WITHIN = 0.05
"""mm. Default of contour-duplicate.within."""

OVERLAP_WITHIN = 0.05
"""mm. Default of contour-overlap.within."""

OVERLAP_LENGTH = 1.0
"""mm. Default of contour-overlap.least_length."""


@dataclass(frozen=True, slots=True, eq=False)
class SetAside:
    """``fragments`` (c,) contours left to contour-fragment, ``copies`` (c,) later copies of another contour.

    ``overlap_within`` and ``overlap_length`` (mm) say which shared runs are left to contour-overlap.
    """

    fragments: Flags
    copies: Flags
    overlap_within: float
    overlap_length: float

    @classmethod
    def of(cls, job: Job) -> SetAside:
        """What the profile's values for contour-fragment, contour-duplicate and contour-overlap set aside."""
        profile = job.profile
        count = len(job.cuts.contours)
        fragments, copies = np.zeros(count, bool), np.zeros(count, bool)
        if not _is_off(profile, "contour-fragment"):
            size = _length(profile, "contour-fragment", "least_size", FRAGMENT_SIZE)
            steps = tuple(_value(profile, "contour-fragment", "steps", FRAGMENT_STEPS))
            fragments[[contour.index for contour, _ in job.cut_shapes.fragments(size, steps)]] = True
        if not _is_off(profile, "contour-duplicate"):
            copies[
                job.cuts.duplicates(_length(profile, "contour-duplicate", "within", DUPLICATE_WITHIN)).second
            ] = True
        return cls(
            fragments,
            copies,
            _length(profile, "contour-overlap", "within", OVERLAP_WITHIN),
            _length(profile, "contour-overlap", "least_length", OVERLAP_LENGTH),
        )


def _is_off(profile: Profile, rule: str) -> bool:
    chosen = profile.rules.get(rule)
    return chosen is not None and chosen.level == "off"


def _value(profile: Profile, rule: str, setting: str, default: Any) -> Any:
    chosen = profile.rules.get(rule)
    return default if chosen is None else chosen.raw.get(setting, default)


def _length(profile: Profile, rule: str, setting: str, default: float) -> float:
    value = _value(profile, rule, setting, None)
    try:
        return default if value is None else parse_length(value)
    except SettingError:
        return default  # the profile's check of its rules has refused it before any file is judged
