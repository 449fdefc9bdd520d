"""Colour spaces of PDF that say what they look like (ISO 32000-1 8.6.5): CalGray, CalRGB, Lab, ICCBased.

Knows dictionaries, not where they were found. An ICC profile is not applied: its numbers are kept, and what a
screen shows comes from the space's alternate, or from the device space of as many components.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence

import pikepdf

from preflight.artwork.model import Color, NoteKind
from preflight.colour import spaces
from preflight.readers.pdf.colours.colour_space import ColourSpace, Interval, Say, Triple
from preflight.readers.pdf.colours.device_spaces import device_rgb
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry, number, numbers

__all__ = ["CalGray", "CalRgb", "IccBased", "Lab", "SpaceError"]

_D50_WITHIN = 0.002
"""How far a white point may lie from D50 and still be it: files round it to 3 or 4 places."""
_IDENTITY = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)


class SpaceError(Exception):
    """A colour space's definition is damaged; the message says how, as the end of a sentence."""


def _triple(parameters: pikepdf.Object, key: str, default: Triple | None) -> Triple:
    value = entry(parameters, key)
    if value is None and default is not None:
        return default
    found = numbers(value)
    if found is None or len(found) != 3:
        raise SpaceError(f"{key[1:]} is not three numbers")
    return found[0], found[1], found[2]


def _white(parameters: pikepdf.Object) -> Triple:
    white = _triple(parameters, "/WhitePoint", None)
    if white[0] <= 0 or white[2] <= 0 or abs(white[1] - 1) > 0.01:
        raise SpaceError("WhitePoint is not the colour of a white")
    return white


def _gamma(values: Sequence[float]) -> None:
    if min(values) <= 0:
        raise SpaceError("Gamma is not above 0")


class CalGray(ColourSpace):
    """Calibrated grey (8.6.5.2)."""

    name = "cal-gray"

    def __init__(self, say: Say, parameters: pikepdf.Object) -> None:
        super().__init__(say, ((0.0, 1.0),), (0.0,))
        self._white = _white(parameters)
        given = entry(parameters, "/Gamma")
        gamma = 1.0 if given is None else number(given)
        if gamma is None:
            raise SpaceError("Gamma is no number")
        _gamma([gamma])
        self._gamma = gamma

    def color(self, values: Sequence[float]) -> Color:
        """The number, and its luminance seen under the space's own white."""
        luminance = values[0] ** self._gamma
        x, y, z = self._white
        rgb = spaces.xyz_to_srgb((x * luminance, y * luminance, z * luminance), self._white)
        return Color(rgb, space=self.name, components=tuple(values))


class CalRgb(ColourSpace):
    """Calibrated RGB (8.6.5.3)."""

    name = "cal-rgb"

    def __init__(self, say: Say, parameters: pikepdf.Object) -> None:
        super().__init__(say, ((0.0, 1.0),) * 3, (0.0, 0.0, 0.0))
        self._white = _white(parameters)
        self._gamma = _triple(parameters, "/Gamma", (1.0, 1.0, 1.0))
        _gamma(self._gamma)
        matrix = entry(parameters, "/Matrix")
        found = list(_IDENTITY) if matrix is None else numbers(matrix)
        if found is None or len(found) != 9:
            raise SpaceError("Matrix is not nine numbers")
        a, b, c, d, e, f, g, h, i = found
        self._columns = ((a, b, c), (d, e, f), (g, h, i))

    def color(self, values: Sequence[float]) -> Color:
        """The numbers, and their colour seen under the space's own white."""
        red, green, blue = values
        xyz = spaces.cal_rgb_to_xyz((red, green, blue), self._gamma, self._columns)
        return Color(spaces.xyz_to_srgb(xyz, self._white), space=self.name, components=tuple(values))


class Lab(ColourSpace):
    """CIE Lab (8.6.5.4). The model's ``lab`` is relative to D50: other whites are adapted to it, and that is noted."""

    name = "lab"

    def __init__(self, say: Say, parameters: pikepdf.Object) -> None:
        bounds = entry(parameters, "/Range")
        found = [-100.0, 100.0, -100.0, 100.0] if bounds is None else numbers(bounds)
        if found is None or len(found) != 4 or found[0] > found[1] or found[2] > found[3]:
            raise SpaceError("Range is not two pairs of numbers")
        a, b = (found[0], found[1]), (found[2], found[3])
        super().__init__(say, ((0.0, 100.0), a, b), (0.0, _nearest_zero(a), _nearest_zero(b)))
        self._white = _white(parameters)
        self._is_d50 = (
            max(abs(one - two) for one, two in zip(self._white, spaces.D50, strict=True)) < _D50_WITHIN
        )
        if not self._is_d50:
            shown = " ".join(f"{value:g}" for value in self._white)
            message = f"Lab values relative to the white {shown} are adapted to D50."
            say(NoteKind.ASSUMED, "lab white point", message)

    def color(self, values: Sequence[float]) -> Color:
        """Lab relative to D50, and what a screen shows for it."""
        lightness, a, b = values
        lab = (lightness, a, b)
        if not self._is_d50:
            xyz = spaces.lab_to_xyz(lab, self._white)
            lab = spaces.xyz_d50_to_lab(spaces.xyz_to_xyz(xyz, self._white, spaces.D50))
        return Color(spaces.lab_to_srgb(lab), space=self.name, components=lab)


