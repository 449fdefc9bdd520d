"""How much memory the images of a page take while they are drawn. Knows no renderer but PDFium, and no limit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf

from preflight.readers.pdf.document.values import entry, identity, name_text, number
from preflight.readers.pdf.images.image_bytes import jpeg_2000_pixels

__all__ = ["drawing_memory"]

_HOLDERS = ("/XObject", "/Pattern", "/Font", "/ExtGState")
"""Resources that hold images, or content with resources of its own."""

_JPEG_2000_BYTES = 4
"""Of a pixel, as measured with PDFium 7."""


def drawing_memory(resources: Any) -> int:
    """Bytes for all images that are among the resources of a page, or of what is drawn on it.

    PDFium takes a row of an image at a time, as the image states its width, components and bits; JPEG 2000 it unpacks whole.
    """
    return sum(_bytes_of(image) for image in _images(resources))


def _images(resources: Any) -> Iterator[Any]:
    """Every image once, without recursion: forms may lie in one another as deep as a stranger likes."""
    seen: set[tuple[int, int]] = set()
    waiting = [resources]
    while waiting:
        holder = waiting.pop()
        for key in _HOLDERS:
            for one in _values(entry(holder, key)):
                known = identity(one)
                if known is not None and known in seen:
                    continue
                if known is not None:
                    seen.add(known)
                if name_text(entry(one, "/Subtype")) == "Image":
                    yield from (image for image in (one, entry(one, "/SMask")) if image is not None)
                waiting += [entry(one, "/Resources"), entry(entry(entry(one, "/SMask"), "/G"), "/Resources")]


def _values(holder: Any) -> list[Any]:
    if not isinstance(holder, pikepdf.Dictionary):
        return []
    return [entry(holder, key) for key in holder.keys()]  # noqa: SIM118 -- of a PDF dictionary, whose values may be broken


def _bytes_of(image: Any) -> int:
    columns, rows = (max(0.0, number(entry(image, key)) or 0.0) for key in ("/Width", "/Height"))
    packing = entry(image, "/Filter")
    if (
        name_text(packing[-1] if isinstance(packing, pikepdf.Array) and len(packing) else packing)
        == "JPXDecode"
    ):
        held = jpeg_2000_pixels(_raw(image)) or (0, 0)
        return _JPEG_2000_BYTES * max(held[0] * held[1], int(columns * rows))
    bits = min(number(entry(image, "/BitsPerComponent")) or 8.0, 16.0)
    return int(columns * _components(entry(image, "/ColorSpace")) * bits / 8.0)


def _raw(image: Any) -> bytes:
    try:
        return bytes(image.read_raw_bytes())
    except (pikepdf.PdfError, ValueError, RuntimeError, TypeError, AttributeError):
        return b""  # drawn by nobody


def _components(space: Any) -> int:
    """Of a colour space by its own account; as many as process colours have where it does not say."""
    if isinstance(space, pikepdf.Array) and len(space) > 1 and name_text(space[0]) == "DeviceN":
        return len(space[1]) if isinstance(space[1], pikepdf.Array) else 1
    return 4
