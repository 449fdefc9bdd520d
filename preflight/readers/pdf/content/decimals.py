"""Decimal numbers of a content stream out of its bytes, many at once. Knows the notation of PDF, no operator."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["DIGIT", "DOT", "SIGN", "decimals", "odd_decimal"]

Bytes = NDArray[np.uint8]
Words = NDArray[np.uint64]

DIGIT, SIGN, DOT = 1, 2, 4
"""What a byte may be to a number, as bits that can be joined."""

_WORD = 8
_KEPT = np.array(
    [0] + [((1 << 64) - 1) << 8 * (_WORD - count) & ((1 << 64) - 1) for count in range(1, 9)], np.uint64
)
"""Which bits of a word hold its last 0 to 8 bytes (little-endian)."""
_TENS = 10.0 ** np.arange(_WORD + 1)
_MOST_DIGITS = 15
"""Integers of so many digits are exact as float64, and so is their quotient by a power of ten rounded rightly."""


def decimals(data: Bytes, starts: Integers, ends: Integers, flags: Bytes) -> tuple[Floats, Integers]:
    """The values of number tokens (ISO 32000-1, 7.3.3).

    Parameters
    ----------
    data : (n,) the bytes, at least 8 of them before the first token.
    starts, ends : (m,) first byte and the one after the last of each token.
    flags : (m,) which of `DIGIT`, `SIGN` and `DOT` occur in the token; nothing else does.

    Returns
    -------
    values, odd
        (m,) the values; the indices of tokens not written as the standard says, read as well as can be.
    """
    heads = data[starts]
    signed = (heads == 0x2D) | (heads == 0x2B)
    dots, doubtful = _dots(data, starts, ends, flags)
    whole = dots - starts - signed
    share = np.maximum(ends - dots - 1, 0)
    doubtful |= (whole > _WORD) | (share > _WORD) | (whole + share > _MOST_DIGITS) | (whole + share < 1)
    # A sign anywhere but in front: rare enough to look for only where their count gives it away.
    if np.count_nonzero((data == 0x2D) | (data == 0x2B)) != np.count_nonzero(signed):
        doubtful |= _inner_signs(data, starts, ends)
    whole[doubtful] = 0
    share[doubtful] = 0
    tens = _TENS[share]
    values = (_digits(data, dots, whole) * tens + _digits(data, ends, share)) / tens
    np.negative(values, out=values, where=heads == 0x2D)
    odd = []
    for index in np.flatnonzero(doubtful).tolist():
        values[index], proper = odd_decimal(data[starts[index] : ends[index]].tobytes())
        if not proper:
            odd.append(index)
    return values, np.array(odd, np.intp)


def odd_decimal(text: bytes) -> tuple[float, bool]:
    """A number as viewers read it, and whether it is written properly.

    More than one sign in front counts as one; what follows a second dot or an inner sign is left out; a lone sign
    or dot is zero. Digits beyond what a float holds make it infinite.
    """
    try:
        return float(text), True
    except ValueError:
        pass
    rest = text.lstrip(b"+-")
    negative = text.startswith(b"-")
    kept = bytearray()
    for byte in rest:
        if byte in b"+-" or (byte == 0x2E and b"." in kept):
            break
        kept.append(byte)
    try:
        value = float(bytes(kept))
    except ValueError:  # no digit at all
        value = 0.0
    return -value if negative else value, False


def _dots(data: Bytes, starts: Integers, ends: Integers, flags: Bytes) -> tuple[Integers, Flags]:
    """Where each token's dot stands (its end where it has none), and which have more than one."""
    dotted = np.flatnonzero(flags & DOT)
    dots = ends.copy()
    several = np.zeros(len(starts), bool)
    places = np.flatnonzero(data == 0x2E)
    if len(places) == len(dotted):
        dots[dotted] = places
        return dots, several
    owners = np.searchsorted(starts, places, "right") - 1
    inside = (owners >= 0) & (places < ends[owners])
    places, owners = places[inside], owners[inside]
    several[owners[1:][owners[1:] == owners[:-1]]] = True
    dots[owners[::-1]] = places[::-1]
    return dots, several


def _inner_signs(data: Bytes, starts: Integers, ends: Integers) -> Flags:
    found = np.zeros(len(starts), bool)
    places = np.flatnonzero((data == 0x2D) | (data == 0x2B))
    owners = np.searchsorted(starts, places, "right") - 1
    inside = (owners >= 0) & (places < ends[owners]) & (places > starts[owners])
    found[owners[inside]] = True
    return found


def _digits(data: Bytes, ends: Integers, counts: Integers) -> Floats:
    """Values of runs of up to 8 digits that end before ``ends``: all bytes of a word are joined pairwise."""
    words = np.ndarray((len(data) - _WORD + 1,), "<u8", data.data, strides=(1,))
    found = words[ends - _WORD] & _KEPT[counts]
    for mask, factor, shift in (
        (0x0F0F0F0F0F0F0F0F, 1 + (10 << 8), 8),
        (0x00FF00FF00FF00FF, 1 + (100 << 16), 16),
        (0x0000FFFF0000FFFF, 1 + (10000 << 32), 32),
    ):
        found &= np.uint64(mask)
        # ab: the low byte times ten plus the high one, left in the high half of each pair.
        found *= np.uint64(factor)
        found >>= np.uint64(shift)
    return found.astype(np.float64)
