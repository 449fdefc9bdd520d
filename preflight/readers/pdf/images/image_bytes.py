"""Whether the packed bytes of an image are all there, and what size they say themselves. Knows no PDF object.

Nothing is kept of what is unpacked, so a large image costs time but no memory.
"""

from __future__ import annotations

import base64
import re
import struct
import zlib
from collections.abc import Callable, Sequence

from preflight.readers.pdf.document.lzw import lzw_size

__all__ = [
    "BITS",
    "LOSSLESS",
    "PICTURES",
    "jpeg_2000_pixels",
    "jpeg_pixels",
    "picture_fault",
    "sample_fault",
    "unwrapped",
]

LOSSLESS = frozenset({"FlateDecode", "LZWDecode", "RunLengthDecode", "ASCII85Decode", "ASCIIHexDecode"})
PICTURES = frozenset({"DCTDecode", "JPXDecode", "CCITTFaxDecode", "JBIG2Decode"})
"""Filters that know pictures (ISO 32000-1, table 6); what they hold is not opened."""

BITS = (1, 2, 4, 8, 16)
"""Of a component of samples that are no picture (table 89)."""

_PIECE = 1 << 18
_RUNS = 1 << 16
_TAIL = 1024
"""Bytes at the end of a picture in which its end mark is looked for; writers pad."""


def unwrapped(raw: bytes, filters: Sequence[str], room: int) -> bytes | None:
    """The bytes beneath ASCII filters and Flate, in the order given.

    Parameters
    ----------
    room : bytes that Flate may make of them; None comes back where it is more, or where they are damaged.
    """
    for name in filters:
        try:
            if name == "ASCII85Decode":
                raw = _from_ascii85(raw)
            elif name == "ASCIIHexDecode":
                digits = re.sub(rb"[^0-9A-Fa-f]", b"", raw.split(b">")[0])
                raw = bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii"))
            elif name == "FlateDecode":
                unpacker = zlib.decompressobj()
                raw = unpacker.decompress(raw, room)
                if unpacker.unconsumed_tail:
                    return None
            else:
                return None
        except (ValueError, zlib.error):
            return None
    return raw


def _from_ascii85(raw: bytes) -> bytes:
    body = raw.strip().removeprefix(b"<~").split(b"~")[0]
    return base64.a85decode(body, ignorechars=b"\0\t\n\x0b\x0c\r ")


def sample_fault(
    raw: bytes, packing: str | None, wanted: int, check: Callable[[], None], early: int = 1
) -> str | None:
    """What is wrong with plain samples, or None.

    Parameters
    ----------
    packing : ``FlateDecode``, ``RunLengthDecode``, ``LZWDecode``, or None for none.
    early : of LZW, whether codes grow longer one code early, 1 or 0.
    wanted : bytes that the image's size asks for.
    check : called now and then; raises when the time is over.
    """
    damaged = False
    if packing == "FlateDecode":
        have, damaged = _inflated_size(raw, wanted, check)
    elif packing == "LZWDecode":
        have = lzw_size(raw, early, wanted)
    elif packing == "RunLengthDecode":
        have = _run_length_size(raw, wanted, check)
    else:
        have = len(raw)
    if have >= wanted:
        return None
    share = f"{have / wanted:.0%} of its pixels are there" if have else "none of its pixels are there"
    return f"its content is {'damaged' if damaged else 'cut off'}; {share}"


def _inflated_size(raw: bytes, wanted: int, check: Callable[[], None]) -> tuple[int, bool]:
    """Bytes that Flate data unpacks to, counted up to ``wanted`` and a little, and whether damage ends it."""
    unpacker = zlib.decompressobj()
    size, rest = 0, memoryview(raw)
    piece: bytes | memoryview = b""
    while size < wanted and not unpacker.eof:
        check()
        if not len(piece):
            piece, rest = rest[:_PIECE], rest[_PIECE:]
            if not len(piece):
                break
        try:
            size += len(unpacker.decompress(piece, _PIECE * 4))
        except zlib.error:
            return size, True
        piece = unpacker.unconsumed_tail
    return size, False


def _run_length_size(raw: bytes, wanted: int, check: Callable[[], None]) -> int:
    """Bytes that run lengths unpack to (ISO 32000-1, 7.4.5), counted up to ``wanted`` and a little."""
    # A loop over runs: where each starts hangs on the one before it.
    size = place = 0
    goes_on = True
    while goes_on:
        check()
        for _ in range(_RUNS):
            goes_on = place < len(raw) and size < wanted and raw[place] != 128
            if not goes_on:
                break
            length = raw[place]
            if length < 128:
                size += min(length + 1, len(raw) - place - 1)
                place += length + 2
            else:
                size += 257 - length
                place += 2
    return size


def picture_fault(raw: bytes, packing: str) -> str | None:
    """What is plainly wrong with a packed picture, or None; its pixels are not looked at."""
    if not raw.strip(b"\0\t\n\x0c\r "):
        return "it holds no data"
    if packing == "DCTDecode":
        # ISO/IEC 10918-1, B.1.1.3: SOI and EOI.
        if b"\xff\xd8" not in raw[:_TAIL]:
            return "its content is no JPEG"
        if b"\xff\xd9" not in raw[-_TAIL:]:
            return "its content is cut off"
    elif packing == "JPXDecode":
        # ISO/IEC 15444-1, A.2: SOC and EOC.
        if b"\xff\x4f\xff\x51" not in raw:
            return "its content is no JPEG 2000"
        if b"\xff\xd9" not in raw[-_TAIL:]:
            return "its content is cut off"
    return None


def jpeg_pixels(raw: bytes) -> tuple[int, int] | None:
    """Columns and rows from the frame header (ISO/IEC 10918-1, B.2.2)."""
    place = raw.find(b"\xff\xd8", 0, _TAIL) + 2
    while place >= 2 and place + 9 <= len(raw):
        if raw[place] != 0xFF:
            return None
        marker = raw[place + 1]
        if marker == 0xFF:
            place += 1
        elif 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            rows, columns = struct.unpack(">HH", raw[place + 5 : place + 9])
            return columns, rows
        elif 0xD0 <= marker <= 0xD8 or marker == 0x01:
            place += 2
        else:
            place += 2 + int.from_bytes(raw[place + 2 : place + 4], "big")
    return None


def jpeg_2000_pixels(raw: bytes) -> tuple[int, int] | None:
    """Columns and rows from the size marker of the codestream (ISO/IEC 15444-1, A.5.1)."""
    place = raw.find(b"\xff\x4f\xff\x51")
    if place < 0 or place + 24 > len(raw):
        return None
    right, bottom, left, top = struct.unpack(">IIII", raw[place + 8 : place + 24])
    return (right - left, bottom - top) if right > left and bottom > top else None
