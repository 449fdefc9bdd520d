"""Colour spaces of PDF that stand on another: Indexed and Pattern (ISO 32000-1 8.6.6.2, 8.6.6.3). Knows no file."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.artwork.model import NO_PAINT, Color, NoteKind, Paint, Spot
from preflight.readers.pdf.colours.colour_space import ColourSpace, Say, Values

__all__ = ["Indexed", "PatternSpace"]


class Indexed(ColourSpace):
    """A table of colours of a base space; a colour is its number in the table.

    Parameters
    ----------
    highest : highest number, 0 to 255.
    table : ``base.components`` bytes for each number; what is missing is 0, and noted.
    """

    name = "indexed"

    def __init__(self, say: Say, base: ColourSpace, highest: int, table: bytes) -> None:
        super().__init__(say, ((0.0, float(highest)),), (0.0,))
        self.base = base
        self.colorants = base.colorants
        self.highest = highest
        wanted = (highest + 1) * base.components
        if len(table) < wanted:
            message = f"The table of an indexed colour space holds {len(table)} bytes where {wanted} belong."
            say(NoteKind.FAULT, "indexed table", message)
        self._table = table[:wanted].ljust(wanted, b"\0")

    def entry(self, values: Sequence[float]) -> Values:
        """The colour of the base space that a number stands for; a broken number is rounded to a whole one."""
        start = int(values[0] + 0.5) * self.base.components
        part = self._table[start : start + self.base.components]
        return tuple(
            low + byte / 255 * (high - low) for byte, (low, high) in zip(part, self.base.ranges, strict=True)
        )

    def color(self, values: Sequence[float]) -> Color:
        """The colour in the base space."""
        return self.base.color(self.entry(values))

    def spots(self) -> tuple[Spot, ...]:
        """Those of the base space."""
        return self.base.spots()

    def _painted(self, values: Values) -> Paint:
        return self.base.paint(self.entry(values))


class PatternSpace(ColourSpace):
    """Patterns; ``base`` is the space of the numbers that colour an uncoloured one, or None."""

    name = "pattern"

    def __init__(self, say: Say, base: ColourSpace | None) -> None:
        super().__init__(say, (), ())
        self.base = base
        self.colorants = base.colorants if base is not None else ()

    def fitted(self, values: Sequence[float]) -> Values:
        """The numbers, for the base space to judge."""
        return tuple(values)

    def color(self, values: Sequence[float]) -> Color:
        """The colour an uncoloured pattern is painted in; black without a base space."""
        return self.base.color(self.base.fitted(values)) if self.base is not None else Color((0.0, 0.0, 0.0))

    def spots(self) -> tuple[Spot, ...]:
        """Those of the base space."""
        return self.base.spots() if self.base is not None else ()

    def _painted(self, values: Values) -> Paint:
        # The initial pattern paints nothing; a chosen one is made by `shadings.pattern_paint`.
        return NO_PAINT
