"""The samples of an image as its file packs them (ISO 32000-1, 8.9.5), decoded when asked for. Knows no mask and no page.

What is needed of the file is kept packed as it is, since the document is closed by the time anybody asks.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import msgspec
import numpy as np
import pikepdf
from numpy.typing import NDArray

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.streams import Streams, bounded
from preflight.readers.pdf.document.values import entry, name_text, number, numbers
from preflight.readers.pdf.images.image_bytes import BITS

__all__ = ["Packed", "filter_names", "packed_image", "samples_of", "unwrapped_bytes"]


class Packed(msgspec.Struct, frozen=True, eq=False):
    """An image's samples as the file packs them.

    ``bits`` is 0 where the file states a number of them that cannot be. ``filters`` and ``parameters`` run in step; ``decode`` holds the lowest and highest value of each component, 0 to 1, as the file states
    them: two numbers for one component, empty where it states none.
    """

    data: bytes
    columns: int
    rows: int
    bits: int
    components: int
    filters: tuple[str, ...]
    parameters: tuple[dict[str, Any], ...]
    decode: tuple[float, ...]


def packed_image(holder: Any, raw: Callable[[], bytes], filters: list[str], components: int) -> Packed | None:
    """What an image's dictionary and bytes hold; None where they do not say enough.

    Parameters
    ----------
    components : of its colour space, 0 where that does not matter.
    """
    columns, rows = (number(entry(holder, key)) for key in ("/Width", "/Height"))
    bits = 1 if entry(holder, "/ImageMask") is True else number(entry(holder, "/BitsPerComponent")) or 8
    if bits not in BITS:
        bits = 0
    decode = numbers(entry(holder, "/Decode"))
    try:
        data = raw()
    except (pikepdf.PdfError, ValueError, RuntimeError):
        return None
    if not columns or not rows or columns < 1 or rows < 1 or entry(holder, "/F") is not None:
        return None
    parameters = _parameters(entry(holder, "/DecodeParms"), len(filters))
    return Packed(
        data, int(columns), int(rows), int(bits), components, tuple(filters), parameters, tuple(decode or ())
    )


def filter_names(stream: Any) -> list[str]:
    """The names of a stream's filters, the outermost first."""
    given = entry(stream, "/Filter")
    names = [name_text(one) for one in given] if isinstance(given, pikepdf.Array) else [name_text(given)]
    return [name for name in names if name is not None and name != "Crypt"]


def _parameters(given: Any, count: int) -> tuple[dict[str, Any], ...]:
    """Numbers and truth values of each filter's parameters; nothing else is needed of them."""
    each = list(given) if isinstance(given, pikepdf.Array) else [given]
    found: list[dict[str, Any]] = []
    for one in [*each, *[None] * count][:count]:
        plain: dict[str, Any] = {}
        if isinstance(one, pikepdf.Dictionary):
            for key in one.keys():  # noqa: SIM118 -- a pikepdf dictionary iterates over no keys by itself
                value = entry(one, key)
                if isinstance(value, (bool, int)) or number(value) is not None:
                    plain[key] = value
        found.append(plain)
    return tuple(found)


def samples_of(packed: Packed | None, limits: Limits) -> NDArray[Any] | None:
    """(rows, columns, components) numbers as they are stored; None where they cannot be had."""
    if packed is None or packed.columns * packed.rows > limits.image_pixels or not packed.components:
        return None
    last = packed.filters[-1] if packed.filters else ""
    if last in ("DCTDecode", "JPXDecode"):
        return _decoded_picture(packed, limits)
    if last == "CCITTFaxDecode":
        return _decoded_fax(packed, limits)
    if last == "JBIG2Decode" or not packed.bits:
        return None
    data = unwrapped_bytes(packed, limits)
    width = packed.columns * packed.components
    row = (width * packed.bits + 7) // 8
    if data is None or len(data) < row * packed.rows:
        return None
    rows = np.frombuffer(data, np.uint8, row * packed.rows).reshape(packed.rows, row)
    numbers_: NDArray[Any]
    if packed.bits == 16:
        numbers_ = rows.view(">u2").astype(np.uint16)
    elif packed.bits == 8:
        numbers_ = rows
    else:
        each = 8 // packed.bits
        shifts = np.arange(each - 1, -1, -1, dtype=np.uint8) * packed.bits
        numbers_ = (rows[:, :, None] >> shifts & np.uint8(2**packed.bits - 1)).reshape(packed.rows, -1)
    return numbers_[:, :width].reshape(packed.rows, packed.columns, packed.components)


def _decoded_picture(packed: Packed, limits: Limits) -> NDArray[Any] | None:
    from PIL import Image, UnidentifiedImageError

    data = unwrapped_bytes(packed, limits)
    if data is None:
        return None
    try:
        with Image.open(io.BytesIO(data)) as image:
            # Four components may be stored turned round, and what a mask's ranges then mean is not sure.
            if image.size[0] * image.size[1] > limits.image_pixels or image.mode not in ("L", "RGB"):
                return None
            found = np.asarray(image)
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError):
        return None
    found = found[..., None] if found.ndim == 2 else found
    return found if found.shape[2] == packed.components else None


def _decoded_fax(packed: Packed, limits: Limits) -> NDArray[Any] | None:
    if len(packed.filters) != 1:
        return None
    with bounded(limits), pikepdf.new() as pdf:
        stream = _stream(pdf, packed)
        stream.Type, stream.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
        stream.Width, stream.Height, stream.BitsPerComponent = packed.columns, packed.rows, 1
        stream.ColorSpace = pikepdf.Name.DeviceGray
        try:
            picture = pikepdf.PdfImage(stream).as_pil_image()
            found = np.asarray(picture.convert("1"))
        except (pikepdf.PdfError, OSError, ValueError, NotImplementedError, RuntimeError):
            return None
    return found.astype(np.uint8)[..., None] if found.shape == (packed.rows, packed.columns) else None


def unwrapped_bytes(packed: Packed, limits: Limits) -> bytes | None:
    """The bytes beneath all filters but those that know pictures."""
    pictures = packed.filters[-1:] in (("DCTDecode",), ("JPXDecode",))
    filters = packed.filters[:-1] if pictures else packed.filters
    if not filters:
        return packed.data
    with bounded(limits), pikepdf.new() as pdf:
        stream = _stream(pdf, msgspec.structs.replace(packed, filters=filters))
        try:
            found = Streams(limits, Deadline(limits.seconds)).unpacked(stream)
        except Unreadable:
            return None
        return None if found.fault and not found.data else found.data


def _stream(pdf: pikepdf.Pdf, packed: Packed) -> pikepdf.Stream:
    stream = pikepdf.Stream(pdf, packed.data)
    stream.Filter = pikepdf.Array([pikepdf.Name(f"/{name}") for name in packed.filters])
    parameters = packed.parameters[: len(packed.filters)]
    if any(parameters):
        stream.DecodeParms = pikepdf.Array([pikepdf.Dictionary(one) for one in parameters])
    return stream
