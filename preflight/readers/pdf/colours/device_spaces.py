"""Device colour spaces of PDF (ISO 32000-1 8.6.4): grey, RGB and CMYK without calibration. Knows no file."""

from __future__ import annotations

from collections.abc import Sequence

from preflight.artwork.model import Color
from preflight.colour import spaces
from preflight.readers.pdf.colours.colour_space import ColourSpace, Say, Triple

__all__ = ["DeviceCmyk", "DeviceGray", "DeviceRgb", "device_rgb"]


def device_rgb(values: Sequence[float]) -> Triple:
    """Screen colour of one, three or four device components: grey, RGB as sRGB, CMYK by the naive formula.

    A viewer that manages colour shows CMYK duller; these are colours for a screen, never values to judge by.
    """
    if len(values) == 1:
        return values[0], values[0], values[0]
    if len(values) == 3:
        return values[0], values[1], values[2]
    return spaces.cmyk_to_srgb(values[0], values[1], values[2], values[3])


class _Device(ColourSpace):
    """A space whose numbers go to the device as they are."""

    def __init__(self, say: Say, initial: Sequence[float]) -> None:
        super().__init__(say, ((0.0, 1.0),) * len(initial), initial)

    def color(self, values: Sequence[float]) -> Color:
        """The numbers, and what a screen shows for them."""
        return Color(device_rgb(values), space=self.name, components=tuple(values))


class DeviceGray(_Device):
    """Black to white; starts with black."""

    name = "device-gray"

    def __init__(self, say: Say) -> None:
        super().__init__(say, (0.0,))


class DeviceRgb(_Device):
    """Additive; starts with black."""

    name = "device-rgb"

    def __init__(self, say: Say) -> None:
        super().__init__(say, (0.0, 0.0, 0.0))


class DeviceCmyk(_Device):
    """Inks; starts with black ink alone."""

    name = "device-cmyk"

    def __init__(self, say: Say) -> None:
        super().__init__(say, (0.0, 0.0, 0.0, 1.0))
