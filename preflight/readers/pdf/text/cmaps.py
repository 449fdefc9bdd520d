"""CMaps: how strings split into codes, and what codes stand for (ISO 32000-1, 9.7.5 and 9.10.3). Knows no font.

A CMap leads to glyph numbers of a font (CIDs) or, as ``/ToUnicode``, to characters.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec

__all__ = ["CMap", "parsed_cmap"]

_TOKEN = re.compile(
    rb"%[^\r\n]*|<<|>>|<([0-9A-Fa-f\s]*)>|/([^\s<>\[\](){}/%]*)|([\[\]])|\((?:[^()\\]|\\.)*\)|([^\s<>\[\](){}/%]+)",
    re.DOTALL,
)
_EXPANDED = 256
"""Longest range kept code by code; longer ones are kept as ranges."""
_MOST = 500_000
"""Entries of one CMap; the largest in use hold some 30,000 (from memory)."""

Space = tuple[int, bytes, bytes]
"""Bytes of a code, and the lowest and highest of each."""
Key = tuple[int, int]
"""Bytes of a code, and the code."""


class CMap(msgspec.Struct):
    """One CMap with those it builds on.

    Attributes
    ----------
    spaces : which bytes make up a code.
    numbers : CIDs by code. ranges : (bytes, lowest code, highest code, first CID).
    characters : by code, for ``/ToUnicode``.
    vertical : the writing mode, or None where it states none.
    identity : codes that are named nowhere are their own CIDs.
    codec : Python's name of the encoding that codes are written in, or None; ``shifted`` where its bytes lie 128 higher.
    uses : name of a further CMap that it says to build on, or None.
    cut : there was more than is kept.
    """

    spaces: list[Space] = msgspec.field(default_factory=list)
    numbers: dict[Key, int] = msgspec.field(default_factory=dict)
    ranges: list[tuple[int, int, int, int]] = msgspec.field(default_factory=list)
    characters: dict[Key, str] = msgspec.field(default_factory=dict)
    vertical: bool | None = None
    identity: bool = False
    codec: str | None = None
    shifted: bool = False
    uses: str | None = None
    cut: bool = False

    def split(self, string: bytes) -> Iterator[Key]:
        """The codes of a string, each with its length in bytes."""
        spaces = self.spaces or [(2, b"\0\0", b"\xff\xff")]
        shortest = min(space[0] for space in spaces)
        at = 0
        while at < len(string):
            length = next(
                (
                    size
                    for size, low, high in spaces
                    if at + size <= len(string)
                    and all(
                        one <= byte <= two
                        for one, byte, two in zip(low, string[at : at + size], high, strict=True)
                    )
                ),
                min(shortest, len(string) - at),  # what no space holds is one code as short as they come
            )
            yield length, int.from_bytes(string[at : at + length], "big")
            at += length

    def cid(self, key: Key) -> int | None:
        """The CID of a code; None where the CMap does not tell."""
        found = self.numbers.get(key)
        if found is not None:
            return found
        length, code = key
        for size, low, high, first in reversed(self.ranges):
            if size == length and low <= code <= high:
                return first + code - low
        if self.identity:
            return code
        return None if self.codec is not None else 0

    def character(self, key: Key) -> str | None:
        """The character of a code in the encoding the CMap is named after; None where it has none."""
        if self.codec is None:
            return None
        length, code = key
        raw = code.to_bytes(length, "big")
        if self.shifted:
            raw = bytes(byte | 0x80 for byte in raw)
        try:
            return raw.decode(self.codec)
        except UnicodeDecodeError:
            return None


def parsed_cmap(data: bytes) -> CMap:
    """The CMap that a stream holds; what makes no sense in it is passed over, as viewers do."""
    found = CMap()
    operands: list[Any] = []
    count = 0
    for token in _tokens(data):
        if isinstance(token, _Word):
            count += _section(found, token, operands)
            operands = []
            if count > _MOST:
                found.cut = True
                break
        else:
            operands.append(token)
    found.spaces.sort()
    return found


class _Word(str):
    """An operator."""

    __slots__ = ()


def _tokens(data: bytes) -> Iterator[Any]:
    """Strings as bytes, names as str, numbers as int, ``[`` and ``]`` as lists, everything else as operators."""
    inside: list[Any] | None = None
    for match in _TOKEN.finditer(data):
        token: Any
        if match[1] is not None:
            digits = b"".join(match[1].split())
            token = bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii"))
        elif match[2] is not None:
            token = match[2].decode("latin-1")
        elif match[3] == b"[":
            inside = []
            continue
        elif match[3] == b"]":
            token, inside = inside or [], None
        elif match[4] is not None:
            word = match[4]
            token = int(word) if re.fullmatch(rb"[+-]?[0-9]{1,9}", word) else _Word(word.decode("latin-1"))
        else:
            continue
        if inside is not None:
            inside.append(token)
        else:
            yield token


def _section(cmap: CMap, word: str, operands: list[Any]) -> int:
    """Take over what one operator sets; returns how many entries."""
    if word == "endcodespacerange":
        for low, high in _groups(operands, 2):
            if isinstance(low, bytes) and isinstance(high, bytes) and 1 <= len(low) == len(high) <= 4:
                cmap.spaces.append((len(low), low, high))
    elif word == "usecmap" and operands and isinstance(operands[-1], str):
        cmap.uses = operands[-1]
    elif word == "def" and len(operands) >= 2 and operands[-2] == "WMode":
        cmap.vertical = operands[-1] == 1
    elif word in ("endcidchar", "endbfchar"):
        for code, target in _groups(operands, 2):
            _single(cmap, code, target)
    elif word in ("endcidrange", "endbfrange"):
        return sum(_range(cmap, low, high, target) for low, high, target in _groups(operands, 3))
    return len(operands)


def _groups(operands: list[Any], size: int) -> Iterator[tuple[Any, ...]]:
    # The count before "begin…" belongs to that operator.
    return zip(*[iter(operands)] * size, strict=False)


def _single(cmap: CMap, code: Any, target: Any) -> None:
    if not isinstance(code, bytes) or not 1 <= len(code) <= 4:
        return
    key = (len(code), int.from_bytes(code, "big"))
    if isinstance(target, int):
        cmap.numbers[key] = target
    elif isinstance(target, bytes):
        cmap.characters[key] = target.decode("utf-16-be", "replace")


def _range(cmap: CMap, low: Any, high: Any, target: Any) -> int:
    if not isinstance(low, bytes) or not isinstance(high, bytes) or not 1 <= len(low) <= 4:
        return 0
    size, first, last = len(low), int.from_bytes(low, "big"), int.from_bytes(high, "big")
    if isinstance(target, int):
        if last - first >= _EXPANDED:
            cmap.ranges.append((size, first, last, target))
        else:
            for step in range(last - first + 1):
                cmap.numbers[size, first + step] = target + step
    elif isinstance(target, list):
        for step, one in enumerate(target[: max(last - first + 1, 0)]):
            if isinstance(one, bytes):
                cmap.characters[size, first + step] = one.decode("utf-16-be", "replace")
    elif isinstance(target, bytes) and target:
        _character_range(cmap, size, first, min(last, first + 0xFFFF), target)
    return min(max(last - first + 1, 1), 0x10000)


def _character_range(cmap: CMap, size: int, first: int, last: int, target: bytes) -> None:
    """Characters one after the other: the last unit of the target counts up (9.10.3)."""
    head, tail = target[:-2], int.from_bytes(target[-2:], "big")
    if len(target) == 4 and 0xD8 <= target[0] < 0xDC:  # a pair of surrogates counts up as one
        head, tail = b"", ord(target.decode("utf-16-be", "replace")[:1])
    for step in range(last - first + 1):
        number = tail + step
        if number > 0x10FFFF or 0xD800 <= number < 0xE000:
            break
        cmap.characters[size, first + step] = head.decode("utf-16-be", "replace") + chr(number)
