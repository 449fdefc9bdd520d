"""Names and colours seen in jobs known to be right, for a profile to be proposed from. Judges nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from preflight.artwork import Kind
from preflight.profile.proposals import Observed

from .assign import color_key
from .objects import JobObject
from .roles import Role, Route

if TYPE_CHECKING:
    from .job import Job

__all__ = ["observed_names"]


def observed_names(jobs: Sequence[Job], thin: float = 0.3) -> tuple[Observed, ...]:
    """Names and stroke colours whose objects all look like cut lines, in order of appearance.

    Parameters
    ----------
    thin : mm; a cut line is unfilled and stroked no wider than this.

    A name is taken from the spot colour, the innermost layer, or the object itself; where none of these is
    at hand, the stroke colour stands in.
    """
    looks: dict[tuple[str, Route], list[bool]] = {}
    known: dict[tuple[str, Route], str | None] = {}
    for job in jobs:
        for item in job.items:
            if item.object.kind is not Kind.PATH or not item.object.drawn:
                continue
            key = _key(item)
            if key is not None:
                looks.setdefault(key, []).append(_looks_cut(item, thin))
                known[key] = _known_as(item)
    return tuple(
        Observed(name, str(route), len(cuts), "cut", known[name, route])
        for (name, route), cuts in looks.items()
        if all(cuts)
    )


def _key(item: JobObject) -> tuple[str, Route] | None:
    stroke = item.object.stroke.paint
    if stroke.spot:
        return stroke.spot, Route.SPOT
    if item.layers:
        return item.layers[0], Route.LAYER
    if item.object.name:
        return item.object.name, Route.OBJECT
    color = color_key(stroke.color)
    return None if color is None else ("#{:02x}{:02x}{:02x}".format(*color), Route.STROKE)


def _looks_cut(item: JobObject, thin: float) -> bool:
    drawn = item.object
    return drawn.stroke.paint.paints and not drawn.fill.paints and drawn.stroke.width <= thin


def _known_as(item: JobObject) -> str | None:
    role = item.assignment.role
    return None if role is Role.PRINT else item.assignment.step or str(role)
