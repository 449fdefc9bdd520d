"""The named colours that a page prints, each with the colour it stands for. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork import Note, NoteKind, Spot
from preflight.colour.ink_names import ALL, NONE, PROCESS
from preflight.job.colours.shop import Shop, shop_of
from preflight.job.colours.sources import Source, colour_of
from preflight.job.colours.tints import Look, Solid, TintInUse, Use, tints_in_use
from preflight.job.colours.uses import Lab
from preflight.job.naming.assign import named_colours
from preflight.profile.names import nearest_name, normalised

if TYPE_CHECKING:
    from preflight.job.colours.conflicts import Conflict
    from preflight.job.colours.ink_cover import InkCover
    from preflight.job.colours.verdicts import Judged
    from preflight.job.job import Job
    from preflight.job.objects import JobObject

__all__ = ["NamedColour", "NamedColours", "Unknown", "largest_of", "same_name"]

_NO_COLOUR_OF_ITS_OWN = PROCESS | {ALL, NONE}


class NamedColour(msgspec.Struct, frozen=True, eq=False):
    """A named colour in use.

    Attributes
    ----------
    name : as the file writes it.
    spots : its definitions in the file; several where they differ.
    items : the art that prints it, in paint order.
    tints : those that it is printed in, the lightest first; the full one need not be among them.
    lab : Lab D50 of the full tint, None where nothing says.
    source : where that is from. library : name of the library, where it is from one.
    """

    name: str
    spots: tuple[Spot, ...]
    items: tuple[JobObject, ...]
    tints: tuple[TintInUse, ...]
    lab: Lab | None
    source: Source
    library: str | None = None

    @property
    def largest(self) -> JobObject:
        """The object with the largest box that prints it."""
        return largest_of(self.items)

    @property
    def said_by(self) -> str:
        """The source in words."""
        return _words(self.source, self.library)


class Unknown(msgspec.Struct, frozen=True, eq=False):
    """A colour in no library, the name in one that it comes near, and why one that has the name cannot be asked."""

    colour: NamedColour
    near: str | None
    refusal: str | None


class NamedColours:
    """Named colours of the art on the page. Cut steps, marks, white, varnish and process inks are none of them.

    Nor are those of lines that a rule of steps reports as cut lines to be: nobody means to print them.
    """

    def __init__(self, job: Job) -> None:
        self._job = job

    @cached_property
    def shop(self) -> Shop:
        """The shop's libraries and output.

        Raises
        ------
        ProfileError
            A library or the output profile cannot be used.
        """
        return shop_of(self._job.profile)

    @cached_property
    def used(self) -> tuple[NamedColour, ...]:
        """Every name that art on the page is printed in, in the order of first use."""
        defined: dict[str, list[Spot]] = {}
        for spot in self._job.artwork.spots:
            if spot.name not in _NO_COLOUR_OF_ITS_OWN and not self._job.vocabulary.look_up(spot.name):
                defined.setdefault(spot.name, []).append(spot)
        if not defined:
            return ()
        uses: dict[str, list[Use]] = {}
        lines = self._job.suspects.reported
        for item in self._job.content.printing:
            if item.index in lines and not item.object.fill.paints:
                continue
            for paint in (item.object.fill, item.object.stroke.paint):
                for name in named_colours(paint):
                    # A separation at a tint of 0 is laid down nowhere.
                    if name in defined and not (paint.spot == name and paint.tint <= 0.0):
                        uses.setdefault(name, []).append((item, paint))
        return tuple(
            self._known(name, tuple(defined[name]), tuple(own), len(uses)) for name, own in uses.items()
        )

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """Those whose own colour is known, each with the nearest the output reaches."""
        if not self.used:
            return ()
        from preflight.job.colours.verdicts import judged  # only where a page has named colours

        return judged(self._job)

    @cached_property
    def ink_cover(self) -> InkCover:
        """How much ink lies where."""
        from preflight.job.colours.ink_cover import InkCover  # for one rule

        return InkCover(self._job)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What was not judged of all that was asked so far."""
        inks = self.ink_cover.notes if "ink_cover" in self.__dict__ else ()
        return (*self._unread, *inks) if "used" in self.__dict__ else inks

    @property
    def _unread(self) -> tuple[Note, ...]:
        """What libraries hold and is not read, where a colour in use may be among it."""
        if all(colour.library is not None for colour in self.used):
            return ()
        return tuple(
            Note(NoteKind.NOT_MODELLED, "colour library", f"Of the library {what}.")
            for what in self.shop.unread
        )

    def conflicts(self, within: float, alike: float) -> tuple[Conflict, ...]:
        """Names at odds with each other or with themselves; see `conflicts.conflicts`."""
        if not self.used:
            return ()
        from preflight.job.colours.conflicts import conflicts  # only where a page has named colours

        return tuple(conflicts(self, within, alike))

    def spaces(self) -> dict[str, list[JobObject]]:
        """The art by the spaces its colours are given in; see `spaces.SPACES`."""
        from preflight.job.colours.spaces import spaces_in_use

        return spaces_in_use(self._job)

    def unknown(self) -> tuple[Unknown, ...]:
        """Colours that no library of the shop defines; none where the shop has no library."""
        if not self.used or not self.shop.libraries:
            return ()
        return tuple(
            Unknown(colour, self._near(colour.name), self.shop.refusal(colour.name))
            for colour in self.used
            if colour.library is None
        )

    def _near(self, name: str) -> str | None:
        near = nearest_name(name, self.shop.names, most=2)
        return near[0] if near is not None else None

    def _known(self, name: str, spots: tuple[Spot, ...], uses: tuple[Use, ...], colours: int) -> NamedColour:
        defined, library = self.shop.look_up(name), None
        if defined is not None:
            lab: Lab | None = defined.lab
            source, library = Source.LIBRARY, defined.library
        elif spots[0].measured:
            lab, source = spots[0].measured[-1][1], Source.MEASURED
        else:
            lab, source = colour_of(spots[0].alternate, self.shop)
        known = spots[0].measured if defined is None else [(tint.share, tint.lab) for tint in defined.tints]
        solid = Solid(Look(lab, _words(source, library), source.certain), source, tuple(known), spots[0])
        items = tuple({item.index: item for item, _ in uses}.values())
        tints = tints_in_use(name, solid, uses, colours, self.shop)
        return NamedColour(name, spots, items, tints, lab, source, library)


def _words(source: Source, library: str | None) -> str:
    return f"library {library}" if library is not None else str(source)


def largest_of(items: Iterable[JobObject]) -> JobObject:
    """The object with the largest box."""
    return max(items, key=_extent)


def _extent(item: JobObject) -> float:
    if item.box is None:
        return -1.0
    x0, y0, x1, y1 = item.box
    return (x1 - x0) * (y1 - y0) + max(x1 - x0, y1 - y0)


def same_name(names: Iterable[str]) -> dict[str, list[str]]:
    """Names that people would take for one, by what they have in common; lone ones among them."""
    alike: dict[str, list[str]] = {}
    for name in names:
        alike.setdefault(normalised(name), []).append(name)
    return alike
