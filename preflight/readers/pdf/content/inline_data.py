"""Where an inline image ends: its dictionary and its bytes. Knows filters by name, decodes no picture."""

from __future__ import annotations

import re
import zlib
from typing import Any

import msgspec

from preflight.readers.pdf.content.decimals import odd_decimal
from preflight.readers.pdf.content.operands import DELIMITER, SPACE, Fault, Name, operand_at

__all__ = ["InlineImage", "Search", "inline_image_at"]

_BLANK = re.compile(rb"(?:[" + SPACE + rb"]+|%[^\r\n]*)*")
_PLAIN = re.compile(rb"[^" + SPACE + DELIMITER + rb"]+")
_END = re.compile(rb"EI(?=[" + SPACE + DELIMITER + rb"]|$)")
_END_HERE = re.compile(rb"[" + SPACE + rb"]*EI(?=[" + SPACE + DELIMITER + rb"]|$)")
_TEXT = re.compile(rb"[\x21-\x7e" + SPACE + rb"]*")
_OPERAND = re.compile(rb"[-+.0-9]+|/.*|true|false|null", re.DOTALL)
_COMPONENTS = {
    "G": 1,
    "DeviceGray": 1,
    "RGB": 3,
    "DeviceRGB": 3,
    "CMYK": 4,
    "DeviceCMYK": 4,
    "I": 1,
    "Indexed": 1,
}
_SPACES = re.compile(rb"[" + SPACE + rb"]*")
_WORD = re.compile(rb"/?[^" + SPACE + DELIMITER + rb"]+|/")
_END_OF_RUNS = 128
_PIECE = 4096
_SLACK = 64
"""Bytes that a picture may have to spare before its ``EI``."""
_AHEAD = 96
"""Bytes looked at to tell whether content goes on."""
_LONGEST_RUNS = 1 << 20
"""Bytes of run lengths looked through; ISO 32000-1, 8.9.7, has inline images stay below 4 KB."""
_MOST_TRIED = 2_000
"""Places that look like the end of one image and are tried; a picture of so many by chance would take some 30 GB."""
_MOST_WORDS = 200
"""Words before ``ID``; the standard knows eleven keys (ISO 32000-1, table 93)."""
_OPERATORS = frozenset(
    b"b B b* B* BDC BI BMC BT BX c cm CS cs d d0 d1 Do DP EMC ET EX f F f* G g gs h i j J K k l m M MP n q Q re"
    b" RG rg ri s S sc SC scn SCN sh T* Tc Td TD Tf Tj TJ TL Tm Tr Ts Tw Tz v w W W* y ' \"".split()
)
"""ISO 32000-1, Annex A."""

InlineImage = tuple[dict[Name, Any], bytes]
"""The dictionary, its short keys as written, and the bytes between ``ID`` and ``EI``, packed as they are."""


class Search(msgspec.Struct):
    """What is known from earlier images of the same content, so that none of it is looked through again and again.

    Attributes
    ----------
    hopeless : from here on no ``EI`` stands that content goes on behind; -1 where that is not known.
    looked : bytes looked through so far.
    """

    hopeless: int = -1
    looked: int = 0


def inline_image_at(
    data: bytes, at: int, fault: Fault, search: Search | None = None
) -> tuple[InlineImage, int]:
    """The inline image whose ``BI`` ends at ``at``, and where its ``EI`` ends (ISO 32000-1, 8.9.7).

    Parameters
    ----------
    search : of the same content; kept from image to image.
    """
    search = search or Search()
    keys, begin = _dictionary(data, at)
    if begin is None:
        fault("An inline image breaks off before its picture.")
        return (keys, b""), at
    start = begin + 1 if data[begin : begin + 1] and data[begin : begin + 1] in b"\0\t\n\f\r " else begin
    if data[begin : begin + 2] == b"\r\n":
        start = begin + 2
    length = _known_length(data, start, keys, search)
    if length is not None:
        found = _END_HERE.match(data, start + length)
        if found:
            return (keys, data[start : start + length]), found.end()
        end = _end_from(data, start + length, start + length + _SLACK, search)
        if end is not None:
            return (keys, data[start : end[0]]), end[1]
    end = _some_end(data, start, search)
    if end is None:
        # Nothing that goes on as content does: the first that could be an end has to do.
        found = _END.search(data, start)
        if found is None:
            fault("An inline image is not closed; the rest of the content is taken for it.")
            return (keys, data[start:]), len(data)
        fault("Where an inline image ends cannot be told for certain.")
        end = found.span()
    return (keys, data[start : end[0]]), end[1]


def _some_end(data: bytes, at: int, search: Search) -> tuple[int, int] | None:
    """The first ``EI`` up to the end of all content behind which it goes on."""
    if 0 <= search.hopeless <= at:
        return None
    end = _end_from(data, at, len(data), search)
    search.looked += (len(data) if end is None else end[1]) - at
    if end is None:
        search.hopeless = at
    return end


