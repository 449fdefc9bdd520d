"""The alpha of a picture in a common format (PNG, WebP, GIF, TIFF, JPEG 2000 …), decoded by Pillow. Knows no drawing and no PDF."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray

__all__ = ["Pixels", "may_be_clear", "picture_alpha"]

Pixels = NDArray[np.uint8]

_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_WITHOUT_ALPHA = (0, 2, 3)
"""Colour types of ISO/IEC 15948, 11.2.2, that are clear only through a chunk of their own."""


def may_be_clear(head: bytes) -> bool:
    """Whether a picture may have pixels that are not opaque, by its first bytes."""
    if head.startswith(b"\xff\xd8"):
        return False
    if head.startswith(_PNG) and len(head) > 25 and head[25] in _PNG_WITHOUT_ALPHA:
        # tRNS stands before the first IDAT (ISO/IEC 15948, 5.6); where that is not to be seen, it may be there.
        start = head.find(b"IDAT")
        return start < 0 or b"tRNS" in head[:start]
    return True


def picture_alpha(data: bytes, most: int) -> Pixels | None:
    """(rows, columns) opacity of each pixel, 255 where it is opaque; None where the picture cannot be decoded.

    Parameters
    ----------
    most : pixels of a picture that is opened.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data)) as image:
            columns, rows = image.size
            if columns * rows > most:
                return None
            if image.mode not in ("LA", "La", "PA", "RGBA", "RGBa") and "transparency" not in image.info:
                # Read all the same: a picture that breaks off is none.
                image.load()
                return np.full((rows, columns), 255, np.uint8)
            return np.asarray(image.convert("RGBA").getchannel("A"))
    except (
        UnidentifiedImageError,
        Image.DecompressionBombError,
        OSError,
        ValueError,
        SyntaxError,
        EOFError,
        MemoryError,
    ):
        return None
