"""Numbers, lengths and transforms as SVG and CSS write them. Knows no element and no style sheet."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import NamedTuple

from preflight.readers.matrices import IDENTITY, Matrix, inverted, mean_scale, multiplied, pen, uneven

__all__ = [
    "FONT_UNITS",
    "IDENTITY",
    "MM_PER_PX",
    "PX_PER_UNIT",
    "Length",
    "Matrix",
    "inverted",
    "mean_scale",
    "multiplied",
    "parse_angle",
    "parse_length",
    "parse_numbers",
    "parse_transform",
    "pen",
    "plain_number",
    "rotation",
    "to_px",
    "uneven",
]

MM_PER_PX = 25.4 / 96
"""CSS Values 3: one inch is 96 px."""

PX_PER_UNIT = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
_FONT_UNITS = {"em": 1.0, "rem": 1.0, "ex": 0.5, "ch": 0.5, "ic": 1.0, "lh": 1.2, "cap": 0.7}
_VIEWPORT_UNITS = {"vw", "vh", "vmin", "vmax"}
FONT_UNITS = frozenset(_FONT_UNITS)
"""Units whose length depends on the font; their exact share of it is an estimate except for em and rem."""

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z]*|%)\s*", re.ASCII)
# Compiled by what first needs them, and kept by Python: most files have no transforms and no lists of numbers.
_NUMBERS = rf"(?a)\s*,?\s*({_NUMBER})"
_ARGUMENT = rf"(?a)({_NUMBER})\s*(%|[a-zA-Z]*)"


class Length(NamedTuple):
    """A number and its unit in lower case (``""`` for user units, ``%``)."""

    value: float
    unit: str


def plain_number(text: str) -> float | None:
    """A finite number without a unit, as most lengths in a file are; None for anything else."""
    try:
        number = float(text)
    except ValueError:
        return None
    # Python reads 1_000 and the digits of other scripts as numbers, too.
    return number if math.isfinite(number) and text.isascii() and "_" not in text else None


@lru_cache(maxsize=16384)
def parse_length(text: str) -> Length | None:
    """One length; None where the text is none or its unit is unknown."""
    number = plain_number(text)
    if number is not None:
        return Length(number, "")
    found = _LENGTH.fullmatch(text)
    if not found:
        return None
    unit = found[2].lower()
    if unit not in PX_PER_UNIT and unit not in _FONT_UNITS and unit != "%" and unit not in _VIEWPORT_UNITS:
        return None
    value = float(found[1])
    return Length(value, unit) if math.isfinite(value) else None


def to_px(
    length: Length, whole: float, font_size: float = 16.0, window: tuple[float, float] = (0.0, 0.0)
) -> float:
    """A length in user units.

    Parameters
    ----------
    whole : what a percentage is of, user units.
    font_size : user units, for em and its kin.
    window : width and height of the outermost viewport, px, for vw and its kin.
    """
    value, unit = length
    factor = PX_PER_UNIT.get(unit)
    if factor is not None:
        return value * factor
    if unit == "%":
        return value * whole / 100
    if unit == "rem":
        return value * 16.0
    if unit in _FONT_UNITS:
        return value * font_size * _FONT_UNITS[unit]
    width, height = window
    sides = {"vw": width, "vh": height, "vmin": min(window), "vmax": max(window)}
    return value * sides[unit] / 100


def parse_numbers(text: str) -> tuple[list[float], bool]:
    """Numbers separated by space or comma, and whether the whole text was read."""
    numbers: list[float] = []
    position = 0
    pattern = re.compile(_NUMBERS)
    while found := pattern.match(text, position):
        numbers.append(float(found[1]))
        position = found.end()
    return numbers, not text[position:].strip()


_TURN = {"": 1.0, "deg": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}


def parse_angle(text: str) -> float | None:
    """Degrees of an angle; None where it is none."""
    found = re.fullmatch(_ARGUMENT, text.strip())
    if not found or found[2].lower() not in _TURN:
        return None
    return float(found[1]) * _TURN[found[2].lower()]


_FUNCTION = r"\s*,?\s*([A-Za-z][A-Za-z0-9]*)\s*\(([^()]*)\)"


@lru_cache(maxsize=8192)
def parse_transform(text: str, whole: tuple[float, float] = (0.0, 0.0)) -> Matrix | None:
    """The matrix of a transform list, in the syntax of the attribute or of the CSS property.

    Parameters
    ----------
    whole : width and height that percentages are of (CSS syntax only).

    Returns
    -------
    Matrix or None
        None where the text is no transform, or is one in space rather than in the plane.
    """
    if text.strip() in ("", "none"):
        return IDENTITY
    result = IDENTITY
    position = 0
    pattern = re.compile(_FUNCTION)
    while found := pattern.match(text, position):
        matrix = _function(found[1], found[2], whole)
        if matrix is None:
            return None
        result = multiplied(result, matrix)
        position = found.end()
    if text[position:].strip() or not all(map(math.isfinite, result)):
        return None
    return result


def _function(name: str, body: str, whole: tuple[float, float]) -> Matrix | None:
    arguments = []
    position = 0
    pattern = re.compile(_ARGUMENT)
    body = body.strip()
    while position < len(body):
        found = pattern.match(body, position)
        if not found:
            return None
        arguments.append((float(found[1]), found[2].lower()))
        position = found.end()
        while position < len(body) and body[position] in " \t\r\n,":
            position += 1
    turns = [value * _TURN.get(unit, math.nan) for value, unit in arguments]
    numbers = [value if unit == "" else value / 100 if unit == "%" else math.nan for value, unit in arguments]
    lengths = [_moved(value, unit, whole[index % 2]) for index, (value, unit) in enumerate(arguments)]
    count = len(arguments)
    match name, count:
        case "matrix", 6:
            return (numbers[0], numbers[1], numbers[2], numbers[3], lengths[4], lengths[5])
        case "translate", 1 | 2:
            return (1, 0, 0, 1, lengths[0], lengths[1] if count == 2 else 0.0)
        case "translateX", 1:
            return (1, 0, 0, 1, lengths[0], 0)
        case "translateY", 1:
            return (1, 0, 0, 1, 0, _moved(*arguments[0], whole[1]))
        case "scale", 1 | 2:
            return (numbers[0], 0, 0, numbers[-1], 0, 0)
        case "scaleX", 1:
            return (numbers[0], 0, 0, 1, 0, 0)
        case "scaleY", 1:
            return (1, 0, 0, numbers[0], 0, 0)
        case "rotate", 1 | 3:
            turn = rotation(turns[0])
            if count == 1:
                return turn
            x, y = lengths[1], lengths[2]
            return multiplied(multiplied((1, 0, 0, 1, x, y), turn), (1, 0, 0, 1, -x, -y))
        case "skewX", 1:
            return (1, 0, _slant(turns[0]), 1, 0, 0)
        case "skewY", 1:
            return (1, _slant(turns[0]), 0, 1, 0, 0)
        case "skew", 1 | 2:
            slant = _slant(turns[1]) if count == 2 else 0.0
            return (1, slant, _slant(turns[0]), 1, 0, 0)
    return None


def _slant(degrees: float) -> float:
    return math.tan(math.radians(degrees)) if math.isfinite(degrees) else math.nan


def rotation(degrees: float) -> Matrix:
    """A turn about the origin; quarter turns are exact, and a turn too large for a number is none."""
    quarter = degrees / 90
    if not math.isfinite(quarter):
        sine = cosine = math.nan
    elif quarter == int(quarter):
        sine, cosine = ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))[int(quarter) % 4]
    else:
        sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return (cosine, sine, -sine, cosine, 0, 0)


def _moved(value: float, unit: str, whole: float) -> float:
    if unit == "%":
        return value * whole / 100
    return value * PX_PER_UNIT.get(unit, math.nan)
