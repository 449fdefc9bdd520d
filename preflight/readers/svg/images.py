"""Pixel sizes of embedded and linked images. Knows no drawing; reads nothing outside the file's folder."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import unquote, unquote_to_bytes

import msgspec

from preflight.readers.addresses import below, path_of
from preflight.readers.limits import Limits

if TYPE_CHECKING:
    from preflight.readers.picture_alpha import Pixels

    Decoder = Callable[[], Pixels | None]

__all__ = ["ImageFacts", "image_facts"]

_HEAD = 65536
"""Bytes of a picture that are looked at before the whole of it is (a JPEG may keep its size far in)."""
_TAIL = 1024
"""Bytes at the end of a picture in which its end mark is looked for; writers pad."""

_SHOWN = 200
"""Characters of an address that messages quote."""


class ImageFacts(NamedTuple):
    """What is known of an image.

    ``pixels`` (columns, rows) or None; ``linked`` the address of one that is not embedded; ``broken`` why it
    cannot be shown; ``left`` that it lies where it does not travel with the file, and is not opened; ``unmodelled``
    what the reader does not look into; ``decode`` gives the alpha of a picture that may not be opaque.
    """

    pixels: tuple[int, int] | None = None
    linked: str | None = None
    broken: str | None = None
    unmodelled: str | None = None
    left: str | None = None
    decode: Decoder | None = None


def image_facts(address: str | None, folder: Path | None, limits: Limits) -> ImageFacts:
    """What the address of an image leads to.

    Parameters
    ----------
    folder : linked images are looked for below it; None where there is none.
    """
    if not address or not address.strip():
        return ImageFacts(broken="the image has no address")
    address = address.strip()
    if address[:5].lower() == "data:":
        return _embedded(address, limits)
    shown = address[:_SHOWN]
    try:
        path = path_of(address)
    except ValueError:
        return ImageFacts(linked=address, broken=f"the address of the image, “{shown}”, is not valid")
    if path is None:
        return ImageFacts(linked=address, left=f"The image “{shown}” lies elsewhere and is not fetched.")
    if folder is None:
        return ImageFacts(
            linked=address, unmodelled=f"The image “{shown}” is linked, and there is no folder to look in."
        )
    return _linked(address, path, folder, limits)


def _embedded(address: str, limits: Limits) -> ImageFacts:
    head, comma, body = address.partition(",")
    if not comma:
        return ImageFacts(broken="the embedded image holds no data")
    kind = head[5:].split(";")[0].strip().lower()
    if kind == "image/svg+xml":
        return ImageFacts(unmodelled="An SVG drawing embedded as an image is not looked into.")
    data: bytes | None = b""
    for length in (_HEAD, len(body)):
        data = _decoded(body[: length * 4 // 3 // 4 * 4 + 4] if length < len(body) else body, head)
        if data is None:
            return ImageFacts(broken="the embedded image cannot be decoded")
        pixels = _pixels(data)
        if pixels:
            whole = _ends(data, data if length >= len(body) else _tail(body, head))
            broken = None if whole else "the embedded image is cut off"
            decode = _if_clear(data, _Embedded(address, limits.image_pixels))
            return _within(pixels, None, limits, broken, decode)
    pixels = _by_library(data or b"")
    if pixels is None:
        return ImageFacts(broken="the embedded image is of no kind that is known")
    return _within(pixels, None, limits, None, _Embedded(address, limits.image_pixels))


class _Embedded(msgspec.Struct, frozen=True):
    """Decodes the alpha of a picture written out in the file; equal for equal pictures, which need be decoded only once."""

    address: str
    most: int

    def __call__(self) -> Pixels | None:
        from preflight.readers.picture_alpha import picture_alpha

        head, _, body = self.address.partition(",")
        data = _decoded(body, head)
        return None if data is None else picture_alpha(data, self.most)


class _File(msgspec.Struct, frozen=True):
    """Decodes the alpha of a linked picture, of which no more than ``size`` bytes are read."""

    path: Path
    size: int
    most: int

    def __call__(self) -> Pixels | None:
        from preflight.readers.picture_alpha import picture_alpha

        try:
            with self.path.open("rb") as opened:
                data = opened.read(self.size)
        except OSError:
            return None
        return picture_alpha(data, self.most)


def _if_clear(head: bytes, decode: Decoder) -> Decoder | None:
    """What decodes the alpha of a picture that may have one."""
    from preflight.readers.picture_alpha import may_be_clear

    return decode if may_be_clear(head) else None


def _decoded(body: str, head: str) -> bytes | None:
    if "base64" not in head.lower():
        return unquote_to_bytes(body)
    import base64
    import binascii

    plain = "".join(unquote(body).split())
    try:
        return base64.b64decode(plain + "=" * (-len(plain) % 4))
    except (binascii.Error, ValueError):
        return None


def _tail(body: str, head: str) -> bytes:
    """The last bytes of an embedded picture."""
    if "base64" in head.lower():
        # Four characters are three bytes, counted from the end where the padding is written out; else all is unpacked.
        end = "".join(unquote(body[-4 * _TAIL :]).split())
        found = _decoded(end[len(end) % 4 :], head) if body.rstrip().endswith("=") else None
        if found is not None:
            return found[-_TAIL:]
    return (_decoded(body, head) or b"")[-_TAIL:]


def _ends(data: bytes, tail: bytes) -> bool:
    """Whether a picture has its end mark, of the kinds that have one to look for."""
    if data.startswith(b"\x89PNG"):
        return b"IEND" in tail[-_TAIL:]
    if data.startswith(b"\xff\xd8"):
        return b"\xff\xd9" in tail[-_TAIL:]
    return True


def _linked(address: str, path: str, folder: Path, limits: Limits) -> ImageFacts:
    shown, whole = address[:_SHOWN], True
    try:
        file = _inside(folder.resolve(), path)
        if file is None:
            message = f"The image “{shown}” lies outside the file's folder and is not opened."
            return ImageFacts(linked=address, left=message)
        if not file.is_file():
            return ImageFacts(linked=address, broken=f"the linked image “{shown}” is missing")
        with file.open("rb") as opened:
            head = opened.read(_HEAD)
            pixels = _pixels(head) or _by_library(head + opened.read(limits.file_size))
            opened.seek(max(0, file.stat().st_size - _TAIL))
            whole = _ends(head, opened.read())
    except (OSError, ValueError) as error:
        return ImageFacts(linked=address, broken=f"the linked image “{shown}” cannot be opened ({error})")
    if head.lstrip()[:5] in (b"<?xml", b"<svg ", b"<!DOC"):
        return ImageFacts(
            linked=address, unmodelled=f"The drawing “{shown}” linked as an image is not looked into."
        )
    if pixels is None:
        return ImageFacts(linked=address, broken=f"the linked image “{shown}” is of no kind that is known")
    broken = None if whole else f"the linked image “{shown}” is cut off"
    decode = _if_clear(head, _File(file, limits.file_size, limits.image_pixels))
    return _within(pixels, address, limits, broken, decode)


def _inside(folder: Path, path: str) -> Path | None:
    """The file that a path from the folder leads to; None where that, or a link on the way, leads out of the folder."""
    named = below(
        folder, path
    )  # asked by its words first: on Windows, another machine would be asked for the rest
    if named is None:
        return None
    file = named.resolve()
    return file if file.is_relative_to(folder) else None


def _within(
    pixels: tuple[int, int],
    linked: str | None,
    limits: Limits,
    broken: str | None = None,
    decode: Decoder | None = None,
) -> ImageFacts:
    if pixels[0] * pixels[1] > limits.image_pixels:
        message = (
            f"An image of {pixels[0]:,} × {pixels[1]:,} pixels is above the limit; its content is not judged."
            " [limits] image_pixels in the profile raises it."
        )
        return ImageFacts(pixels, linked, broken, message, decode=decode)
    return ImageFacts(pixels, linked, broken, decode=decode)


def _pixels(data: bytes) -> tuple[int, int] | None:
    """Columns and rows by the first bytes of PNG, GIF, WebP or JPEG."""
    if data.startswith(b"\x89PNG\r\n\x1a\n") and len(data) >= 24:
        return struct.unpack(">II", data[16:24])
    if data[:6] in (b"GIF87a", b"GIF89a") and len(data) >= 10:
        return struct.unpack("<HH", data[6:10])
    if data.startswith(b"\xff\xd8"):
        return _jpeg_pixels(data)
    return None


def _jpeg_pixels(data: bytes) -> tuple[int, int] | None:
    """From the frame header (ISO/IEC 10918-1, B.2.2)."""
    place = 2
    while place + 9 < len(data) and data[place] == 0xFF:
        marker = data[place + 1]
        if marker == 0xFF:
            place += 1
        elif 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            rows, columns = struct.unpack(">HH", data[place + 5 : place + 9])
            return columns, rows
        elif 0xD0 <= marker <= 0xD8 or marker == 0x01:
            place += 2
        else:
            place += 2 + int.from_bytes(data[place + 2 : place + 4], "big")
    return None


def _by_library(data: bytes) -> tuple[int, int] | None:
    """Every other kind, by Pillow, which reads the header only."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data)) as image:
            return image.size
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError):
        return None
