"""Named colours as reports show them. Plain data; knows no page and no output."""

from __future__ import annotations

from typing import Literal

import msgspec

__all__ = ["FULL", "ColourUse", "Lab", "NearestColour", "TintUse", "Verdict"]

Lab = tuple[float, float, float]

FULL = 100
"""Per cent: the full tint."""

Verdict = Literal["within reach", "uncertain", "out of reach", "not known"]


class NearestColour(msgspec.Struct, frozen=True, kw_only=True):
    """A colour that the output reaches, the nearest to one asked for.

    ``lab`` D50; ``device`` the shares of its channels that give it, per cent, in the order of ``channels``; ``difference`` the ΔE00 to
    what was asked for.
    """

    lab: Lab
    channels: tuple[str, ...]
    device: tuple[float, ...]
    difference: float

    @property
    def recipe(self) -> str:
        """The device values for people: ``C 0 M 75 Y 98 K 0``."""
        return " ".join(
            f"{channel} {share:.0f}" for channel, share in zip(self.channels, self.device, strict=True)
        )


class TintUse(msgspec.Struct, frozen=True, kw_only=True):
    """A tint, per cent of the ink, in which the page prints a named colour, as reports show it.

    ``lab`` is D50, None where nothing says; ``source`` tells where it is from, and ``certain`` whether it is the colour itself, not a
    stand-in or an assumption. ``nearest`` has the least ΔE00 of all that prints; where it is of plainly another hue,
    ``same_hue`` is the nearest that keeps it. ``objects`` counts the art that is printed in the tint.
    """

    percent: int
    lab: Lab | None
    source: str
    certain: bool
    verdict: Verdict
    nearest: NearestColour | None = None
    same_hue: NearestColour | None = None
    objects: int = 0


class ColourUse(msgspec.Struct, frozen=True, kw_only=True):
    """A named colour that the page prints, as reports show it.

    ``lab`` is D50 of the full tint, None where nothing says; ``source`` tells where it is from, and ``certain`` whether it is the colour itself,
    not a stand-in. ``tints`` are those that the page prints it in, the lightest first; ``verdict``, ``difference`` (ΔE00 to ``nearest``), ``nearest``
    and ``same_hue`` are of the worst of them, ``percent``, as in its own entry. The verdict is uncertain where the difference is closer to the tolerance than
    colours are known, and not known where the file gives nothing but process inks for the colour, or nothing at all. ``objects``
    counts the art that is printed in it. ``reach_ab`` is the outline, as a* and b*, of what the output reaches at the
    lightness of a colour that is not within reach.
    """

    name: str
    lab: Lab | None
    source: str
    certain: bool
    verdict: Verdict
    percent: int = FULL
    difference: float | None = None
    nearest: NearestColour | None = None
    same_hue: NearestColour | None = None
    tints: tuple[TintUse, ...] = ()
    objects: int = 0
    reach_ab: tuple[tuple[float, float], ...] = ()
