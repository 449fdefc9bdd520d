"""Pixels as a PNG file, packed without compression so that the bytes are the same everywhere. Knows not what they show.

PNG: ISO/IEC 15948; zlib and stored blocks: RFC 1950, RFC 1951 3.2.4.
"""

from __future__ import annotations

import struct
import zlib

from demo_sheet.sheet import Picture

_MOST = 0xFFFF
"""Bytes of one stored block."""


def png_bytes(picture: Picture) -> bytes:
    """The whole file; its rows must fit into one block."""
    pixels, width = picture.pixels(), 3 * picture.columns
    rows = b"".join(b"\0" + pixels[at : at + width] for at in range(0, len(pixels), width))
    if len(rows) > _MOST:
        raise ValueError(f"{picture.name}: {len(rows)} bytes are more than one stored block holds")
    packed = b"\x78\x01\x01" + struct.pack("<HH", len(rows), len(rows) ^ _MOST) + rows
    packed += struct.pack(">I", zlib.adler32(rows))
    head = struct.pack(">IIBBBBB", picture.columns, picture.rows, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", packed), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*chunk) for chunk in chunks)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
