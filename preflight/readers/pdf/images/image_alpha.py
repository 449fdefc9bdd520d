"""The opacity of an image's pixels from its masks (ISO 32000-1, 8.9.6 and 11.6.5.3), decoded when asked for. Knows no page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pikepdf

from preflight.readers.limits import Limits
from preflight.readers.pdf.document.values import entry, numbers
from preflight.readers.pdf.images.image_samples import (
    Packed,
    filter_names,
    packed_image,
    samples_of,
    unwrapped_bytes,
)
from preflight.readers.picture_alpha import Pixels, picture_alpha

__all__ = ["Decoder", "decoder_of"]

Decoder = Callable[[], Pixels | None]


def decoder_of(
    holder: Any,
    raw: Callable[[], bytes],
    kind: str,
    filters: list[str],
    components: int | None,
    limits: Limits,
) -> Decoder:
    """What gives the opacity of an image that has a mask.

    Parameters
    ----------
    holder : the image's stream, or its dictionary with the keys spelt out.
    raw : its bytes, packed as they are.
    kind : of its mask, as in `preflight.artwork.model.Raster`.
    filters : names of the image's own filters.
    components : of its colour space, None where that is not known.
    """
    if kind == "stencil":
        stencil = packed_image(holder, raw, filters, 1)
        return lambda: _stencil(stencil, limits)
    if kind == "colour-key":
        image = packed_image(holder, raw, filters, components or 0)
        ranges = numbers(entry(holder, "/Mask")) or []
        return lambda: _keyed(image, list(ranges), limits)
    if kind == "soft" and not isinstance(entry(holder, "/SMask"), pikepdf.Stream):
        whole = packed_image(holder, raw, filters, 0)
        return lambda: _own(whole, limits)
    mask = entry(holder, "/SMask" if kind == "soft" else "/Mask")
    packed = packed_image(mask, mask.read_raw_bytes, filter_names(mask), 1)
    if kind == "explicit":
        return lambda: _stencil(packed, limits)
    return lambda: _soft(packed, limits)


def _stencil(packed: Packed | None, limits: Limits) -> Pixels | None:
    """255 where paint goes through: samples of 0, or of 1 where the decode array turns them round (8.9.6.2)."""
    samples = samples_of(packed, limits)
    if packed is None or samples is None:
        return None
    low, high = _range(packed)
    through = 1 if low > high else 0
    return np.where(samples[..., 0] == through, np.uint8(255), np.uint8(0))


def _range(packed: Packed) -> tuple[float, float]:
    """The lowest and highest value of the one component of a mask."""
    return (packed.decode[0], packed.decode[1]) if len(packed.decode) >= 2 else (0.0, 1.0)


def _soft(packed: Packed | None, limits: Limits) -> Pixels | None:
    samples = samples_of(packed, limits)
    if packed is None or samples is None:
        return None
    low, high = _range(packed)
    top = float(2 ** min(packed.bits, 8) - 1) if samples.dtype == np.uint8 else 65535.0
    steps = np.clip(low + np.arange(int(top) + 1) / top * (high - low), 0.0, 1.0) * 255.0
    found: Pixels = np.rint(steps).astype(np.uint8)[samples[..., 0]]
    return found


def _keyed(packed: Packed | None, ranges: list[float], limits: Limits) -> Pixels | None:
    """0 where every component of a pixel lies within its range (8.9.6.4)."""
    samples = samples_of(packed, limits)
    if samples is None or len(ranges) != 2 * samples.shape[2]:
        return None
    out = np.ones(samples.shape[:2], bool)
    for place in range(samples.shape[2]):
        out &= (samples[..., place] >= ranges[2 * place]) & (samples[..., place] <= ranges[2 * place + 1])
    return np.where(out, np.uint8(0), np.uint8(255))


def _own(packed: Packed | None, limits: Limits) -> Pixels | None:
    """The opacity that a JPEG 2000 image carries within itself (SMaskInData, table 89)."""
    if packed is None or packed.filters[-1:] != ("JPXDecode",):
        return None
    data = unwrapped_bytes(packed, limits)
    return None if data is None else picture_alpha(data, limits.image_pixels)
