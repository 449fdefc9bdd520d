"""What a shop's own ICC output profile prints, through LittleCMS. Knows no artwork and no search.

Colours are taken from the side of the devices (the profile's A2B table, colorimetric), never from its tables of how to print a colour:
those hold what the maker of the profile thought fit, and its gamut only roughly.
"""

from __future__ import annotations

import io
import struct
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour.errors import ColourFileError
from preflight.colour.icc_probe import axis_profile, lab_of_axes
from preflight.colour.tabled import Tabled

if TYPE_CHECKING:
    from PIL.ImageCms import ImageCmsTransform

__all__ = ["ERROR", "IccOutput"]

Floats = NDArray[np.float64]
Codes = NDArray[np.uint8]
Intent = Literal["absolute", "relative"]

ERROR = 1.0
"""ΔE00 that a profile's table may be off from the press it was measured on: a project assumption, no profile says it of itself."""

_CHANNELS = {b"CMYK": ("C", "M", "Y", "K"), b"RGB ": ("R", "G", "B")}
_NODES = {4: 18, 3: 52}
"""Of the quick likeness: 255 is 17 times 15 and 51 times 5, so that all nodes are codes of eight bits."""


class IccOutput:
    """The colours of a CMYK or RGB output profile; an `Output`.

    Parameters
    ----------
    file
    intent : absolute keeps the colour of the paper; relative takes the paper for white

    Raises
    ------
    ColourFileError
        The file cannot be read, is broken, cut short, or no output profile for CMYK or RGB.
    """

    step = 1 / 255
    error = ERROR

    def __init__(self, file: Path, intent: Intent = "absolute") -> None:
        self.file = file
        try:
            content = file.read_bytes()
        except OSError as error:
            raise ColourFileError(file, f"cannot be read: {error.strerror}") from error
        self.channels = _CHANNELS[_checked(file, content)]
        self._transforms = _transforms(file, content, "CMYK" if len(self.channels) == 4 else "RGB", intent)
        self.name = f"{file.name}, {intent} colorimetric"

    def lab(self, devices: ArrayLike) -> Floats:
        """Lab D50 (n, 3) of shares of the channels (n, k), 0-1; what is beyond counts as the limit.

        Pillow hands devices on in eight bits: between codes the colour is taken straight, over the simplex that holds the device.
        """
        channels = len(self.channels)
        places = np.clip(np.reshape(devices, (-1, channels)).astype(float), 0.0, 1.0) * 255
        base = np.minimum(np.floor(places + 1e-9), 254.0)
        within = np.clip(places - base, 0.0, 1.0)
        order = np.argsort(-within, axis=1)
        falling = np.take_along_axis(within, order, axis=1)
        weights = -np.diff(falling, axis=1, prepend=1.0, append=0.0)
        ranks = np.argsort(order, axis=1)
        corners = base[:, None] + (ranks[:, None] < np.arange(channels + 1)[:, None])
        asked = weights > 1e-9
        labs = np.zeros((len(places), channels + 1, 3))
        labs[asked] = self._printed(corners[asked].astype(np.uint8))
        mixed: Floats = np.einsum("nc,ncv->nv", weights, labs)
        return mixed

    @cached_property
    def sketch(self) -> Tabled:
        """A likeness of it that answers ten times as fast."""
        channels = len(self.channels)
        nodes = _NODES[channels]
        return Tabled(self.lab(Tabled.grid(nodes, channels)), nodes, channels)

    def _printed(self, codes: Codes) -> Floats:
        """Lab (n, 3) of devices in codes of eight bits, (n, k)."""
        from PIL import Image

        axes = np.zeros((3, len(codes)), dtype=np.uint16)
        if len(codes):
            mode = "CMYK" if codes.shape[1] == 4 else "RGB"
            image = Image.frombytes(mode, (len(codes), 1), np.ascontiguousarray(codes).tobytes())
            for axis, transform in enumerate(self._transforms):
                axes[axis] = np.asarray(transform.apply(image), dtype=np.uint16)[0]
        return lab_of_axes(axes)


def _checked(file: Path, content: bytes) -> bytes:
    """The colour space of a whole output profile, by its header and its list of tags (ICC.1, 7.2 and 7.3)."""
    if len(content) < 132 or content[36:40] != b"acsp":
        raise ColourFileError(file, "this is no ICC profile")
    size, count = struct.unpack(">I", content[:4])[0], struct.unpack(">I", content[128:132])[0]
    listed = [
        struct.unpack(">4s2I", content[at : at + 12])
        for at in range(132, 132 + 12 * min(count, 200), 12)
        if at + 12 <= len(content)
    ]
    if (
        size > len(content)
        or len(listed) < count
        or any(place + length > len(content) for _, place, length in listed)
    ):
        raise ColourFileError(file, f"the profile is cut short: {len(content)} bytes of {size}")
    kind, space = content[12:16], content[16:20]
    if kind != b"prtr":
        raise ColourFileError(
            file, f"a profile of a printer is needed (class prtr), this one's class is {_word(kind)}"
        )
    if space not in _CHANNELS:
        raise ColourFileError(file, f"an output of CMYK or RGB is needed, this one is {_word(space)}")
    return space


def _word(signature: bytes) -> str:
    return signature.decode("ascii", "replace").strip() or "empty"


def _transforms(file: Path, content: bytes, mode: str, intent: Intent) -> list[ImageCmsTransform]:
    """From devices to L*, a* and b*, each by itself."""
    from PIL import ImageCms

    wanted = (
        ImageCms.Intent.ABSOLUTE_COLORIMETRIC
        if intent == "absolute"
        else ImageCms.Intent.RELATIVE_COLORIMETRIC
    )
    # Optimised, LittleCMS would put a coarser table of its own in place of the profile's, off by up to 0.8 (measured).
    flags = ImageCms.Flags.NOOPTIMIZE | ImageCms.Flags.NOCACHE
    try:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(content))
        return [
            ImageCms.ImageCmsTransform(
                profile,
                ImageCms.ImageCmsProfile(io.BytesIO(axis_profile(axis))),
                mode,
                "I;16",
                wanted,
                flags=flags,
            )
            for axis in range(3)
        ]
    except (OSError, ValueError, ImageCms.PyCMSError) as error:
        raise ColourFileError(file, f"LittleCMS cannot use the profile: {error}") from error
