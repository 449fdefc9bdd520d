"""Sampled PDF functions, type 0 (ISO 32000-1 7.10.2). Knows no colour and no other type."""

from __future__ import annotations

import math

import numpy as np
import pikepdf

from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.document.values import entry, number, numbers
from preflight.readers.pdf.functions.reading import Floats, Function, FunctionError

__all__ = ["Sampled"]

_MOST_SAMPLES = 1 << 23
_MOST_DIMENSIONS = 12
"""Inputs sampled more than once; each doubles the samples that one value is worked out from."""
_WIDTHS = (1, 2, 4, 8, 12, 16, 24, 32)


class Sampled(Function):
    """A table of samples with multilinear interpolation between them."""

    def __init__(self, value: pikepdf.Object, domain: Floats, range_: Floats, streams: Streams) -> None:
        inputs, outputs = len(domain), len(range_)
        super().__init__(domain, range_, outputs)
        size = numbers(entry(value, "/Size"))
        if size is None or len(size) != inputs or any(one < 1 or one != int(one) for one in size):
            raise FunctionError(f"Size is not {inputs} whole numbers above 0")
        self._size = np.array(size, dtype=np.int64)
        if math.prod(map(int, size)) * outputs > _MOST_SAMPLES:
            raise FunctionError(f"the table holds more than {_MOST_SAMPLES:,} samples")
        if int((self._size > 1).sum()) > _MOST_DIMENSIONS:
            raise FunctionError(f"the table has more than {_MOST_DIMENSIONS} dimensions")
        bits = number(entry(value, "/BitsPerSample"))
        if bits not in _WIDTHS or bits is None:
            raise FunctionError("BitsPerSample is none of the widths a sample can have")
        encode = entry(value, "/Encode")
        decode = entry(value, "/Decode")
        # Encode may turn a dimension round, Decode an output: their ends are not in order then.
        self._encode = self._pairs(encode, np.stack([np.zeros(inputs), self._size - 1.0], axis=1), "Encode")
        self._decode = self._pairs(decode, range_, "Decode")
        if entry(value, "/Order") not in (None, 1):
            self.remarks = ("A sampled function asks for cubic interpolation; it is read in straight lines.",)
        count = int(self._size.prod()) * outputs
        found = streams.unpacked(value)
        samples = _unpacked_samples(found.data, int(bits), count)
        if samples is None:
            why = f" ({found.fault})" if found.fault else ""
            raise FunctionError(f"the table of samples stops short{why}")
        low, high = self._decode[:, 0], self._decode[:, 1]
        # One row of outputs for each sample, the first input running fastest.
        self._table = low + samples.reshape(-1, outputs) / (2.0**bits - 1) * (high - low)
        self._step = np.concatenate([[1], np.cumprod(self._size)[:-1]])

    @staticmethod
    def _pairs(value: object, default: Floats, what: str) -> Floats:
        if value is None:
            return default
        found = numbers(value)
        if found is None or len(found) != default.size:
            raise FunctionError(f"{what} is not {default.size} numbers")
        return np.array(found).reshape(-1, 2)

    def _rows(self, rows: Floats) -> Floats:
        low, high = self.domain[:, 0], self.domain[:, 1]
        width = np.where(high > low, high - low, 1.0)
        place = self._encode[:, 0] + (rows - low) / width * (self._encode[:, 1] - self._encode[:, 0])
        place = np.clip(place, 0.0, self._size - 1.0)
        below = np.minimum(np.floor(place), np.maximum(self._size - 2, 0)).astype(np.int64)
        share = place - below
        base = below @ self._step
        found = np.zeros((len(rows), self.outputs))
        axes = np.flatnonzero(self._size > 1)
        # Every corner of the cell a row lies in, weighted; the number of dimensions is bounded above.
        for corner in range(1 << len(axes)):
            weight = np.ones(len(rows))
            offset = 0
            for bit, axis in enumerate(axes.tolist()):
                upper = corner >> bit & 1
                weight *= share[:, axis] if upper else 1 - share[:, axis]
                offset += int(self._step[axis]) * upper
            used = np.flatnonzero(weight)
            found[used] += weight[used, None] * self._table[base[used] + offset]
        return found

    def breaks(self) -> tuple[float, ...]:
        """Where a sample lies, of a one-input function with few samples."""
        start, end = self._encode[0].tolist()
        if self.inputs != 1 or start == end or self._size[0] > 256:
            return ()
        low, high = self.domain[0].tolist()
        places = [low + (index - start) / (end - start) * (high - low) for index in range(int(self._size[0]))]
        return tuple(sorted(place for place in places if low < place < high))


def _unpacked_samples(data: bytes, bits: int, count: int) -> Floats | None:
    """``count`` whole numbers of ``bits`` bits each, without gaps, high bit first; None where they stop short."""
    if len(data) * 8 < count * bits:
        return None
    data = data[: (count * bits + 7) // 8]
    raw = np.frombuffer(data, dtype=np.uint8)
    # Each width by bytes, never by spreading out bits to numbers: a table may hold millions of samples.
    if bits in (8, 16, 32):
        return raw.view(f">u{bits // 8}").astype(np.float64)
    if bits == 24:
        found: Floats = raw.reshape(-1, 3) @ np.array([65536.0, 256.0, 1.0])
        return found
    if bits == 12:
        thirds = np.pad(raw, (0, -len(raw) % 3)).reshape(-1, 3).astype(np.uint16)
        pairs = [thirds[:, 0] << 4 | thirds[:, 1] >> 4, (thirds[:, 1] & 15) << 8 | thirds[:, 2]]
        return np.stack(pairs, axis=1).ravel()[:count].astype(np.float64)
    parts = [raw >> shift & (1 << bits) - 1 for shift in range(8 - bits, -1, -bits)]
    return np.stack(parts, axis=1).ravel()[:count].astype(np.float64)
