"""Every shape of the document before it is curves: collected one by one, made into curves all at once.

Knows no element and no style.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preflight.geometry import pathdata
from preflight.geometry.outlines import Outlines
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits

__all__ = ["Curves"]

_LONGEST_SEGMENT = 64
"""Characters of path data a segment may take on average before the count of segments is sure to be above its
limit; two characters make the shortest, so nothing the exact count would allow is refused."""


class Curves:
    """Shapes by number, in the order met; equal path data is one shape."""

    def __init__(self, limits: Limits, deadline: Deadline) -> None:
        self._limits = limits
        self._deadline = deadline
        self._count = 0
        self._texts: list[str] = []
        self._text_numbers: list[int] = []
        self._known: dict[str, int] = {}
        self._ellipses: list[tuple[float, float, float, float]] = []
        self._ellipse_numbers: list[int] = []
        self._rectangles: list[tuple[float, float, float, float]] = []
        self._rectangle_numbers: list[int] = []
        self._built = Outlines.empty()
        self.faults: dict[int, str] = {}
        """What is wrong with the path data of a shape, by its number; known once it is built."""

    def path(self, text: str) -> int:
        """Number of the shape some path data draws."""
        number = self._known.get(text)
        if number is None:
            number = self._known[text] = self._count
            self._count += 1
            self._texts.append(text)
            self._text_numbers.append(number)
        return number

    def texts(self, numbers: Sequence[int]) -> list[str]:
        """The path data of shapes that were given as such."""
        wanted = set(numbers)
        found = {number: text for text, number in self._known.items() if number in wanted}
        return [found[number] for number in numbers]

    def ellipse(self, cx: float, cy: float, rx: float, ry: float) -> int:
        """Number of an ellipse; both radii are above zero."""
        self._ellipses.append((cx, cy, rx, ry))
        self._ellipse_numbers.append(self._count)
        self._count += 1
        return self._count - 1

    def rectangle(self, x: float, y: float, width: float, height: float) -> int:
        """Number of a rectangle with square corners; both sides are above zero."""
        self._rectangles.append((x, y, width, height))
        self._rectangle_numbers.append(self._count)
        self._count += 1
        return self._count - 1

    def box(self, x0: float, y0: float, x1: float, y1: float) -> int:
        """Number of a rectangle by two corners; one without room is flat."""
        if x1 > x0 and y1 > y0:
            return self.rectangle(x0, y0, x1 - x0, y1 - y0)
        return self.path(f"M{x0!r} {y0!r}H{x1!r}V{y1!r}H{x0!r}z")

    def built(self) -> Outlines:
        """The curves of all shapes, an object each, in user units. What is built already is not built again.

        Raises
        ------
        Unreadable
            Far more path data than the limit on segments allows.
        """
        done = self._built.object_count
        if done == self._count:
            return self._built
        if sum(map(len, self._texts)) > _LONGEST_SEGMENT * self._limits.path_segments:
            raise Unreadable(
                f"The path data is longer than {self._limits.path_segments:,} segments can be",
                None,
                "Simplify the artwork, or raise [limits] path_segments in the profile.",
            )
        with np.errstate(over="ignore", invalid="ignore"):
            try:
                parsed = pathdata.parse(self._texts, self._limits.path_segments)
            except pathdata.TooManySegmentsError as many:
                raise Unreadable(
                    f"The page holds {many.count:,} segments or more, above the limit of {self._limits.path_segments:,}",
                    None,
                    "Simplify the artwork, or raise [limits] path_segments in the profile.",
                ) from many
            kinds = [parsed.outlines]
            if self._ellipses or self._rectangles:
                from preflight.geometry import shapes

                for made, given in (
                    (shapes.ellipses, self._ellipses),
                    (shapes.rectangles, self._rectangles),
                ):
                    sizes = np.array(given).reshape(-1, 4)
                    kinds.append(made(sizes[:, :2], sizes[:, 2:]))
        self._deadline.check()
        for error in parsed.errors:
            self.faults[self._text_numbers[error.path]] = (
                f"the path data breaks off at character {error.offset + 1} ({error.message}); drawn up to there"
            )
        numbers = [*self._text_numbers, *self._ellipse_numbers, *self._rectangle_numbers]
        new = Outlines.joined(kinds) if len(kinds) > 1 else kinds[0]
        if len(kinds) > 1:
            new = new.of_objects(np.argsort(np.array(numbers, np.intp)))
        self._built = Outlines.joined([self._built, new]) if done else new
        for taken in (self._texts, self._text_numbers, self._ellipses, self._ellipse_numbers):
            taken.clear()
        self._rectangles.clear()
        self._rectangle_numbers.clear()
        return self._built