def _nearest_zero(interval: Interval) -> float:
    return min(max(0.0, interval[0]), interval[1])


_PROFILE_SPACES = {b"GRAY": 1, b"RGB ": 3, b"CMYK": 4, b"Lab ": 3}


class IccBased(ColourSpace):
    """A space described by an ICC profile (8.6.5.5).

    Parameters
    ----------
    alternate : the space the dictionary names as Alternate, or None.
    """

    name = "icc"

    def __init__(
        self, say: Say, stream: pikepdf.Object, alternate: ColourSpace | None, streams: Streams
    ) -> None:
        count = entry(stream, "/N")
        if count not in (1, 3, 4):
            raise SpaceError("N, the number of its components, is not 1, 3 or 4")
        header, fault = _header(stream, streams)
        self.profile_space = _profile_space(say, header, fault, int(count))
        bounds = entry(stream, "/Range")
        found = [0.0, 1.0] * int(count) if bounds is None else numbers(bounds)
        if self.profile_space == b"Lab " and bounds is None:
            found = [0.0, 100.0, -128.0, 127.0, -128.0, 127.0]  # ISO 32000-1 8.6.5.5: the range of ICC Lab
        if found is None or len(found) != 2 * int(count):
            raise SpaceError(f"Range is not {count} pairs of numbers")
        ranges = tuple(zip(found[::2], found[1::2], strict=True))
        if any(low > high for low, high in ranges):
            raise SpaceError("Range has its ends the wrong way round")
        super().__init__(say, ranges, tuple(_nearest_zero(interval) for interval in ranges))
        if alternate is not None and alternate.components != self.components:
            message = f"An ICC profile of {count} components has an alternate colour space of another number; it is left out."
            say(NoteKind.FAULT, "icc alternate", message)
            alternate = None
        self._alternate = alternate

    def color(self, values: Sequence[float]) -> Color:
        """The numbers, and what a screen shows for them without the profile; of a Lab profile, Lab itself."""
        if self.profile_space == b"Lab ":
            lab = (values[0], values[1], values[2])
            return Color(spaces.lab_to_srgb(lab), space=Lab.name, components=lab)
        return Color(self._screen(values), space=self.name, components=tuple(values))

    def _screen(self, values: Sequence[float]) -> Triple:
        if self._alternate is not None:
            return self._alternate.color(self._alternate.fitted(values)).rgb
        spread = [
            (value - low) / (high - low) if high > low else 0.0
            for value, (low, high) in zip(values, self.ranges, strict=True)
        ]
        return device_rgb(spread)


def _header(stream: pikepdf.Object, streams: Streams) -> tuple[bytes, str | None]:
    """The first bytes of a profile, and what is wrong with it; no more is unpacked, as every page asks anew."""
    if entry(stream, "/Filter") == pikepdf.Name.FlateDecode and "/DecodeParms" not in stream:
        try:
            return zlib.decompressobj().decompress(stream.read_raw_bytes(), 128), None
        except (zlib.error, pikepdf.PdfError):
            return b"", "Its packed content is damaged"
    found = streams.unpacked(stream)
    return found.data[:128], found.fault


def _profile_space(say: Say, data: bytes, fault: str | None, count: int) -> bytes:
    """The four letters by which the profile's header names its colour space; a profile that is none is noted."""
    # ICC.1:2022 7.2: bytes 16 to 19 name the data colour space, bytes 36 to 39 read "acsp".
    if len(data) < 128 or data[36:40] != b"acsp":
        why = f" {fault}." if fault else ""
        say(NoteKind.FAULT, "icc profile", f"An ICC profile of {count} components is damaged.{why}")
        return b""
    letters = data[16:20]
    if _PROFILE_SPACES.get(letters) != count:
        written = letters.decode("latin-1").strip()
        message = f"An ICC profile for “{written}” is used for a colour space of {count} components."
        say(NoteKind.FAULT, "icc profile", message)
        return b""
    return letters
