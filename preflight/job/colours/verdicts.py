"""Whether the output reaches the named colours of a page, and the nearest it does. Knows no rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import msgspec
import numpy as np

if TYPE_CHECKING:
    from preflight.job.colours.named import NamedColour
    from preflight.job.job import Job

__all__ = ["ColourUse", "Judged", "NearestColour", "Verdict", "colour_uses", "judged"]

Verdict = Literal["within reach", "uncertain", "out of reach", "not known"]


class NearestColour(msgspec.Struct, frozen=True, kw_only=True):
    """The nearest colour the output reaches.

    ``lab`` D50; ``device`` the shares of its channels that give it, per cent, in the order of ``channels``.
    """

    lab: tuple[float, float, float]
    channels: tuple[str, ...]
    device: tuple[float, ...]

    @property
    def recipe(self) -> str:
        """The device values for people: ``C 0 M 75 Y 98 K 0``."""
        return " ".join(
            f"{channel} {share:.0f}" for channel, share in zip(self.channels, self.device, strict=True)
        )


class ColourUse(msgspec.Struct, frozen=True, kw_only=True):
    """A named colour that the page prints, as reports show it.

    ``lab`` is D50, None where nothing says; ``source`` tells where it is from. ``difference`` is ΔE00 to ``nearest``. The verdict is
    uncertain where the difference is closer to the tolerance than the output's colours are known, and not known where
    the file gives nothing but process inks for the colour, or nothing at all. ``objects`` counts the art that is printed in it.
    ``reach_ab`` is the outline, as a* and b*, of what the output reaches at the lightness of a colour that is not within reach.
    """

    name: str
    lab: tuple[float, float, float] | None
    source: str
    verdict: Verdict
    difference: float | None = None
    nearest: NearestColour | None = None
    objects: int = 0
    reach_ab: tuple[tuple[float, float], ...] = ()


class Judged(msgspec.Struct, frozen=True, eq=False):
    """A named colour whose own colour is known, and how near the output comes to it: ``difference`` is ΔE00, ``error`` what it may be off."""

    colour: NamedColour
    difference: float
    error: float
    nearest: NearestColour

    def verdict(self, tolerance: float) -> Verdict:
        """Whether the colour is within reach, for a tolerance in ΔE00."""
        if abs(self.difference - tolerance) <= self.error:
            return "uncertain"
        return "within reach" if self.difference <= tolerance else "out of reach"


def judged(job: Job) -> tuple[Judged, ...]:
    """Every named colour in use whose own colour is known, with the nearest that the output reaches."""
    from preflight.job.colours.named import Source

    asked = [
        colour
        for colour in job.colours.used
        if colour.lab is not None and colour.source is not Source.PROCESS
    ]
    if not asked:
        return ()
    output = job.colours.shop.output
    found = job.colours.shop.reach.nearest(np.array([colour.lab for colour in asked]))
    rows = zip(asked, found.difference.tolist(), found.lab.tolist(), found.device.tolist(), strict=True)
    return tuple(
        Judged(
            colour,
            difference,
            output.error,
            NearestColour(
                lab=_rounded(lab),
                channels=tuple(output.channels),
                device=tuple(round(100.0 * share, 1) + 0.0 for share in device),
            ),
        )
        for colour, difference, lab, device in rows
    )


def colour_uses(job: Job) -> tuple[ColourUse, ...]:
    """The named colours a page prints, in the order of first use."""
    used = job.colours.used
    if not used:
        return ()
    known = {one.colour.name: one for one in job.colours.judged}
    tolerance = job.profile.output.tolerance
    uses = []
    for colour in used:
        one = known.get(colour.name)
        verdict: Verdict = "not known" if one is None else one.verdict(tolerance)
        lab = colour.lab
        uses.append(
            ColourUse(
                name=colour.name,
                lab=None if lab is None else _rounded(lab),
                source=colour.said_by,
                verdict=verdict,
                difference=None if one is None else round(one.difference, 2),
                nearest=None if one is None else one.nearest,
                objects=len(colour.items),
                reach_ab=_reached(job, lab)
                if lab is not None and verdict in ("uncertain", "out of reach")
                else (),
            )
        )
    return tuple(uses)


def _rounded(lab: Sequence[float]) -> tuple[float, float, float]:
    """Lab as reports give it, to a hundredth."""
    return round(lab[0], 2) + 0.0, round(lab[1], 2) + 0.0, round(lab[2], 2) + 0.0


def _reached(job: Job, lab: tuple[float, float, float]) -> tuple[tuple[float, float], ...]:
    outline = job.colours.shop.slices.at(lab[0]).tolist()
    return tuple((round(a, 1) + 0.0, round(b, 1) + 0.0) for a, b in outline)
