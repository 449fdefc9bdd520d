"""Where the colour that a name stands for is known from, and what a colour of the file is in Lab. Knows no name and no page."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import TYPE_CHECKING

from preflight.artwork import Color
from preflight.colour.spaces import srgb_to_lab
from preflight.job.colours.uses import Lab

if TYPE_CHECKING:
    from preflight.job.colours.shop import Shop

__all__ = ["Source", "colour_of"]


class Source(StrEnum):
    """Where the colour that a name stands for is known from, the surest first."""

    LIBRARY = "library"
    MEASURED = "measured in the file"
    LAB = "Lab in the file"
    SCREEN = "screen colour in the file"
    PROCESS = "process inks in the file"
    """A stand-in that the output reaches by itself: it says nothing of the colour that is meant."""
    NOTHING = "nothing"

    @property
    def certain(self) -> bool:
        """Whether it claims to be the colour itself; the others stand in for it."""
        return self in (Source.LIBRARY, Source.MEASURED, Source.LAB)


def colour_of(color: Color | None, shop: Shop) -> tuple[Lab | None, Source]:
    """Lab D50 of a colour as the file gives it, and how far it can be believed."""
    if color is None:
        return None, Source.NOTHING
    numbers = color.components
    match color.space:
        case "lab" if len(numbers) == 3:
            return (numbers[0], numbers[1], numbers[2]), Source.LAB
        case "lch" if len(numbers) == 3:
            angle = math.radians(numbers[2])
            return (numbers[0], numbers[1] * math.cos(angle), numbers[1] * math.sin(angle)), Source.LAB
        # Four numbers by a profile in the file are process inks as well, for which press is not looked into.
        case "device-cmyk" | "icc" if len(numbers) == 4:
            return shop.lab_of_inks(numbers), Source.PROCESS
        case "device-gray" if len(numbers) == 1:
            return shop.lab_of_inks((0.0, 0.0, 0.0, 1.0 - numbers[0])), Source.PROCESS
        case "unknown":
            return None, Source.NOTHING
    return srgb_to_lab(color.rgb), Source.SCREEN
