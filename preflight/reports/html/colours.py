"""The named colours of a sheet as the HTML page shows them: swatches, figures, a slice of what the output reaches. Knows no HTML."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from preflight.colour.spaces import lab_to_srgb
from preflight.job.colours.uses import FULL
from preflight.reports.colours import lab_words
from preflight.reports.report import ColourUse, TintUse
from preflight.reports.words import printable

__all__ = ["ColourRow", "colour_rows"]


class ColourRow(msgspec.Struct, frozen=True):
    """One colour, or one of its tints. Fills are ``#rrggbb`` as a screen shows them, clipped to what it can; None where a colour is not known.

    ``same_hue`` is the recipe of the nearest of the same hue, with its difference, where the very nearest is of another. ``outline``, ``asked_at`` and ``nearest_at`` are places of the drawing, a* to the right and b* up, in units of Lab.
    """

    name: str
    source: str
    lab: str
    verdict: str
    kind: str
    difference: str
    nearest: str
    device: str
    same_hue: str
    asked_fill: str | None
    nearest_fill: str | None
    outline: str
    asked_at: tuple[float, float] | None
    nearest_at: tuple[float, float] | None
    lightness: str
    is_tint: bool = False


_KINDS = {"within reach": "clean", "out of reach": "warning", "uncertain": "note", "not known": "unchecked"}


def colour_rows(colours: Sequence[ColourUse]) -> tuple[ColourRow, ...]:
    """The rows of a sheet's table, in the order of first use; tints follow their colour where the page prints others than the full one."""
    return tuple(row for colour in colours for row in _rows(colour))


def _rows(colour: ColourUse) -> Iterator[ColourRow]:
    source = colour.source if colour.source != "nothing" else "nothing says what colour it is"
    if [tint.percent for tint in colour.tints] == [FULL]:
        yield _row(printable(colour.name), source, colour.tints[0], colour.reach_ab)
        return
    plain = TintUse(
        percent=FULL, lab=colour.lab, source=source, certain=colour.certain, verdict=colour.verdict
    )
    yield _row(printable(colour.name), source, plain)
    for tint in colour.tints:
        source = tint.source if tint.source != colour.source else ""
        reach = colour.reach_ab if tint.percent == colour.percent else ()
        yield msgspec.structs.replace(_row(f"{tint.percent} %", source, tint, reach), is_tint=True)


def _row(name: str, source: str, tint: TintUse, reach: tuple[tuple[float, float], ...] = ()) -> ColourRow:
    near, kept = tint.nearest, tint.same_hue
    outline = " ".join(f"{a:.4g},{-b + 0.0:.4g}" for a, b in reach)
    return ColourRow(
        name=name,
        source=printable(source),
        lab=lab_words(tint.lab),
        verdict=tint.verdict,
        kind=_KINDS[tint.verdict],
        difference="" if near is None else f"{near.difference:.1f}",
        nearest="" if near is None else lab_words(near.lab),
        device="" if near is None else near.recipe,
        same_hue="" if kept is None else f"{kept.recipe}, {kept.difference:.1f} off",
        asked_fill=_fill(tint.lab),
        nearest_fill=None if near is None else _fill(near.lab),
        outline=outline,
        asked_at=_place(tint.lab) if outline else None,
        nearest_at=_place(near.lab) if near is not None and outline else None,
        lightness="" if tint.lab is None else f"{tint.lab[0]:.0f}",
    )


def _fill(lab: tuple[float, float, float] | None) -> str | None:
    if lab is None:
        return None
    return "#" + "".join(f"{round(255 * min(max(value, 0.0), 1.0)):02x}" for value in lab_to_srgb(lab))


def _place(lab: tuple[float, float, float] | None) -> tuple[float, float] | None:
    return None if lab is None else (round(lab[1], 1), round(-lab[2], 1) + 0.0)
