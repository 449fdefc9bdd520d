"""Gives each object its role and says why. Knows the profile's names, no geometry."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from preflight.artwork import Artwork, Object, Paint
from preflight.colour.ink_names import ALL
from preflight.job.looks import Looks
from preflight.job.naming.screen_colours import ColorKey, color_key, hex_of, key_of_hex
from preflight.job.roles import Assignment, Role, Route
from preflight.profile import Profile
from preflight.profile.names import normalised

__all__ = ["UNASSIGNED", "Vocabulary", "assign", "layer_names"]

UNASSIGNED = Assignment(Role.PRINT, None, Route.NONE)

_GROUP_ROLES = {
    # ISO 19593-1:2018 processing-step groups that are no cuts, by name as the Arlington PDF model lists them.
    "White": Role.WHITE,
    "Varnish": Role.VARNISH,
    "Primer": Role.VARNISH,
    "Dimensions": Role.INFORMATION,
    "Legend": Role.INFORMATION,
    "Braille": Role.INFORMATION,
    "Positions": Role.INFORMATION,
    "PlateMaking": Role.INFORMATION,
}


class Vocabulary(msgspec.Struct, frozen=True):
    """The profile's names, normalised, and what each stands for."""

    names: dict[str, tuple[Role, str | None]]
    strokes: dict[ColorKey, str]
    written: dict[str, str]
    """Normalised name to the name as the profile writes it."""

    @classmethod
    def of(cls, profile: Profile) -> Vocabulary:
        """The names and colours the profile gives to steps, marks and the rest."""
        names: dict[str, tuple[Role, str | None]] = {}
        written: dict[str, str] = {}
        strokes: dict[ColorKey, str] = {}
        for step, table in profile.steps.items():
            for name in (step, *table.names):
                names.setdefault(normalised(name), (Role.CUT, step))
                written.setdefault(normalised(name), name)
            for stroke in table.strokes:
                strokes.setdefault(key_of_hex(stroke), step)
        others = (
            (Role.MARK, profile.marks.names),
            (Role.WHITE, profile.white_names),
            (Role.VARNISH, profile.varnish_names),
            (Role.INFORMATION, profile.information_names),
            (Role.IGNORED, profile.ignored_names),
        )
        for role, known in others:
            for name in known:
                names.setdefault(normalised(name), (role, None))
                written.setdefault(normalised(name), name)
        return cls(names, strokes, written)

    def look_up(self, name: str | None) -> tuple[Role, str | None] | None:
        """Role and step of a name, or None where the profile does not know it."""
        return None if not name else self.names.get(normalised(name))


def assign(artwork: Artwork, vocabulary: Vocabulary, looks: Looks) -> tuple[Assignment, ...]:
    """The role of each object, in paint order. ``looks`` are told apart by names as well."""
    paths = [tuple(layer_names(artwork, index)) for index in range(len(artwork.layers))]
    known: dict[object, Assignment] = {}
    of_look = []
    for item in looks.samples:
        fill, stroke = item.fill, item.stroke.paint
        spots = (fill.spot, stroke.spot, fill.inks, stroke.inks)
        key = (item.layer, item.name, item.classes, spots, _stroke_key(item))
        found = known.get(key)
        if found is None:
            found = known[key] = _assign_one(artwork, item, vocabulary, paths)
        of_look.append(found)
    return tuple(map(of_look.__getitem__, looks.of.tolist()))


def layer_names(artwork: Artwork, layer: int | None) -> Iterator[str]:
    """Names of a layer and those it lies in, innermost first."""
    while layer is not None:
        yield artwork.layers[layer].name
        layer = artwork.layers[layer].parent


def _assign_one(
    artwork: Artwork, item: Object, vocabulary: Vocabulary, paths: list[tuple[str, ...]]
) -> Assignment:
    by_metadata = _from_metadata(artwork, item.layer)
    if by_metadata is not None:
        return by_metadata
    layers = paths[item.layer] if item.layer is not None else ()
    candidates: list[tuple[Route, str | None]] = [
        (Route.SPOT, name) for paint in (item.stroke.paint, item.fill) for name in named_colours(paint)
    ]
    candidates += [(Route.LAYER, name) for name in layers]
    candidates += [(Route.OBJECT, item.name)]
    candidates += [(Route.CLASS, name) for name in item.classes]
    for route, name in candidates:
        found = vocabulary.look_up(name)
        if found is not None:
            return Assignment(found[0], found[1], route, name, name if route is Route.LAYER else None)
    # What prints on every plate is drawn for those who print, unless a name says otherwise.
    if any(name == ALL and tint > 0 for paint in (item.stroke.paint, item.fill) for name, tint in paint.inks):
        return Assignment(Role.MARK, None, Route.SPOT, ALL)
    stroke = _stroke_key(item)
    if stroke is not None and stroke in vocabulary.strokes:
        return Assignment(Role.CUT, vocabulary.strokes[stroke], Route.STROKE, hex_of(stroke))
    return UNASSIGNED


def named_colours(paint: Paint) -> tuple[str, ...]:
    """The names a paint carries: that of its named colour, or of each ink that is mixed in it."""
    if paint.spot:
        return (paint.spot,)
    return tuple(name for name, tint in paint.inks if tint > 0)


def _from_metadata(artwork: Artwork, layer: int | None) -> Assignment | None:
    while layer is not None:
        step, name = artwork.layers[layer].step, artwork.layers[layer].name
        if step is not None:
            named = f"{step.group} {step.type}" if step.type else step.group
            if step.group == "Structural" and step.type:
                return Assignment(Role.CUT, step.type, Route.METADATA, named, name)
            role = _GROUP_ROLES.get(step.group, Role.INFORMATION)
            return Assignment(role, None, Route.METADATA, named, name)
        layer = artwork.layers[layer].parent
    return None


def _stroke_key(item: Object) -> ColorKey | None:
    return color_key(item.stroke.paint.color)
