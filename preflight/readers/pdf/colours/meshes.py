"""The packed vertices of mesh shadings, types 4 to 7 (ISO 32000-1 8.7.4.5.5 to 8.7.4.5.8). Knows no colour space."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import pikepdf
from numpy.typing import NDArray

from preflight.readers.pdf.document.values import entry, number, numbers
from preflight.readers.pdf.functions.reading import Floats

__all__ = ["Mesh", "MeshError", "mesh_of"]

_MOST_RECORDS = 2_000_000
"""Vertices or patches of one mesh; a project assumption."""
_BITS_AT_ONCE = 1 << 21
"""Bits unpacked at once: each becomes eight bytes."""
_KEPT = 64
"""Vertices or patches whose colours are kept: enough to see what it paints with."""


class MeshError(Exception):
    """The mesh is damaged; the message says how, as the end of a sentence."""


class Mesh(NamedTuple):
    """What is taken from a mesh.

    Attributes
    ----------
    box : x0, y0, x1, y1 of all its points, in the shading's space. Patches lie inside the hull of theirs.
    colours : (k, components) of the corners of up to 64 vertices or patches, evenly spread over the stream.
    highest : (components,) the highest value of each component over all corners.
    left_over : bytes at the end that make no whole vertex or patch.
    """

    box: tuple[float, float, float, float]
    colours: Floats
    highest: Floats
    left_over: int


class _Layout(NamedTuple):
    """Bits of one record's parts, and how they are decoded."""

    flag: int
    coordinate: int
    component: int
    components: int
    points_decode: Floats
    colours_decode: Floats

    def size(self, points: int, colours: int, flag: bool) -> int:
        """Bytes of a record; it is padded to a whole byte."""
        bits = self.flag * flag + 2 * points * self.coordinate + colours * self.components * self.component
        return (bits + 7) // 8


def mesh_of(kind: int, value: pikepdf.Object, data: bytes, components: int) -> Mesh:
    """The extent and colours of a mesh.

    Parameters
    ----------
    kind : shading type, 4 to 7.
    data : the stream, unpacked.
    components : numbers of one colour; 1 where the shading has a function.

    Raises
    ------
    MeshError
    """
    layout = _layout(kind, value, components)
    raw = np.frombuffer(data, dtype=np.uint8)
    low, high = np.full(2, np.inf), np.full(2, -np.inf)
    highest = np.full(components, -np.inf)
    kept: list[Floats] = []
    starts = _records(kind, layout, raw)
    end = max((int(offsets[-1]) + size for offsets, size, _, _ in starts if len(offsets)), default=0)
    for offsets, size, points, colours in starts:
        wanted = set(np.linspace(0, max(len(offsets) - 1, 0), _KEPT).astype(np.intp).tolist())
        at_once = _BITS_AT_ONCE // (8 * size) + 1
        for first in range(0, len(offsets), at_once):
            part = offsets[first : first + at_once]
            bits = np.unpackbits(raw[part[:, None] + np.arange(size)], axis=1)
            place, shade = _unpacked(layout, bits, points, colours, kind != 5)
            low, high = np.minimum(low, place.min(axis=(0, 1))), np.maximum(high, place.max(axis=(0, 1)))
            highest = np.maximum(highest, shade.max(axis=(0, 1)))
            chosen = [index - first for index in sorted(wanted) if first <= index < first + len(part)]
            kept.append(shade[chosen].reshape(-1, components))
    if not kept:
        raise MeshError("it holds no whole vertex or patch")
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return Mesh(box, np.concatenate(kept), highest, len(raw) - end)


def _layout(kind: int, value: pikepdf.Object, components: int) -> _Layout:
    def bits(key: str, allowed: tuple[int, ...]) -> int:
        found = number(entry(value, key))
        if found not in allowed or found is None:
            raise MeshError(f"{key[1:]} is none of the widths it can have")
        return int(found)

    decode = numbers(entry(value, "/Decode"))
    if decode is None or len(decode) < 4 + 2 * components:
        raise MeshError(f"Decode is not {4 + 2 * components} numbers")
    pairs = np.array(decode[: 4 + 2 * components]).reshape(-1, 2)
    return _Layout(
        0 if kind == 5 else bits("/BitsPerFlag", (2, 4, 8)),
        bits("/BitsPerCoordinate", (1, 2, 4, 8, 12, 16, 24, 32)),
        bits("/BitsPerComponent", (1, 2, 4, 8, 12, 16)),
        components,
        pairs[:2],
        pairs[2:],
    )


_Records = tuple[NDArray[np.intp], int, int, int]
"""Where records of one make begin, bytes of each, points and colours of each."""


def _records(kind: int, layout: _Layout, raw: NDArray[np.uint8]) -> list[_Records]:
    if kind in (4, 5):
        size = layout.size(1, 1, kind == 4)
        count = len(raw) // size
        if count > _MOST_RECORDS:
            raise MeshError(f"it holds more than {_MOST_RECORDS:,} vertices")
        return [(np.arange(count, dtype=np.intp) * size, size, 1, 1)]
    whole_points, joined_points = (12, 8) if kind == 6 else (16, 12)
    whole, joined = layout.size(whole_points, 4, True), layout.size(joined_points, 2, True)
    offsets: tuple[list[int], list[int]] = ([], [])
    for place, is_joined in _patches(raw, layout.flag, whole, joined):
        offsets[is_joined].append(place)
    return [
        (np.array(offsets[0], dtype=np.intp), whole, whole_points, 4),
        (np.array(offsets[1], dtype=np.intp), joined, joined_points, 2),
    ]


def _patches(raw: NDArray[np.uint8], flag_bits: int, whole: int, joined: int) -> Iterator[tuple[int, bool]]:
    """Where each patch begins, and whether it takes an edge from the one before: each one's size hangs on that."""
    data = raw.tobytes()
    place, count = 0, 0
    while place < len(data):
        is_joined = bool(data[place] >> (8 - flag_bits) & 3)
        size = joined if is_joined else whole
        if place + size > len(data):
            return
        count += 1
        if count > _MOST_RECORDS:
            raise MeshError(f"it holds more than {_MOST_RECORDS:,} patches")
        yield place, is_joined
        place += size


def _unpacked(
    layout: _Layout, bits: NDArray[np.uint8], points: int, colours: int, flag: bool
) -> tuple[Floats, Floats]:
    """Points (k, points, 2) and colours (k, colours, components) of records given as bits (k, bits)."""
    start = layout.flag if flag else 0
    end = start + 2 * points * layout.coordinate
    place = _whole_numbers(bits[:, start:end], layout.coordinate).reshape(len(bits), points, 2)
    start, end = end, end + colours * layout.components * layout.component
    shade = _whole_numbers(bits[:, start:end], layout.component).reshape(
        len(bits), colours, layout.components
    )
    return (
        _decoded(place, layout.coordinate, layout.points_decode),
        _decoded(shade, layout.component, layout.colours_decode),
    )


def _whole_numbers(bits: NDArray[np.uint8], width: int) -> Floats:
    found: Floats = bits.reshape(len(bits), -1, width) @ (2.0 ** np.arange(width - 1, -1, -1))
    return found


def _decoded(values: Floats, width: int, decode: Floats) -> Floats:
    found: Floats = decode[:, 0] + values / (2.0**width - 1) * (decode[:, 1] - decode[:, 0])
    return found
