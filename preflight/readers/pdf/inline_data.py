"""Where an inline image ends: its dictionary and its bytes. Knows filters by name, decodes no picture."""

from __future__ import annotations

import re
import zlib
from typing import Any

from preflight.readers.pdf.decimals import odd_decimal
from preflight.readers.pdf.operands import DELIMITER, SPACE, Fault, Name, operand_at

__all__ = ["InlineImage", "inline_image_at"]

_BLANK = re.compile(rb"[" + SPACE + rb"]*")
_PLAIN = re.compile(rb"[^" + SPACE + DELIMITER + rb"]+")
_END = re.compile(rb"(?<=[" + SPACE + rb"])EI(?=[" + SPACE + DELIMITER + rb"]|$)")
_LOOSE_END = re.compile(rb"EI(?=[" + SPACE + rb"]|$)")
_TEXT = re.compile(rb"[\x20-\x7e" + SPACE + rb"]*")
_COMPONENTS = {"G": 1, "DeviceGray": 1, "RGB": 3, "DeviceRGB": 3, "CMYK": 4, "DeviceCMYK": 4}
_PIECE = 4096

InlineImage = tuple[dict[Name, Any], bytes]
"""The dictionary, its short keys as written, and the bytes between ``ID`` and ``EI``, packed as they are."""


def inline_image_at(data: bytes, at: int, fault: Fault) -> tuple[InlineImage, int]:
    """The inline image whose ``BI`` ends at ``at``, and where its ``EI`` ends (ISO 32000-1, 8.9.7)."""
    keys, at = _dictionary(data, at, fault)
    start = at + 1 if data[at : at + 1] and data[at : at + 1] in b"\0\t\n\f\r " else at
    if data[at : at + 2] == b"\r\n":
        start = at + 2
    least = _known_length(data, start, keys)
    end = _END.search(data, max(start, start + (least or 0)))
    # Picture bytes may look like EI: what follows the true one is text.
    while least is None and end is not None and not _like_content(data, end.end()):
        end = _END.search(data, end.end())
    end = end or _END.search(data, start) or _LOOSE_END.search(data, start)
    if end is None:
        fault("An inline image is not closed; the rest of the content is taken for it.")
        return (keys, data[start:]), len(data)
    return (keys, data[start : end.start()]), end.end()


def _like_content(data: bytes, at: int) -> bool:
    ahead = data[at : at + 24]
    text = _TEXT.match(ahead)
    return text is not None and text.end() == len(ahead)


def _dictionary(data: bytes, at: int, fault: Fault) -> tuple[dict[Name, Any], int]:
    """Keys and values up to ``ID``, and where that ends."""
    keys: dict[Name, Any] = {}
    key: Name | None = None
    while True:
        blank = _BLANK.match(data, at)
        at = blank.end() if blank else at
        plain = _PLAIN.match(data, at)
        value: Any
        if plain is not None:
            at = plain.end()
            word = plain[0]
            if word == b"ID":
                return keys, at
            value = {b"true": True, b"false": False}.get(word)
            if value is None:
                value = odd_decimal(word)[0]
        elif at >= len(data):
            fault("An inline image breaks off.")
            return keys, at
        else:
            try:
                value, at = operand_at(data, at, fault)
            except ValueError:
                at += 1
                continue
        if key is not None:
            keys[key] = value
            key = None
        elif isinstance(value, Name):
            key = value


def _known_length(data: bytes, start: int, keys: dict[Name, Any]) -> int | None:
    """How many bytes the picture takes where that can be told, else None."""
    packing = keys.get(Name("F"), keys.get(Name("Filter")))
    if isinstance(packing, list):
        packing = packing[0] if packing else None
    if packing in ("Fl", "FlateDecode"):
        return _packed_length(data, start)
    if packing is not None:
        return None
    width = _count(keys, "W", "Width")
    height = _count(keys, "H", "Height")
    bits = _count(keys, "BPC", "BitsPerComponent")
    components = _COMPONENTS.get(str(keys.get(Name("CS"), keys.get(Name("ColorSpace")))))
    if keys.get(Name("IM"), keys.get(Name("ImageMask"))) is True:
        bits, components = 1, 1
    if components is None or width is None or height is None or bits is None:
        return None
    length = (width * components * bits + 7) // 8 * height
    return length if start + length <= len(data) else None


def _count(keys: dict[Name, Any], short: str, long: str) -> int | None:
    value = keys.get(Name(short), keys.get(Name(long)))
    return int(value) if isinstance(value, float) and 0 <= value < 1e6 else None


def _packed_length(data: bytes, start: int) -> int | None:
    """Bytes of a Flate stream, told by unpacking it and letting go of what comes out; None if it is damaged."""
    unpacker = zlib.decompressobj()
    for at in range(start, len(data), _PIECE):
        try:
            unpacker.decompress(data[at : at + _PIECE])
        except zlib.error:
            return None
        if unpacker.eof:
            return min(at + _PIECE, len(data)) - len(unpacker.unused_data) - start
    return None
