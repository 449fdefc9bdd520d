"""Names and colours seen in jobs known to be right, for a profile to be proposed from. Judges nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork import Box, Kind, Page
from preflight.colour.ink_names import ALL, NONE
from preflight.job.naming.assign import Vocabulary
from preflight.job.naming.screen_colours import color_key, hex_of
from preflight.job.objects import JobObject
from preflight.job.roles import Role, Route
from preflight.profile.names import nearest_name
from preflight.profile.proposals import Observed

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["observed_names"]

WHITE = (255, 255, 255)

_MARK_SIZE = 15.0
"""mm. Marks are small; larger things of one size near the corners are more likely stickers."""

_SAME_SIZE = 0.1
"""mm. Marks of one set are drawn alike."""

_MARK_SPAN = 0.6
"""Marks stand near the corners: together they span at least this much of the page each way."""

_Key = tuple[str, Route]


def observed_names(jobs: Sequence[Job], thin: float = 0.3) -> tuple[Observed, ...]:
    """Names and stroke colours whose objects all look like cut lines, marks, white or varnish, in order of appearance.

    What the metadata of a layer says of its objects counts before their looks.

    Parameters
    ----------
    thin : mm; a cut line is unfilled and stroked no wider than this.

    A name is taken from the spot colour, the innermost layer, or the object itself; where none of these is
    at hand, the stroke colour stands in, unless lines of that colour are known by their name.
    """
    seen: dict[_Key, list[list[JobObject]]] = {}
    pages: dict[_Key, list[Page]] = {}
    words = jobs[-1].vocabulary if jobs else None
    for job in jobs:
        for key, items in _by_name(job).items():
            seen.setdefault(key, []).append(items)
            pages.setdefault(key, []).append(job.artwork.page)
    named_strokes = _strokes_known_by_name(jobs)
    found = []
    for (name, route), by_page in seen.items():
        every = [item for items in by_page for item in items]
        stated = _stated(every)
        looks = stated[0] if stated else _looks_like(by_page, pages[name, route], thin)
        # A bare colour names cut lines only: the profile takes colours for steps and nothing else.
        if looks is None or (route is Route.STROKE and looks != "cut"):
            continue
        if stated and words is not None and words.look_up(name) is None:
            # The file's own metadata names the step, the profile does not yet.
            found.append(Observed(name, str(route), len(every), looks, None, stated[1]))
        else:
            known = named_strokes.get(name) if route is Route.STROKE else None
            found.append(Observed(name, str(route), len(every), looks, known or _known_as(every)))
    return tuple(_with_suspicions(found, words)) if words else ()


def _strokes_known_by_name(jobs: Sequence[Job]) -> dict[str, str]:
    """Stroke colours of cut lines that a name gives their step, and the step."""
    known: dict[str, str] = {}
    for job in jobs:
        for item in job.items:
            step, color = item.assignment.step, color_key(item.object.stroke.paint.color)
            if step and color is not None and item.assignment.route is not Route.STROKE:
                known.setdefault(hex_of(color), step)
    return known


def _with_suspicions(found: Sequence[Observed], words: Vocabulary) -> Iterator[Observed]:
    """What was found; beside each new name the one it may be a slip of, known or seen on more objects."""
    for one in found:
        near = None
        if one.known_as is None and one.route != Route.STROKE:
            others = [
                other.name for other in found if other.objects > one.objects and other.route != Route.STROKE
            ]
            near = nearest_name(one.name, [*words.written.values(), *others])
        if near is None:
            yield one
            continue
        role, step = words.look_up(near[0]) or (None, None)
        meant = step if role is Role.CUT and one.looks_like == "cut" else None
        yield msgspec.structs.replace(one, near=near[0], near_step=meant)


def _stated(items: list[JobObject]) -> tuple[str, str | None] | None:
    """What the objects are by the metadata of their layers, and their step if they are cuts; None where it is not said of all."""
    kinds = {
        (item.assignment.role, item.assignment.step) if item.assignment.route is Route.METADATA else None
        for item in items
    }
    only = kinds.pop() if len(kinds) == 1 else None
    if only is None or only[0] not in (Role.CUT, Role.WHITE, Role.VARNISH):
        return None
    return str(only[0]), only[1]


def _by_name(job: Job) -> dict[_Key, list[JobObject]]:
    named: dict[_Key, list[JobObject]] = {}
    for item in job.items:
        key = _key(item) if item.object.kind is Kind.PATH and item.object.drawn else None
        if key is not None:
            named.setdefault(key, []).append(item)
    return named


def _key(item: JobObject) -> _Key | None:
    stroke, fill = item.object.stroke.paint, item.object.fill
    for paint in (stroke, fill):
        # What prints on every plate, and what never shows, names nothing.
        if paint.spot and paint.spot not in (ALL, NONE):
            return paint.spot, Route.SPOT
    if item.layers:
        return item.layers[0], Route.LAYER
    if item.object.name:
        return item.object.name, Route.OBJECT
    color = color_key(stroke.color)
    return None if color is None else (hex_of(color), Route.STROKE)


def _looks_like(by_page: list[list[JobObject]], pages: list[Page], thin: float) -> str | None:
    every = [item for items in by_page for item in items]
    seen = all(item.assignment.route is Route.SHAPE for item in every)
    if seen or all(_marks(items, page) for items, page in zip(by_page, pages, strict=True)):
        return "mark"
    if all(_looks_cut(item, thin) for item in every):
        return "cut"
    return "white" if all(_looks_white(item) for item in every) else None


def _looks_cut(item: JobObject, thin: float) -> bool:
    drawn = item.object
    return drawn.stroke.paint.paints and not drawn.fill.paints and drawn.stroke.width <= thin


def _looks_white(item: JobObject) -> bool:
    drawn = item.object
    return drawn.fill.paints and not drawn.stroke.paint.paints and color_key(drawn.fill.color) == WHITE


def _marks(items: list[JobObject], page: Page) -> bool:
    """Whether these are four small filled things of one size, one near each corner of the page."""
    boxes: list[Box] = [item.box for item in items if item.box is not None and item.object.fill.paints]
    if len(boxes) != len(items) or len(boxes) != 4:
        return False
    sizes = [side for x0, y0, x1, y1 in boxes for side in (x1 - x0, y1 - y0)]
    centres = [((x0 + x1) / 2, (y0 + y1) / 2) for x0, y0, x1, y1 in boxes]
    middle_x, middle_y = sum(x for x, _ in centres) / 4, sum(y for _, y in centres) / 4
    quarters = {(x < middle_x, y < middle_y) for x, y in centres}
    wide = max(x for x, _ in centres) - min(x for x, _ in centres)
    high = max(y for _, y in centres) - min(y for _, y in centres)
    return (
        max(sizes) <= _MARK_SIZE
        and all(abs(one - other) <= _SAME_SIZE for one, other in zip(sizes[:2] * 3, sizes[2:], strict=True))
        and len(quarters) == 4
        and wide >= _MARK_SPAN * page.width
        and high >= _MARK_SPAN * page.height
    )


def _known_as(items: Sequence[JobObject]) -> str | None:
    """The step or role that names give all of them already; None where one has none, or only by its shape or place."""
    unnamed = (Route.NONE, Route.PLACE, Route.SHAPE)
    if any(item.assignment.role is Role.PRINT or item.assignment.route in unnamed for item in items):
        return None
    return items[-1].assignment.step or str(items[-1].assignment.role)