def _end_from(data: bytes, at: int, last: int, search: Search) -> tuple[int, int] | None:
    """The first ``EI`` behind which content goes on: bytes of a picture may look like one."""
    found = _END.search(data, at)
    tried = 0
    while found is not None and found.start() <= last and tried < _MOST_TRIED:
        tried += 1
        search.looked += _AHEAD
        if _goes_on(data, found.end()):
            return found.span()
        found = _END.search(data, found.end())
    return None


def _goes_on(data: bytes, at: int) -> bool:
    """Whether content can go on here: some operands and an operator, or a string, array, dictionary or comment."""
    ahead = data[at : at + _AHEAD]
    text = _TEXT.match(ahead)
    readable = ahead if text is None else ahead[: text.end()]
    place = 0
    while True:
        blank = _SPACES.match(readable, place)
        place = blank.end() if blank else place
        word = _WORD.match(readable, place)
        if word is None:
            # The end of all content, or a delimiter that opens an operand.
            return at + place >= len(data) or readable[place : place + 1] in (b"(", b"<", b"[", b"%")
        place = word.end()
        if place == len(readable) and at + place < len(data):
            return place >= _AHEAD  # cut short by the look ahead, or by a byte that no text holds
        if _OPERAND.fullmatch(word[0]) is None:
            return word[0] in _OPERATORS


def _dictionary(data: bytes, at: int) -> tuple[dict[Name, Any], int | None]:
    """Keys and values up to ``ID``, and where that ends; None where it does not come."""
    keys: dict[Name, Any] = {}
    key: Name | None = None
    for _ in range(_MOST_WORDS):
        blank = _BLANK.match(data, at)
        at = blank.end() if blank else at
        plain = _PLAIN.match(data, at)
        value: Any
        if plain is not None:
            at = plain.end()
            word = plain[0]
            if word == b"ID":
                return keys, at
            if word in (b"BI", b"EI"):
                return keys, None
            value = {b"true": True, b"false": False}.get(word)
            if value is None:
                value = odd_decimal(word)[0]
        elif at >= len(data):
            return keys, None
        else:
            try:
                value, at = operand_at(data, at, _overlook)
            except ValueError:
                at += 1
                continue
        if key is not None:
            keys[key] = value
            key = None
        elif isinstance(value, Name):
            key = value
    return keys, None


def _overlook(message: str) -> None:
    """Damage inside the dictionary shows in the image that comes of it."""


def _known_length(data: bytes, start: int, keys: dict[Name, Any], search: Search) -> int | None:
    """How many bytes the picture takes where that can be told, else None."""
    packing = keys.get(Name("F"), keys.get(Name("Filter")))
    if isinstance(packing, list):
        packing = packing[0] if packing else None
    if packing in ("Fl", "FlateDecode"):
        return _packed_length(data, start, search)
    if packing in ("A85", "ASCII85Decode", "AHx", "ASCIIHexDecode"):
        mark = b"~>" if packing in ("A85", "ASCII85Decode") else b">"
        end = data.find(mark, start)
        search.looked += (len(data) if end < 0 else end) - start >> 6  # found at a stroke
        return None if end < 0 else end + len(mark) - start
    if packing in ("RL", "RunLengthDecode"):
        return _runs_length(data, start, search)
    return _plain_length(data, start, keys) if packing is None else _count(keys, "L", "Length")


def _plain_length(data: bytes, start: int, keys: dict[Name, Any]) -> int | None:
    width = _count(keys, "W", "Width")
    height = _count(keys, "H", "Height")
    bits = _count(keys, "BPC", "BitsPerComponent")
    space = keys.get(Name("CS"), keys.get(Name("ColorSpace")))
    components = _COMPONENTS.get(str(space[0] if isinstance(space, list) and space else space))
    if keys.get(Name("IM"), keys.get(Name("ImageMask"))) is True:
        bits, components = 1, 1
    if components is None or width is None or height is None or bits is None:
        return _count(keys, "L", "Length")  # PDF 2.0, where the file says so
    length = (width * components * bits + 7) // 8 * height
    return length if start + length <= len(data) else None


def _runs_length(data: bytes, start: int, search: Search) -> int | None:
    """Bytes of run lengths up to the end they state themselves (ISO 32000-1, 7.4.5)."""
    at, last = start, min(len(data), start + _LONGEST_RUNS)
    while at < last and data[at] != _END_OF_RUNS:
        at += data[at] + 2 if data[at] < _END_OF_RUNS else 2
    search.looked += at - start
    return at + 1 - start if at < last else None


def _count(keys: dict[Name, Any], short: str, long: str) -> int | None:
    value = keys.get(Name(short), keys.get(Name(long)))
    return int(value) if isinstance(value, float) and 0 <= value < 1e6 else None


def _packed_length(data: bytes, start: int, search: Search) -> int | None:
    """Bytes of a Flate stream, told by unpacking it and letting go of what comes out; None if it is damaged."""
    unpacker = zlib.decompressobj()
    for at in range(start, len(data), _PIECE):
        try:
            search.looked += len(unpacker.decompress(data[at : at + _PIECE])) // 16
        except zlib.error:
            return None
        if unpacker.eof:
            return min(at + _PIECE, len(data)) - len(unpacker.unused_data) - start
    return None
