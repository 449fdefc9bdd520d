"""Named colours that contradict each other: one name with two colours, or one colour under two names. Knows no rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

import msgspec
import numpy as np

from preflight.job.colours.named import NamedColour, same_name
from preflight.job.colours.sources import Source, colour_of
from preflight.job.colours.uses import Lab

if TYPE_CHECKING:
    from preflight.job.colours.named import NamedColours

__all__ = ["Conflict", "conflicts"]

_LIGHTER = 1.75
"""L* for each ΔE00, at most: S_L of CIEDE2000 at its ends, 1 + 0.015 · 50² / √(20 + 50²)."""

Kind = Literal["defined twice", "spelt twice", "unlike its library", "one colour"]


class Conflict(msgspec.Struct, frozen=True, eq=False):
    """Two named colours at odds, or one with itself.

    ``first`` and ``second`` are the same where one name is defined twice or unlike its library. ``difference`` is ΔE00, None
    for two spellings, which are at odds however near their colours are.
    """

    kind: Kind
    first: NamedColour
    second: NamedColour
    difference: float | None


def conflicts(colours: NamedColours, within: float, alike: float) -> Iterator[Conflict]:
    """Every conflict of a page.

    Parameters
    ----------
    within : ΔE00 up to which two definitions of one name are taken for the same.
    alike : ΔE00 up to which two names are taken for one colour.
    """
    for colour in colours.used:
        yield from _with_itself(colours, colour, within)
    by_name = {colour.name: colour for colour in colours.used}
    spellings = same_name(by_name)
    for names in spellings.values():
        for second in names[1:]:
            yield Conflict("spelt twice", by_name[names[0]], by_name[second], None)
    yield from _one_colour([by_name[names[0]] for names in spellings.values()], alike)


def _with_itself(colours: NamedColours, colour: NamedColour, within: float) -> Iterator[Conflict]:
    known = [(spot, *colour_of(spot.alternate, colours.shop)) for spot in colour.spots]
    labs = [lab for _, lab, _ in known if lab is not None]
    if len(labs) > 1:
        # The reader keeps two definitions only where they differ; how much they do is judged here.
        worst = _most_apart(labs, labs)
        if worst > within:
            yield Conflict("defined twice", colour, colour, worst)
            return
    if colour.library is None or colour.lab is None:
        return
    # Measurements and Lab claim to be the colour itself: process inks and screens are stand-ins that differ by nature.
    claimed = [lab for _, lab, source in known if source is Source.LAB and lab is not None]
    claimed += [spot.measured[-1][1] for spot in colour.spots if spot.measured]
    off = _most_apart(claimed, [colour.lab])
    if off > within:
        yield Conflict("unlike its library", colour, colour, off)


def _one_colour(colours: list[NamedColour], alike: float) -> Iterator[Conflict]:
    """Different names whose colours, known from as good a source, are the same."""
    from preflight.colour.difference import table  # only where a page has named colours

    for source in Source:
        own = [colour for colour in colours if colour.source is source and colour.lab is not None]
        if source is Source.NOTHING or len(own) < 2:
            continue
        labs = np.array([colour.lab for colour in own])
        for row in range(1, len(own)):
            near = np.flatnonzero(np.abs(labs[:row, 0] - labs[row, 0]) <= _LIGHTER * alike)
            if not len(near):
                continue
            differences = table(labs[row], labs[near])[0]
            best = int(differences.argmin())
            if differences[best] <= alike:
                yield Conflict("one colour", own[near[best]], own[row], float(differences[best]))


def _most_apart(first: list[Lab], second: list[Lab]) -> float:
    from preflight.colour.difference import table

    return float(table(first, second).max(initial=0.0))
