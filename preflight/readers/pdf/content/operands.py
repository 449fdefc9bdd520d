"""Names, strings, arrays and dictionaries written inside a content stream. Knows their notation, no operator."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from preflight.readers.pdf.content.decimals import odd_decimal

__all__ = [
    "DELIMITER",
    "SPACE",
    "DepthError",
    "Fault",
    "Name",
    "comment_end",
    "name_at",
    "operand_at",
    "string_at",
]

Fault = Callable[[str], None]
"""Is told, in a sentence, of damage that is worked round."""

SPACE = rb"\0\t\n\f\r "
"""White space of ISO 32000-1, table 1, for use inside a character class."""
DELIMITER = rb"()<>\[\]{}/%"

_BLANK = re.compile(rb"(?:[" + SPACE + rb"]+|%[^\r\n]*)*")
_PLAIN = re.compile(rb"[^" + SPACE + DELIMITER + rb"]+")
_NAME = re.compile(rb"/([^" + SPACE + DELIMITER + rb"]*)")
_HEX_CODE = re.compile(rb"#([0-9A-Fa-f]{2})")
_SIMPLE_STRING = re.compile(rb"\(([^()\\\r]*)\)")
_STRING_PART = re.compile(rb"[()\\]|\r\n?")
_HEX_STRING = re.compile(rb"<([^<>]*)>?")
_NOT_HEX = re.compile(rb"[^0-9A-Fa-f]+")
_LINE_END = re.compile(rb"[\r\n]")
_OCTAL = re.compile(rb"[0-7]{1,3}")
_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_KEYWORDS: dict[bytes, Any] = {b"true": True, b"false": False, b"null": None}
_DEEPEST = 40
"""Arrays and dictionaries inside one another; real ones stay below five."""
_MOST_ITEMS = 100_000
"""Items of one array or dictionary; real ones stay below some thousands."""


class DepthError(ValueError):
    """Arrays or dictionaries stand inside one another beyond all reason.

    Attributes
    ----------
    at : how far they were followed.
    """

    def __init__(self, at: int) -> None:
        super().__init__("arrays or dictionaries inside one another beyond all reason")
        self.at = at


class Name(str):
    """A name without its slash; a plain `str` never is an operand."""

    __slots__ = ()


def comment_end(data: bytes, at: int) -> int:
    """Where the line ends that a comment stands in."""
    found = _LINE_END.search(data, at)
    return found.start() if found else len(data)


def name_at(data: bytes, at: int) -> tuple[Name, int]:
    """The name whose slash stands at ``at``, ``#xx`` undone, and where it ends."""
    found = _NAME.match(data, at)
    if found is None:
        raise ValueError("no name stands here")
    raw = found[1]
    if b"#" in raw:
        raw = _HEX_CODE.sub(lambda code: bytes([int(code[1], 16)]), raw)
    try:
        return Name(raw.decode("utf-8")), found.end()
    except UnicodeDecodeError:
        return Name(raw.decode("latin-1")), found.end()


def string_at(data: bytes, at: int, fault: Fault) -> tuple[bytes, int]:
    """The string that opens at ``at``, and where it ends (ISO 32000-1, 7.3.4.2)."""
    simple = _SIMPLE_STRING.match(data, at)
    if simple:
        return simple[1], simple.end()
    parts: list[bytes] = []
    depth, start, place = 1, at + 1, at + 1
    while True:
        found = _STRING_PART.search(data, place)
        if found is None:
            fault("A string is not closed; the rest of the content is taken for it.")
            return b"".join([*parts, data[start:]]), len(data)
        mark, place = found[0], found.end()
        if mark == b"(":
            depth += 1
        elif mark == b")":
            depth -= 1
            if not depth:
                return b"".join([*parts, data[start : found.start()]]), place
        else:
            piece, place = _escaped(data, place) if mark == b"\\" else (b"\n", place)
            parts += [data[start : found.start()], piece]
            start = place


def _escaped(data: bytes, at: int) -> tuple[bytes, int]:
    """What a backslash before ``at`` stands for, and where to read on."""
    octal = _OCTAL.match(data, at)
    if octal:
        return bytes([int(octal[0], 8) & 255]), octal.end()
    if data[at : at + 2] == b"\r\n":
        return b"", at + 2
    letter = data[at : at + 1]
    if letter in (b"\r", b"\n"):
        return b"", at + 1
    return _ESCAPES.get(letter, letter), at + 1


def operand_at(data: bytes, at: int, fault: Fault, depth: int = 0) -> tuple[Any, int]:
    """The name, string, array or dictionary that starts at ``at``, and where it ends.

    Returns
    -------
    `Name`, bytes, list or dict[Name, Any]; inside arrays and dictionaries also float, bool and None.

    Raises
    ------
    ValueError
        None of them starts here, or they stand inside one another too deeply.
    """
    head = data[at : at + 1]
    if head == b"/":
        return name_at(data, at)
    if head == b"(":
        return string_at(data, at, fault)
    if depth > _DEEPEST:
        raise DepthError(at)
    if head == b"[":
        return _items(data, at + 1, b"]", "An array", fault, depth)
    if data[at : at + 2] == b"<<":
        items, end = _items(data, at + 2, b">>", "A dictionary", fault, depth)
        return _dictionary(items, fault), end
    if head == b"<":
        return _hex_string(data, at, fault)
    raise ValueError(f"{head.decode('latin-1')!r} stands alone")


def _hex_string(data: bytes, at: int, fault: Fault) -> tuple[bytes, int]:
    found = _HEX_STRING.match(data, at)
    if found is None:
        raise ValueError("no string stands here")
    digits = _NOT_HEX.sub(b"", found[1])
    if not found[0].endswith(b">"):
        fault("A hexadecimal string is not closed.")
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii")), found.end()


def _items(
    data: bytes, at: int, closing: bytes, what: str, fault: Fault, depth: int
) -> tuple[list[Any], int]:
    """Everything up to the closing bracket; an operator in between shows that the bracket is missing."""
    items: list[Any] = []
    while True:
        blank = _BLANK.match(data, at)
        at = blank.end() if blank else at
        if data.startswith(closing, at):
            return items, at + len(closing)
        plain = _PLAIN.match(data, at)
        if plain is None:
            if at >= len(data) or data[at : at + 1] in b")>]{}":
                fault(f"{what} is not closed.")
                return items, at
            item, at = operand_at(data, at, fault, depth + 1)
        elif plain[0] in _KEYWORDS:
            item, at = _KEYWORDS[plain[0]], plain.end()
        elif plain[0].strip(b"0123456789+-."):
            fault(f"{what} is not closed.")
            return items, at
        else:
            item, at = odd_decimal(plain[0])[0], plain.end()
        items.append(item)
        if len(items) >= _MOST_ITEMS:
            fault(f"{what} has more than {_MOST_ITEMS:,} items; those after them are left out.")
            return items, at


def _dictionary(items: list[Any], fault: Fault) -> dict[Name, Any]:
    if len(items) % 2 or not all(isinstance(key, Name) for key in items[::2]):
        fault("A dictionary is damaged; what of it makes sense is used.")
    pairs = zip(items[::2], items[1::2], strict=False)
    return {key: value for key, value in pairs if isinstance(key, Name)}
