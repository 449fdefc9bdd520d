"""The named colours of a page. Knows no content stream."""

from __future__ import annotations

from preflight.artwork.model import Color, Spot
from preflight.readers.pdf.colours.ink_spaces import Definition

__all__ = ["SpotBook"]

_ALIKE = 0.01
"""Part of a component's range that two definitions may differ by and still be one: rounding in files."""
_ALIKE_ON_SCREEN = 0.1
"""The same where one of them is only known from a mixture, in sRGB components 0–1."""
_LAB_RANGE = 100.0


class SpotBook:
    """Named colours in the order met. One name with two definitions is kept as two."""

    def __init__(self) -> None:
        self._known: dict[str, list[Definition]] = {}
        self._order: list[tuple[str, int]] = []

    def add(self, definition: Definition) -> None:
        """Take note of a definition, unless one like it is there."""
        name = definition.spot.name
        known = self._known.setdefault(name, [])
        for place, other in enumerate(known):
            if _alike(definition, other):
                # What a colour looks like by itself says more than what it looks like as part of a mixture.
                if _weight(definition) > _weight(other):
                    known[place] = definition
                return
        self._order.append((name, len(known)))
        known.append(definition)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The named colours, in the order they were first met."""
        return tuple(self._known[name][place].spot for name, place in self._order)


def _weight(definition: Definition) -> tuple[bool, bool, bool]:
    return bool(definition.ramp), definition.own, definition.spot.definition != "device-n colorant"


def _alike(one: Definition, two: Definition) -> bool:
    if not one.ramp or not two.ramp:
        return True  # nothing is known of one of them that could differ
    if not (one.own and two.own):
        return _distance(one.ramp[-1].rgb, two.ramp[-1].rgb) <= _ALIKE_ON_SCREEN
    return all(_same_color(left, right) for left, right in zip(one.ramp, two.ramp, strict=True))


def _same_color(one: Color, two: Color) -> bool:
    if one.space != two.space or len(one.components) != len(two.components):
        return False
    return _distance(one.components, two.components) <= _ALIKE * (_LAB_RANGE if one.space == "lab" else 1.0)


def _distance(one: tuple[float, ...], two: tuple[float, ...]) -> float:
    return max((abs(left - right) for left, right in zip(one, two, strict=True)), default=0.0)
