"""What every PDF colour space offers: how many numbers, the initial ones, and the paint they make. Reads no file."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from preflight.artwork.model import Color, NoteKind, Paint, PaintKind, Spot

__all__ = ["Colorant", "ColourSpace", "Say", "UnknownSpace"]

Say = Callable[[NoteKind, str, str], None]
"""Writes a note: whose matter, the construct in a word or two, a full sentence."""

Triple = tuple[float, float, float]
Interval = tuple[float, float]
Values = tuple[float, ...]

_PAINTS = 20_000
"""Paints kept for one space, so that a stream of ever new colours does not fill the memory."""


class Colorant(msgspec.Struct, frozen=True):
    """One ink that a space paints with; ``process`` where it is one of the printing process's own."""

    name: str
    process: bool = False


class ColourSpace:
    """One colour space of a page.

    Attributes
    ----------
    name : what the model calls it: ``device-cmyk``, ``icc``, ``lab``, ``separation``, ``pattern`` …
    components : how many numbers a colour has; 0 for patterns and for spaces that could not be read.
    ranges : (low, high) of each; numbers outside are brought inside (ISO 32000-1 8.6).
    initial : the colour that choosing the space sets.
    colorants : the inks of Separation and DeviceN, in order; empty for all others.
    """

    name = ""
    colorants: tuple[Colorant, ...] = ()

    def __init__(self, say: Say, ranges: Sequence[Interval], initial: Sequence[float]) -> None:
        self.ranges = tuple(ranges)
        self.components = len(self.ranges)
        self.initial = tuple(initial)
        self._say = say
        self._paints: dict[Values, Paint] = {}

    def paint(self, values: Sequence[float]) -> Paint:
        """The paint of the numbers a colour operator was given; too few, too many or wild ones are noted."""
        key = tuple(values)
        known = self._paints.get(key)
        if known is None:
            if len(self._paints) >= _PAINTS:
                self._paints.clear()
            known = self._paints[key] = self._painted(self.fitted(key))
        return known

    def color(self, values: Sequence[float]) -> Color:
        """The colour of fitted numbers, as a viewer shows it and as numbers of the space it is shown from."""
        raise NotImplementedError

    def spots(self) -> tuple[Spot, ...]:
        """The named colours that the space defines."""
        return ()

    def fitted(self, values: Sequence[float]) -> Values:
        """As many numbers as the space has, each inside its range."""
        if len(values) != self.components:
            message = f"A colour of {len(values)} numbers is set in a colour space of {self.components} ({self.name})."
            self._say(NoteKind.FAULT, "colour", message)
            values = (*values[: self.components], *self.initial[len(values) :])
        # A number that is none (from a broken function) falls to the low end.
        return tuple(
            low if not value >= low else min(value, high)
            for value, (low, high) in zip(values, self.ranges, strict=True)
        )

    def _painted(self, values: Values) -> Paint:
        return Paint(PaintKind.COLOR, self.color(values))


class UnknownSpace(ColourSpace):
    """Stands for a space that could not be read: any number of values, painted in a colour nobody knows."""

    name = "unknown"

    def __init__(self, say: Say) -> None:
        super().__init__(say, (), ())

    def fitted(self, values: Sequence[float]) -> Values:
        """The numbers as they are."""
        return tuple(values)

    def color(self, values: Sequence[float]) -> Color:
        """Mid grey, as a stand-in on the screen."""
        return Color((0.5, 0.5, 0.5), space=self.name, components=tuple(values))

    def _painted(self, values: Values) -> Paint:
        return Paint(PaintKind.UNKNOWN, self.color(values))
