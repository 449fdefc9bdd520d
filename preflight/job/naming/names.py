"""Names in the file that the profile does not know, and the known names they come near. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.artwork import Kind, Object
from preflight.geometry.clusters import members
from preflight.geometry.outlines import Integers
from preflight.job.naming.assign import named_colours
from preflight.job.objects import JobObject
from preflight.job.roles import Role, Route
from preflight.profile.names import normalised, slips

if TYPE_CHECKING:
    from preflight.job.job import Job

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

    def __init__(self, job: Job) -> None:
        self._job = job
        self._slips: dict[int, tuple[Slip, ...]] = {}

    @cached_property
    def _unassigned(self) -> Integers:
        """(k,) objects by index."""
        # Marks that their shape or place tells of have names of their own that the profile does not know.
        unnamed = (Route.NONE, Route.PLACE, Route.SHAPE)
        return np.flatnonzero([one.route in unnamed for one in self._job.assignments])

    @cached_property
    def _seen(self) -> dict[tuple[Route, str], list[int]]:
        """Every unknown name by how it was given, in order of appearance, with the looks of its objects."""
        looks, layers = self._job.named_looks, self._job.layers
        seen: dict[tuple[Route, str], list[int]] = {}
        # Sheets repeat a few paints and layers thousands of times, and their names with them.
        for look in dict.fromkeys(looks.of[self._unassigned].tolist()):
            drawn = looks.samples[look]
            for key in dict.fromkeys(_names(drawn, () if drawn.layer is None else layers[drawn.layer])):
                seen.setdefault(key, []).append(look)
        return seen

    def _having(self, looks: list[int]) -> list[JobObject]:
        """The objects that have one of some looks, in paint order."""
        rows = np.sort(np.concatenate([self._of_look[look] for look in looks]))
        return self._job.items_at(self._unassigned[rows])

    @cached_property
    def _of_look(self) -> list[Integers]:
        looks = self._job.named_looks
        return members(looks.of[self._unassigned], len(looks.samples))

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
        vocabulary = self._job.vocabulary
        known = {key: name for key, name in vocabulary.written.items() if len(key) >= least_letters}
        found: list[Slip] = []
        told: set[int] = set()
        for (route, name), looks in self._seen.items():
            near = self._near(normalised(name), known, least_letters)
            if near is None:
                continue
            fresh = tuple([item for item in self._having(looks) if item.index not in told])
            if not fresh:
                continue
            role, step = vocabulary.names[near]
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


def _names(drawn: Object, layers: Iterable[str]) -> Iterator[tuple[Route, str]]:
    for paint in (drawn.stroke.paint, drawn.fill):
        for spot in named_colours(paint):
            yield Route.SPOT, spot
    for layer in layers:
        if layer:
            yield Route.LAYER, layer
    if drawn.name:
        yield Route.OBJECT, drawn.name
    for name in drawn.classes:
        yield Route.CLASS, name


def _looks_cut(item: JobObject) -> bool:
    drawn = item.object
    return drawn.kind is Kind.PATH and drawn.stroke.paint.paints and not drawn.fill.paints
