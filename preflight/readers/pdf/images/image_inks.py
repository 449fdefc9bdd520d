"""The process inks of an image's pixels (DeviceCMYK), decoded when asked for, no finer than asked for. Knows no page."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preflight.readers.limits import Limits
from preflight.readers.pdf.images.image_samples import Packed, packed_image, samples_of, unwrapped_bytes

__all__ = ["InkDecoder", "ink_decoder_of"]

Inks = NDArray[np.uint8]
InkDecoder = Callable[[int, int], Inks | None]

_INKS = 4
_ROWS_AT_ONCE = 256


def ink_decoder_of(holder: Any, raw: Callable[[], bytes], filters: list[str], limits: Limits) -> InkDecoder:
    """What gives the inks of an image whose colour space is DeviceCMYK; see `preflight.artwork.model.InkPixels`.

    Parameters
    ----------
    holder : the image's stream, or its dictionary with the keys spelt out.
    raw : its bytes, packed as they are.
    filters : names of the image's filters.
    """
    packed = packed_image(holder, raw, filters, _INKS)
    return lambda columns, rows: _inks(packed, columns, rows, limits)


def _inks(packed: Packed | None, columns: int, rows: int, limits: Limits) -> Inks | None:
    if packed is None or packed.columns * packed.rows > limits.image_pixels:
        return None
    if packed.filters[-1:] == ("DCTDecode",):
        samples, top = _jpeg(packed, columns, rows, limits), 255.0
    else:
        samples = None if packed.filters[-1:] == ("JPXDecode",) else samples_of(packed, limits)
        top = float(2**packed.bits - 1)
    if samples is None:
        return None
    means = _averaged(samples, columns, rows) / top
    ranges = np.array(packed.decode or (0.0, 1.0) * _INKS, dtype=float)
    if len(ranges) != 2 * _INKS:
        return None
    low, high = ranges[::2], ranges[1::2]
    found: Inks = np.rint(255.0 * np.clip(low + means * (high - low), 0.0, 1.0)).astype(np.uint8)
    return found


def _jpeg(packed: Packed, columns: int, rows: int, limits: Limits) -> NDArray[Any] | None:
    """The samples of a JPEG, at a half, a quarter or an eighth of its size where that is still fine enough."""
    from PIL import Image, UnidentifiedImageError

    data = unwrapped_bytes(packed, limits)
    if data is None:
        return None
    try:
        with Image.open(io.BytesIO(data)) as image:
            if image.mode != "CMYK" or image.size != (packed.columns, packed.rows):
                return None
            image.draft(None, (columns, rows))
            # Pillow turns every CMYK JPEG round, as programs that mark them so want it; PDF has the Decode array for that.
            return 255 - np.asarray(image)
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError):
        return None


def _averaged(samples: NDArray[Any], columns: int, rows: int) -> NDArray[np.float64]:
    """Samples (r, c, 4) averaged over the pixels of each of so many rows and columns, where there are more of them."""
    down, across = (
        np.unique(np.linspace(0, count, min(count, wanted) + 1).astype(np.intp))
        for count, wanted in ((samples.shape[0], rows), (samples.shape[1], columns))
    )
    found = np.empty((len(down) - 1, len(across) - 1, samples.shape[2]))
    widths = np.diff(across)[:, None]
    for row, (first, last) in enumerate(zip(down[:-1].tolist(), down[1:].tolist(), strict=True)):
        lines = np.zeros((samples.shape[1], samples.shape[2]))
        for start in range(first, last, _ROWS_AT_ONCE):  # a share of the image at a time, as wide numbers
            lines += samples[start : min(start + _ROWS_AT_ONCE, last)].sum(axis=0, dtype=np.float64)
        found[row] = np.add.reduceat(lines, across[:-1], axis=0) / widths / (last - first)
    return found
