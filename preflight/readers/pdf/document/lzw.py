"""How much LZW data unpacks to, counted without unpacking it (ISO 32000-1, 7.4.4). Knows no stream."""

from __future__ import annotations

import pikepdf

__all__ = ["early_change", "lzw_size"]


def early_change(parms: object) -> int:
    """What ``/DecodeParms`` say of when codes grow longer (ISO 32000-1, table 8)."""
    parms = parms[0] if isinstance(parms, pikepdf.Array) and len(parms) else parms
    return 0 if isinstance(parms, pikepdf.Dictionary) and parms.get("/EarlyChange", 1) == 0 else 1


def lzw_size(raw: bytes, early: int, most: int) -> int:
    """Bytes that LZW data unpacks to, counted up to ``most`` and a little (ISO 32000-1, 7.4.4.2)."""
    # A loop over codes: each code's width hangs on the ones before it.
    sizes = [1] * 258
    width, previous, total, held, bits = 9, 0, 0, 0, 0
    for byte in raw:
        held = (held << 8) | byte
        bits += 8
        if bits < width:
            continue
        bits -= width
        code = held >> bits
        held &= (1 << bits) - 1
        if code == 256:
            del sizes[258:]
            width, previous = 9, 0
            continue
        if code == 257 or total > most:
            break
        if previous and len(sizes) < 4096:
            sizes.append(previous + 1)
        if code >= len(sizes):
            break
        previous = sizes[code]
        total += previous
        entries = len(sizes) + early
        width = 12 if entries >= 2048 else 11 if entries >= 1024 else 10 if entries >= 512 else 9
    return total
