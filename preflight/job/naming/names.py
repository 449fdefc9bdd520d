"""Names in the file that the profile does not know, and the known names they come near. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

import msgspec

from preflight.artwork import Kind
from preflight.job.naming.assign import Vocabulary, named_colours
from preflight.job.objects import JobObject
from preflight.job.roles import Role, Route
from preflight.profile.names import normalised, slips

__all__ = ["Slip", "UnknownNames"]


class Slip(msgspec.Struct, frozen=True):
    """A name as the file has it, the known name it comes near, what that stands for, and its objects."""

    name: str
    route: Route
    known: str
    role: Role
    step: str | None
    items: tuple[JobObject, ...]


class UnknownNames:
    """Names of objects that no name gives a role to."""

    def __init__(self, items: tuple[JobObject, ...], vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        # Marks that their shape or place tells of have names of their own that the profile does not know.
        unnamed = (Route.NONE, Route.PLACE, Route.SHAPE)
        self._unassigned = [item for item in items if item.assignment.route in unnamed]
        self._slips: dict[int, tuple[Slip, ...]] = {}

    @cached_property
    def seen(self) -> dict[tuple[Route, str], list[JobObject]]:
        """Every unknown name by how it was given, with its objects, in order of appearance."""
        seen: dict[tuple[Route, str], list[JobObject]] = {}
        # Sheets repeat a few paints and layers thousands of times.
        known: dict[object, tuple[tuple[Route, str], ...]] = {}
        for item in self._unassigned:
            drawn = item.object
            look = (id(drawn.fill), id(drawn.stroke.paint), item.layers, drawn.name, drawn.classes)
            names = known.get(look)
            if names is None:
                names = known[look] = tuple(dict.fromkeys(_names(item)))
            for key in names:
                seen.setdefault(key, []).append(item)
        return seen

    def slips(self, least_letters: int) -> tuple[Slip, ...]:
        """Names one slip away from a known name, both of at least so many letters.

        A slip is a letter left out, put in, changed, or swapped with the next. A name that would make a
        cut counts only if one of its objects is a stroked path without fill: what nobody would cut
        is not a misspelt cut.
        """
        if least_letters not in self._slips:
            self._slips[least_letters] = self._looked_for(least_letters)
        return self._slips[least_letters]

    def _looked_for(self, least_letters: int) -> tuple[Slip, ...]:
        known = {key: name for key, name in self._vocabulary.written.items() if len(key) >= least_letters}
        found: list[Slip] = []
        told: set[int] = set()
        for (route, name), items in self.seen.items():
            fresh = tuple(item for item in items if item.index not in told)
            near = self._near(normalised(name), known, least_letters)
            if near is None or not fresh:
                continue
            role, step = self._vocabulary.names[near]
            if role is Role.CUT and not any(_looks_cut(item) for item in fresh):
                continue
            told.update(item.index for item in fresh)
            found.append(Slip(name, route, known[near], role, step, fresh))
        return tuple(found)

    def _near(self, key: str, known: dict[str, str], least_letters: int) -> str | None:
        if len(key) < least_letters:
            return None
        return next(
            (name for name in known if abs(len(name) - len(key)) <= 1 and slips(key, name, 1) == 1), None
        )


def _names(item: JobObject) -> Iterator[tuple[Route, str]]:
    for paint in (item.object.stroke.paint, item.object.fill):
        for spot in named_colours(paint):
            yield Route.SPOT, spot
    for layer in item.layers:
        if layer:
            yield Route.LAYER, layer
    if item.object.name:
        yield Route.OBJECT, item.object.name
    for name in item.object.classes:
        yield Route.CLASS, name


def _looks_cut(item: JobObject) -> bool:
    drawn = item.object
    return drawn.kind is Kind.PATH and drawn.stroke.paint.paints and not drawn.fill.paints
