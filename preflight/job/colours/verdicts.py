"""Whether the output reaches the named colours of a page, and the nearest it does. Knows no rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.job.colours.sources import Source
from preflight.job.colours.uses import ColourUse, Lab, NearestColour, TintUse, Verdict

if TYPE_CHECKING:
    from preflight.colour.gamut import Nearest
    from preflight.job.colours.named import NamedColour
    from preflight.job.colours.tints import TintInUse
    from preflight.job.job import Job

__all__ = ["Judged", "JudgedTint", "colour_uses", "judged"]

_WORSE: tuple[Verdict, ...] = ("not known", "within reach", "uncertain", "out of reach")

_ANOTHER_HUE = 20.0
"""Degrees of CIELAB hue from which the nearest colour is plainly of another hue, as orange is to red: a project assumption."""

_HAS_HUE = 20.0
"""Chroma from which a colour has a hue that somebody would miss: a project assumption."""


class JudgedTint(msgspec.Struct, frozen=True, eq=False):
    """A tint whose colour is known, and how near the output comes to it: ``difference`` is ΔE00, ``error`` what it may be off."""

    tint: TintInUse
    difference: float
    error: float
    nearest: NearestColour
    same_hue: NearestColour | None

    def verdict(self, tolerance: float) -> Verdict:
        """Whether it is within reach, for a tolerance in ΔE00."""
        if abs(self.difference - tolerance) <= self.error:
            return "uncertain"
        return "within reach" if self.difference <= tolerance else "out of reach"


class Judged(msgspec.Struct, frozen=True, eq=False):
    """A named colour whose own colour is known, and the tints it is printed in, the lightest first."""

    colour: NamedColour
    tints: tuple[JudgedTint, ...]

    def worst(self, tolerance: float) -> JudgedTint:
        """The tint with the worst verdict, of several the one that is farthest out of reach."""
        return max(self.tints, key=lambda tint: (_WORSE.index(tint.verdict(tolerance)), tint.difference))


def judged(job: Job) -> tuple[Judged, ...]:
    """Every named colour in use whose own colour is known, each tint with the nearest that the output reaches."""
    asked = [
        (colour, tint)
        for colour in job.colours.used
        if colour.source is not Source.PROCESS
        for tint in colour.tints
        if tint.look.lab is not None
    ]
    if not asked:
        return ()
    labs = np.array([tint.look.lab for _, tint in asked])
    reach, tolerance = job.colours.shop.reach, job.profile.output.tolerance
    found = reach.nearest(labs)
    nearest = _colours(found, job)
    kept = _of_same_hue(labs, found, job)
    tints: dict[str, list[JudgedTint]] = {}
    colours = {colour.name: colour for colour, _ in asked}
    for row, (colour, tint) in enumerate(asked):
        error = reach.output.error
        if tint.look.assumed:
            from preflight.colour.tint_ramp import ASSUMED_ERROR

            error = float(np.hypot(error, ASSUMED_ERROR))
        one = JudgedTint(tint, float(found.difference[row]), error, nearest[row], None)
        if row in kept and one.verdict(tolerance) == "out of reach":
            one = msgspec.structs.replace(one, same_hue=kept[row])
        tints.setdefault(colour.name, []).append(one)
    return tuple(Judged(colours[name], tuple(own)) for name, own in tints.items())


def _colours(found: Nearest, job: Job) -> list[NearestColour]:
    channels = tuple(job.colours.shop.output.channels)
    rows = zip(found.lab.tolist(), found.device.tolist(), found.difference.tolist(), strict=True)
    return [
        NearestColour(
            lab=_rounded(lab),
            channels=channels,
            device=tuple(round(100.0 * share, 1) + 0.0 for share in device),
            difference=round(difference, 2),
        )
        for lab, device, difference in rows
    ]


def _of_same_hue(labs: np.ndarray, found: Nearest, job: Job) -> dict[int, NearestColour]:
    """The nearest of the same hue of those colours whose very nearest is of another, by their rows."""
    from preflight.colour.gamut import HUE_KEPT, hue_apart

    turned = (
        (found.difference > job.profile.output.tolerance)
        & (np.hypot(labs[:, 1], labs[:, 2]) >= _HAS_HUE)
        & (hue_apart(labs, found.lab) > _ANOTHER_HUE)
    )
    rows = np.flatnonzero(turned)
    if not len(rows):
        return {}
    kept = job.colours.shop.reach.of_same_hue(labs[rows])
    there = hue_apart(labs[rows], kept.lab) <= HUE_KEPT + 1.0
    return {
        int(row): one for row, one, is_there in zip(rows, _colours(kept, job), there, strict=True) if is_there
    }


def colour_uses(job: Job) -> tuple[ColourUse, ...]:
    """The named colours a page prints, in the order of first use."""
    used = job.colours.used
    if not used:
        return ()
    known = {one.colour.name: one for one in job.colours.judged}
    return tuple(_use(job, colour, known.get(colour.name)) for colour in used)


def _use(job: Job, colour: NamedColour, one: Judged | None) -> ColourUse:
    tolerance = job.profile.output.tolerance
    by_percent = {} if one is None else {tint.tint.percent: tint for tint in one.tints}
    tints = tuple(_tint_use(tint, by_percent.get(tint.percent), tolerance) for tint in colour.tints)
    use = ColourUse(
        name=colour.name,
        lab=None if colour.lab is None else _rounded(colour.lab),
        source=colour.said_by,
        certain=colour.source.certain,
        verdict="not known",
        percent=colour.tints[-1].percent,
        tints=tints,
        objects=len(colour.items),
    )
    if one is None:
        return use
    worst = one.worst(tolerance)
    verdict = worst.verdict(tolerance)
    lab = worst.tint.look.lab
    return msgspec.structs.replace(
        use,
        verdict=verdict,
        percent=worst.tint.percent,
        difference=round(worst.difference, 2),
        nearest=worst.nearest,
        same_hue=worst.same_hue,
        reach_ab=_reached(job, lab) if lab is not None and verdict in ("uncertain", "out of reach") else (),
    )


def _tint_use(tint: TintInUse, one: JudgedTint | None, tolerance: float) -> TintUse:
    return TintUse(
        percent=tint.percent,
        lab=None if tint.look.lab is None else _rounded(tint.look.lab),
        source=tint.look.said_by,
        certain=tint.look.certain,
        verdict="not known" if one is None else one.verdict(tolerance),
        nearest=None if one is None else one.nearest,
        same_hue=None if one is None else one.same_hue,
        objects=len(tint.items),
    )


def _rounded(lab: Sequence[float]) -> Lab:
    """Lab as reports give it, to a hundredth."""
    return round(lab[0], 2) + 0.0, round(lab[1], 2) + 0.0, round(lab[2], 2) + 0.0


def _reached(job: Job, lab: Lab) -> tuple[tuple[float, float], ...]:
    outline = job.colours.shop.slices.at(lab[0]).tolist()
    return tuple((round(a, 1) + 0.0, round(b, 1) + 0.0) for a, b in outline)
