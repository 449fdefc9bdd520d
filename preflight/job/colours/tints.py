"""Which tints of a named colour the art is printed in, and what each looks like. Knows no limit and no rule.

A tint is a share of the ink that the file asks for by its name; opacity is none. An ink that is mixed with others counts in full, for
how it looks by itself is not seen then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork import Color, Paint, PaintKind, Spot
from preflight.job.colours.sources import Source, colour_of
from preflight.job.colours.uses import FULL, Lab

if TYPE_CHECKING:
    from preflight.job.colours.shop import Shop
    from preflight.job.objects import JobObject

__all__ = ["ASSUMED", "Look", "Solid", "TintInUse", "Use", "tints_in_use"]

Use = tuple["JobObject", Paint]

ASSUMED = "assumed from the full tint"

_MOST = 12
"""Tints of one colour that are told apart: steps of some 8 %, which are next to each other in colour as well."""

_MOST_OF_PAGE = 600
"""The same of all colours of a page together; each has two in any case."""


class Look(msgspec.Struct, frozen=True):
    """What a colour looks like: Lab D50, None where nothing says, and where that is from, in words.

    ``certain`` says whether it is the colour itself, not a stand-in; ``assumed`` whether it was worked out from the full tint.
    """

    lab: Lab | None
    said_by: str
    certain: bool
    assumed: bool = False


class TintInUse(msgspec.Struct, frozen=True, eq=False):
    """A tint, in whole per cent of the ink, what it looks like, and the art that is printed in it."""

    percent: int
    look: Look
    items: tuple[JobObject, ...]


class Solid(msgspec.Struct, frozen=True):
    """A named colour at full tint: its look and where that is from, the tints that were measured, and its first definition in the file."""

    look: Look
    source: Source
    measured: tuple[tuple[float, Lab], ...]
    spot: Spot


def tints_in_use(
    name: str, solid: Solid, uses: Sequence[Use], colours: int, shop: Shop
) -> tuple[TintInUse, ...]:
    """The tints that a named colour is printed in, the lightest first; those near each other together where they are many.

    Parameters
    ----------
    uses : the art whose paints carry the name, each with such a paint.
    colours : how many named colours the page has.
    """
    shown: dict[int, Color | None] = {}
    found: dict[int, dict[int, JobObject]] = {}
    for item, paint in uses:
        for percent, color in _of_paint(name, paint):
            found.setdefault(percent, {})[item.index] = item
            shown[percent] = shown.get(percent) or color
    levels = sorted(found)
    most = max(2, min(_MOST, _MOST_OF_PAGE // max(colours, 1)))
    if len(levels) > most:
        kept = [levels[round(step * (len(levels) - 1) / (most - 1))] for step in range(most)]
        for level in levels:
            near = min(kept, key=lambda one: abs(one - level))
            found[near].update(found[level])
        levels = kept
    return tuple(
        TintInUse(
            level,
            solid.look if level == FULL else _look(level / FULL, shown[level], solid, shop),
            tuple(item for _, item in sorted(found[level].items())),
        )
        for level in levels
    )


def _of_paint(name: str, paint: Paint) -> Iterator[tuple[int, Color | None]]:
    """The tints of a colour that a paint lays down, with what the file shows each in where that is known for this very tint."""
    if paint.spot != name:
        yield FULL, None
        return
    if paint.tint <= 0.0:
        return
    highest = max(1, round(paint.tint * FULL))
    yield highest, paint.color if paint.kind is PaintKind.COLOR else None
    if paint.kind is PaintKind.GRADIENT:
        # It goes through all that lies below, for which these stand.
        yield from ((level, None) for level in (25, 50, 75) if level < highest)


def _look(share: float, shown: Color | None, solid: Solid, shop: Shop) -> Look:
    """What a tint below the full one looks like: as measured, else as the file has it, else as the solid lets assume."""
    if solid.measured and solid.measured[0][0] <= share:
        return Look(_between(share, solid.measured, shop), solid.look.said_by, certain=True)
    if solid.look.lab is None:
        return solid.look
    if solid.measured or solid.source is Source.LIBRARY:
        known = solid.measured or ((1.0, solid.look.lab),)
        return Look(_between(share, known, shop), ASSUMED, certain=False, assumed=True)
    if shown is not None:
        lab, source = colour_of(shown, shop)
        return Look(lab, str(source), source.certain)
    stated = [(at, colour_of(color, shop)[0]) for at, color in solid.spot.tints]
    of_file = tuple((at, lab) for at, lab in stated if lab is not None)
    if of_file:
        return msgspec.structs.replace(solid.look, lab=_between(share, of_file, shop))
    return Look(_between(share, ((1.0, solid.look.lab),), shop), ASSUMED, certain=False, assumed=True)


def _between(share: float, known: tuple[tuple[float, Lab], ...], shop: Shop) -> Lab:
    """Lab of a share between those known, down to what is printed on."""
    from preflight.colour.tint_ramp import ramp  # only where a tint is in use

    if known[0][0] > 0.0:
        known = ((0.0, shop.white), *known)
    lightness, a, b = ramp([share], [at for at, _ in known], [lab for _, lab in known])[0].tolist()
    return lightness, a, b
