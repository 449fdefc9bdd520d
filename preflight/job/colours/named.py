"""The named colours that a page prints, each with the colour it stands for. Knows no limit and no rule."""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork import Color, Note, Spot
from preflight.colour.ink_names import ALL, NONE, PROCESS
from preflight.colour.spaces import srgb_to_lab
from preflight.job.colours.shop import Shop, shop_of
from preflight.job.naming.assign import named_colours
from preflight.profile.names import nearest_name, normalised

if TYPE_CHECKING:
    from preflight.job.colours.conflicts import Conflict
    from preflight.job.colours.ink_cover import InkCover
    from preflight.job.colours.verdicts import Judged
    from preflight.job.job import Job
    from preflight.job.objects import JobObject

__all__ = ["NamedColour", "NamedColours", "Source", "Unknown", "same_name"]

Lab = tuple[float, float, float]

_NO_COLOUR_OF_ITS_OWN = PROCESS | {ALL, NONE}


class Source(StrEnum):
    """Where the colour that a name stands for is known from, the surest first."""

    LIBRARY = "library"
    LAB = "Lab in the file"
    SCREEN = "screen colour in the file"
    PROCESS = "process inks in the file"
    """A stand-in that the output reaches by itself: it says nothing of the colour that is meant."""
    NOTHING = "nothing"


class NamedColour(msgspec.Struct, frozen=True, eq=False):
    """A named colour in use.

    Attributes
    ----------
    name : as the file writes it.
    spots : its definitions in the file; several where they differ.
    items : the art that prints it, in paint order.
    lab : Lab D50, None where nothing says.
    source : where that is from. library : name of the library, where it is from one.
    """

    name: str
    spots: tuple[Spot, ...]
    items: tuple[JobObject, ...]
    lab: Lab | None
    source: Source
    library: str | None = None

    @property
    def largest(self) -> JobObject:
        """The object with the largest box that prints it."""
        return max(self.items, key=_extent)

    @property
    def said_by(self) -> str:
        """The source in words."""
        return f"library {self.library}" if self.library is not None else str(self.source)


class Unknown(msgspec.Struct, frozen=True, eq=False):
    """A colour in no library, the name in one that it comes near, and why one that has the name cannot be asked."""

    colour: NamedColour
    near: str | None
    refusal: str | None


class NamedColours:
    """Named colours of the art on the page. Cut steps, marks, white, varnish and process inks are none of them."""

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
        items: dict[str, list[JobObject]] = {}
        for item in self._job.content.printing:
            for name in dict.fromkeys(
                name
                for paint in (item.object.fill, item.object.stroke.paint)
                for name in named_colours(paint)
            ):
                if name in defined:
                    items.setdefault(name, []).append(item)
        return tuple(self._known(name, tuple(defined[name]), tuple(own)) for name, own in items.items())

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """Those whose own colour is known, each with the nearest the output reaches."""
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
        return self.ink_cover.notes if "ink_cover" in self.__dict__ else ()

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

    def _known(self, name: str, spots: tuple[Spot, ...], items: tuple[JobObject, ...]) -> NamedColour:
        found = self.shop.look_up(name)
        if found is not None:
            return NamedColour(name, spots, items, found.lab, Source.LIBRARY, found.library)
        lab, source = self.colour_of(spots[0].alternate)
        return NamedColour(name, spots, items, lab, source)

    def colour_of(self, color: Color | None) -> tuple[Lab | None, Source]:
        """Lab D50 of a colour as the file gives it, and how far it can be believed."""
        if color is None:
            return None, Source.NOTHING
        numbers = color.components
        match color.space:
            case "lab" if len(numbers) == 3:
                return (numbers[0], numbers[1], numbers[2]), Source.LAB
            case "lch" if len(numbers) == 3:
                angle = math.radians(numbers[2])
                return (numbers[0], numbers[1] * math.cos(angle), numbers[1] * math.sin(angle)), Source.LAB
            # Four numbers by a profile in the file are process inks as well, for which press is not looked into.
            case "device-cmyk" | "icc" if len(numbers) == 4:
                return self.shop.lab_of_inks(numbers), Source.PROCESS
            case "device-gray" if len(numbers) == 1:
                return self.shop.lab_of_inks((0.0, 0.0, 0.0, 1.0 - numbers[0])), Source.PROCESS
            case "unknown":
                return None, Source.NOTHING
        return srgb_to_lab(color.rgb), Source.SCREEN


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
