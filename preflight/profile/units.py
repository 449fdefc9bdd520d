"""Values written with their units, as profiles have them: reading and showing. Knows no setting."""

from __future__ import annotations

import re
from typing import TypeAlias

from .errors import SettingError

__all__ = [
    "COLOUR_PATTERN",
    "LENGTH_PATTERN",
    "MILLIMETRES_PER_UNIT",
    "NUMBER",
    "Millimetres",
    "parse_colour",
    "parse_length",
    "parse_scale",
    "parse_size",
    "parse_speed",
    "show_length",
    "show_size",
]

Millimetres: TypeAlias = float

MILLIMETRES_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "ft": 304.8,
}

_LENGTH = r"""(?ix)\s*(?:(?P<whole>\d+(?:\.\d+)?|\.\d+)?\s*(?:(?<=\s)|(?<!\d))(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>[+-]?(?:\d+(?:\.\d+)?|\.\d+)))
    \s*(?P<unit>[a-z"”″]+)?\s*"""
LENGTH_PATTERN = r"\d\s*(mm|cm|m|in|inch|inches|pt|pc|ft|[\"”″])\s*"
NUMBER = r"\d+(\.\d+)?"
_SIZE = r"\s*(\d+(?:\.\d+)?)\s*((?:[kMG]i?)?B)\s*"
COLOUR_PATTERN = r"^#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})$"
_BYTES = {"B": 1, "kB": 10**3, "MB": 10**6, "GB": 10**9, "kiB": 2**10, "MiB": 2**20, "GiB": 2**30}


def parse_length(text: object) -> Millimetres:
    """A length written with its unit, as mm: ``"3 mm"``, ``"1/8 in"``, ``"1 1/2 in"``.

    Raises
    ------
    SettingError
        Not a string, no unit, an unknown unit, or not a number.
    """
    if not isinstance(text, str):
        raise SettingError(f'{text!r} has no unit; write a length as a string, such as "3 mm" or "1/8 in"')
    match = re.fullmatch(_LENGTH, text)
    if match is None:
        raise SettingError(f'{text!r} is not a length; write a number and a unit, such as "3 mm" or "1/8 in"')
    unit = (match["unit"] or "").lower()
    unit = "in" if unit in {'"', "”", "″", "inch", "inches"} else unit
    if unit not in MILLIMETRES_PER_UNIT:
        known = ", ".join(MILLIMETRES_PER_UNIT)
        raise SettingError(f"{text!r} has {'no unit' if not unit else 'an unknown unit'}; use one of {known}")
    if match["number"] is not None:
        value = float(match["number"])
    elif int(match["bottom"]) == 0:
        raise SettingError(f"{text!r} divides by zero")
    else:
        value = float(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    return value * MILLIMETRES_PER_UNIT[unit]


def parse_speed(text: object) -> float:
    """A speed written with its unit, as mm/s: ``"200 mm/s"``, ``"8 in/s"``.

    Raises
    ------
    SettingError
        Not a string, or not a length per second above zero.
    """
    if not isinstance(text, str) or not text.rstrip().endswith("/s"):
        raise SettingError(f'{text!r} is not a speed; write a length per second, such as "200 mm/s"')
    speed = parse_length(text.rstrip().removesuffix("/s"))
    if speed <= 0:
        raise SettingError(f"{text!r} is not a speed above zero")
    return speed


def parse_scale(value: object) -> float:
    """How many times the size drawn a thing is made at: ``10``, ``"1:10"`` (drawn at a tenth), ``"200 %"``.

    Raises
    ------
    SettingError
        Neither a number nor such a text, or a proportion that is not above zero.
    """
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    if isinstance(value, str):
        drawn, colon, made = value.partition(":")
        try:
            if colon:
                return float(made) / float(drawn)
            if value.rstrip().endswith("%"):
                return float(value.rstrip().removesuffix("%")) / 100
        except (ValueError, ZeroDivisionError):
            pass  # told below, with what would do
    raise SettingError(
        f'{value!r} is not a scale; write how many times the size drawn it is made at, such as 10, "200 %", or '
        '"1:10" for what is drawn at a tenth'
    )


def parse_size(text: object) -> int:
    """A size of data as bytes: ``"200 MB"`` (10⁶), ``"128 MiB"`` (2²⁰).

    Raises
    ------
    SettingError
        Not a string, or no unit.
    """
    match = re.fullmatch(_SIZE, text) if isinstance(text, str) else None
    if match is None:
        raise SettingError(
            f'{text!r} is not a size; write a number and one of {", ".join(_BYTES)}, such as "200 MB"'
        )
    return round(float(match[1]) * _BYTES[match[2]])


def show_size(size: int) -> str:
    """A size of data as people read it, without loss: ``128 MiB``, ``200 MB``."""
    for unit in ("GiB", "GB", "MiB", "MB", "kiB", "kB"):
        if size and size % _BYTES[unit] == 0:
            return f"{size // _BYTES[unit]} {unit}"
    return f"{size} B"


def parse_colour(text: object) -> str:
    """A screen colour as ``#rrggbb``, lower case.

    Raises
    ------
    SettingError
        No such text.
    """
    if not isinstance(text, str) or not re.match(COLOUR_PATTERN, text):
        raise SettingError(f'{text!r} is not a colour; write it as six hexadecimal digits, such as "#ff0000"')
    return text.lower()


def show_length(millimetres: Millimetres) -> str:
    """A length as people read it: ``3 mm``, ``0.05 mm``."""
    return f"{millimetres:.9g} mm"
