"""Colour spaces that name their inks: Separation and DeviceN (ISO 32000-1 8.6.6.4, 8.6.6.5). Knows no file.

The named inks are what prints. The alternate space and the tint transform only say what they look like.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import msgspec

from preflight.artwork.model import Color, NoteKind, Origin, Paint, PaintKind, Spot
from preflight.colour.ink_names import ALL, NONE
from preflight.readers.pdf.colours.colour_space import Colorant, ColourSpace, Say, Values
from preflight.readers.pdf.functions.reading import Function, FunctionError

__all__ = ["Definition", "InkSpace", "MixingHints", "NamedInks", "named_inks"]

_UNSEEN = Paint(PaintKind.NONE, spot=NONE)
"""Painted with the separation None: nothing, though the file says so in so many words."""

_RAMP = (0.25, 0.5, 0.75, 1.0)
"""Tints at which a definition is looked at, and by which two of one name are compared."""
_RAMPED = 64
"""Inks of one space up to which each is worked out by itself; the standard sets 32 (annex C)."""


class Definition(msgspec.Struct, frozen=True):
    """What one space says a named colour looks like.

    Attributes
    ----------
    spot : the named colour at full tint.
    ramp : its colours at a few tints, the full one last; empty where the alternate is broken.
    own : whether the colorant was defined by itself, not only together with others.
    """

    spot: Spot
    ramp: tuple[Color, ...]
    own: bool


class MixingHints(msgspec.Struct, frozen=True):
    """How inks look over one another, for a preview (8.6.6.5, table 73): nothing that prints differently."""

    solidities: dict[str, float]
    printing_order: tuple[str, ...]


class InkSpace(ColourSpace):
    """Separation (one ink) or DeviceN (several).

    Attributes
    ----------
    alternate : the space the tint transform leads to, or None where it is broken.
    nchannel : a DeviceN space of subtype NChannel.
    hints : its mixing hints, or None.
    """

    def __init__(
        self,
        say: Say,
        name: str,
        colorants: Sequence[Colorant],
        alternate: ColourSpace | None,
        transform: Function | None,
        origin: Origin | None = None,
    ) -> None:
        count = len(colorants)
        super().__init__(say, ((0.0, 1.0),) * count, (1.0,) * count)
        self.name = name
        self.colorants = tuple(colorants)
        self.alternate = alternate if transform is not None else None
        self.nchannel = False
        self.hints: MixingHints | None = None
        self.origin = origin
        self._transform = transform
        self._own: Mapping[str, InkSpace] = {}
        self._is_all = name == "separation" and colorants[0].name == ALL

    def set_own_definitions(self, spaces: Mapping[str, InkSpace]) -> None:
        """The Separation that a DeviceN space gives for each colorant by itself (its Colorants attribute)."""
        self._own = spaces

    def color(self, values: Sequence[float]) -> Color:
        """What the inks look like: a colour of the alternate space. All is shown as grey, darker with the tint."""
        if self._is_all:
            return _grey(1 - values[0], "device-gray")
        return self._look(values) or _grey(1 - max(values, default=0.0), "unknown")

    def _look(self, values: Sequence[float]) -> Color | None:
        """The colour of the alternate space, or None where it cannot be worked out, which is noted."""
        if self.alternate is None or self._transform is None:
            return None
        try:
            found = self._transform(values).tolist()
        except FunctionError as error:
            names = ", ".join(f"“{ink.name}”" for ink in self.colorants[:4])
            message = f"The look of {names} cannot be worked out: {error}. It is shown in grey."
            self._say(NoteKind.FAULT, "tint transform", message)
            return None
        return self.alternate.color(self.alternate.fitted(tuple(found[: self.alternate.components])))

    def _painted(self, values: Values) -> Paint:
        named = named_inks(self.colorants, values)
        if named is None:
            return _UNSEEN
        return Paint(PaintKind.COLOR, self.color(values), named.spot, named.tint, inks=named.inks)

    def spots(self) -> tuple[Spot, ...]:
        """The named colours, ``None`` left out."""
        return tuple(definition.spot for definition in self.definitions())

    def definitions(self) -> tuple[Definition, ...]:
        """What the space says about each of its colorants."""
        return tuple(
            self._defined(place, ink) for place, ink in enumerate(self.colorants) if ink.name != NONE
        )

    def _defined(self, place: int, ink: Colorant) -> Definition:
        alone = len(self.colorants) == 1
        own = self._own.get(ink.name)
        how = "separation" if self.name == "separation" else "device-n colorant"
        if self._is_all:
            how = "all colorants"
        elif ink.process:
            how = "process colorant"
        ramp = own.ramp(0) if own is not None else self.ramp(place)
        tints = tuple(zip(_RAMP, ramp, strict=True)) if ramp else ()
        spot = Spot(ink.name, how, ramp[-1] if ramp else None, self.origin, tints)
        return Definition(spot, ramp, own=alone or own is not None)

    def ramp(self, place: int) -> tuple[Color, ...]:
        """The colours of one colorant by itself, at the tints of `_RAMP`; empty where they are not known."""
        if self._is_all:
            return tuple(self.color((tint,)) for tint in _RAMP)
        if self.components > _RAMPED:
            return ()
        nothing = [0.0] * self.components
        colors = [self._look([*nothing[:place], tint, *nothing[place + 1 :]]) for tint in _RAMP]
        return tuple(color for color in colors if color is not None) if None not in colors else ()


class NamedInks(NamedTuple):
    """How a paint names its inks: ``spot`` and its tint where one named colour alone is laid down, and all of them."""

    spot: str | None
    tint: float
    inks: tuple[tuple[str, float], ...]


def named_inks(colorants: Sequence[Colorant], tints: Sequence[float]) -> NamedInks | None:
    """The inks of a paint. None where all of them are None, which paints nothing, not even a knock-out.

    A colour made of several inks has no name of its own, and one of process ink is no named colour.
    """
    # ISO 32000-1, 8.6.6.4 and 8.6.6.5: None "never produces any visible output".
    tinted = [(ink, tint) for ink, tint in zip(colorants, tints, strict=True) if ink.name != NONE]
    if not tinted:
        return None
    inks = tuple((ink.name, tint) for ink, tint in tinted)
    laid = [pair for pair in tinted if pair[1] > 0] or tinted
    if len(laid) > 1 or laid[0][0].process:
        return NamedInks(None, 1.0, inks)
    return NamedInks(laid[0][0].name, laid[0][1], inks)


def _grey(lightness: float, space: str) -> Color:
    return Color((lightness, lightness, lightness), space=space, components=(lightness,))
