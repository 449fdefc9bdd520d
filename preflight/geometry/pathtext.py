"""The grammar of SVG path data, read with care: the valid part of one path and where it breaks. Knows no curves."""

from __future__ import annotations

import math
import re

__all__ = ["ARITY", "valid_prefix"]

ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
"""Numbers each command takes."""

_SPACE = " \t\r\n\f"
_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_FLAG = r"[01]"


def valid_prefix(text: str) -> tuple[str, int | None, str]:
    """The part of a path that the standard draws: everything up to the first error.

    SVG 2, 9.5.4 (error handling): draw up to, not including, the segment that holds the error.

    Returns
    -------
    prefix, offset, message
        The valid part, rewritten with one space between numbers; the character at which the error stands,
        or None; what is wrong, or an empty string.
    """
    parts: list[str] = []
    at = _skip(text, 0)
    while at < len(text):
        letter = text[at]
        name = letter.upper()
        if name not in ARITY:
            return " ".join(parts), at, f"{letter!r} is no path command"
        if not parts and name != "M":
            return "", at, f"the path begins with {letter!r} instead of a moveto"
        at = _skip(text, at + 1)
        if name == "Z":
            parts.append(letter)
            continue
        at, sets, message = _argument_sets(text, at, name)
        if sets:
            parts.append(letter)
            parts += sets
        if message:
            return " ".join(parts), at, message
    return " ".join(parts), None, ""


def _argument_sets(text: str, at: int, name: str) -> tuple[int, list[str], str]:
    """Complete sets of a command's numbers from ``at`` on, and what is wrong with the first that is not."""
    sets: list[str] = []
    number, flag = re.compile(_NUMBER), re.compile(_FLAG)
    while True:
        numbers: list[str] = []
        place = at
        for index in range(ARITY[name]):
            pattern = flag if name == "A" and index in (3, 4) else number
            match = pattern.match(text, place)
            if match is None or not math.isfinite(float(match[0])):
                if not numbers and sets and match is None and not _after_comma(text, at):
                    return at, sets, ""
                return place, sets, _wrong(text, place, name, match is not None)
            numbers.append(match[0])
            place = _between(text, match.end())
        sets += numbers
        at = place


def _after_comma(text: str, at: int) -> bool:
    while at and text[at - 1] in _SPACE:
        at -= 1
    return text.startswith(",", at - 1) if at else False


def _wrong(text: str, place: int, name: str, too_large: bool) -> str:
    if too_large:
        return "a number is too large"
    if place >= len(text):
        return f"the path is cut off inside a {name!r} command"
    return f"{text[place]!r} stands where a number of a {name!r} command is due"


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] in _SPACE:
        at += 1
    return at


def _between(text: str, at: int) -> int:
    at = _skip(text, at)
    return _skip(text, at + 1) if text.startswith(",", at) else at
