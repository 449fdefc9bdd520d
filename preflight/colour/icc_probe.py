"""Profiles made here that let LittleCMS hand out Lab in sixteen bits. Knows no shop's profile.

Pillow passes Lab in eight bits a channel, a step of which is 0.4 to 1 ΔE: too coarse to tell what is in reach. It passes grey in
sixteen. So three outputs are made whose single "grey" is L*, a* or b* as it stands in the connection space (ICC.1, lut16Type:
one table of two nodes an axis, which is the identity of one axis), and every colour is asked for three times.
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

__all__ = ["axis_profile", "lab_of_axes"]

_WHITE = struct.pack(">3i", round(0.9642 * 65536), 65536, round(0.8249 * 65536))  # ICC.1, 7.2.16
_HEADER = 128


def axis_profile(axis: int) -> bytes:
    """An output profile of one channel that prints L* (``axis`` 0), a* (1) or b* (2)."""
    table = _lookup(axis)
    tags = (
        (b"desc", b"desc\0\0\0\0" + struct.pack(">I", 5) + b"axis\0" + bytes(78)),
        (b"cprt", b"text\0\0\0\0none\0"),
        (b"wtpt", b"XYZ \0\0\0\0" + _WHITE),
        (b"B2A0", table),
        (b"B2A1", table),
    )
    place = _HEADER + 4 + 12 * len(tags)
    listing, body = struct.pack(">I", len(tags)), b""
    for signature, content in tags:
        listing += struct.pack(">4s2I", signature, place + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    size = place + len(body)
    header = struct.pack(">I4xI4s4s4s", size, 0x02400000, b"prtr", b"GRAY", b"Lab ")
    header += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + bytes(28) + _WHITE
    return header.ljust(_HEADER, b"\0") + listing + body


def _lookup(axis: int) -> bytes:
    """lut16Type: three axes in, one out, straight curves, and at each corner of the cube the place on the axis wanted."""
    unit = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    straight = struct.pack(">2H", 0, 65535)
    corners = struct.pack(">8H", *(65535 * corner[axis] for corner in np.ndindex(2, 2, 2)))
    head = struct.pack(">4s4x4B", b"mft2", 3, 1, 2, 0) + unit + struct.pack(">2H", 2, 2)
    return head + straight * 3 + corners + straight


def lab_of_axes(axes: NDArray[np.uint16]) -> NDArray[np.float64]:
    """Lab (n, 3) of the numbers that the three outputs print, (3, n): lut16Type has L* 100 at FF00 and a* 0 at 8000 (hexadecimal)."""
    numbers = axes.astype(float)
    return np.stack((numbers[0] * 100 / 0xFF00, numbers[1] / 256 - 128, numbers[2] / 256 - 128), axis=1)
