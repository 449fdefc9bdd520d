"""The named colours of a sheet as the HTML page shows them: swatches, figures, a slice of what the output reaches. Knows no HTML."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from preflight.colour.spaces import lab_to_srgb
from preflight.reports.colours import lab_words
from preflight.reports.report import ColourUse
from preflight.reports.words import printable

__all__ = ["ColourRow", "colour_rows"]


class ColourRow(msgspec.Struct, frozen=True):
    """One colour. Fills are ``#rrggbb`` as a screen shows them, clipped to what it can; None where a colour is not known.

    ``outline``, ``asked_at`` and ``nearest_at`` are places of the drawing, a* to the right and b* up, in units of Lab.
    """

    name: str
    source: str
    lab: str
    verdict: str
    kind: str
    difference: str
    nearest: str
    device: str
    asked_fill: str | None
    nearest_fill: str | None
    outline: str
    asked_at: tuple[float, float] | None
    nearest_at: tuple[float, float] | None
    lightness: str


_KINDS = {"within reach": "clean", "out of reach": "warning", "uncertain": "note", "not known": "unchecked"}


def colour_rows(colours: Sequence[ColourUse]) -> tuple[ColourRow, ...]:
    """The rows of a sheet's table, in the order of first use."""
    return tuple(map(_row, colours))


def _row(colour: ColourUse) -> ColourRow:
    near = colour.nearest
    outline = " ".join(f"{a:.4g},{-b + 0.0:.4g}" for a, b in colour.reach_ab)
    return ColourRow(
        name=printable(colour.name),
        source=printable(colour.source) if colour.source != "nothing" else "nothing says what colour it is",
        lab=lab_words(colour.lab),
        verdict=colour.verdict,
        kind=_KINDS[colour.verdict],
        difference="" if colour.difference is None else f"{colour.difference:.1f}",
        nearest="" if near is None else lab_words(near.lab),
        device="" if near is None else near.recipe,
        asked_fill=_fill(colour.lab),
        nearest_fill=None if near is None else _fill(near.lab),
        outline=outline,
        asked_at=_place(colour.lab) if outline else None,
        nearest_at=_place(near.lab) if near is not None and outline else None,
        lightness="" if colour.lab is None else f"{colour.lab[0]:.0f}",
    )


def _fill(lab: tuple[float, float, float] | None) -> str | None:
    if lab is None:
        return None
    return "#" + "".join(f"{round(255 * min(max(value, 0.0), 1.0)):02x}" for value in lab_to_srgb(lab))


def _place(lab: tuple[float, float, float] | None) -> tuple[float, float] | None:
    return None if lab is None else (round(lab[1], 1), round(-lab[2], 1) + 0.0)
