"""An output seen relative to the white of what it prints on, as ICC.1 (ISO 15076-1) defines media-relative colorimetry. Knows no press."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour import cielab
from preflight.colour.spaces import D50

if TYPE_CHECKING:
    from preflight.colour.gamut import Output, Printing

__all__ = ["MediaRelative"]

Floats = NDArray[np.float64]


class MediaRelative:
    """An `Output` whose white is Lab 100, 0, 0: XYZ over that of the unprinted medium, times D50.

    Parameters
    ----------
    output : of inks, which leaves the medium bare where all its channels are 0
    """

    def __init__(self, output: Output) -> None:
        self._output = output
        self.name = output.name
        self.channels = output.channels
        self.error = output.error
        self.step = output.step

    @property
    def sketch(self) -> Printing:
        """Itself, as quick as what it stands on; else the likeness of that, seen relative to the same medium."""
        quick = self._output.sketch
        return self if quick is self._output else _Scaled(quick, self._scale)

    @cached_property
    def _scale(self) -> Floats:
        medium = cielab.to_xyz(self._output.lab(np.zeros((1, len(self.channels)))))
        scale: Floats = np.array(D50) / medium
        return scale

    def lab(self, devices: ArrayLike) -> Floats:
        """Lab D50 (n, 3), relative to the medium, of shares of the channels (n, k), 0–1."""
        return _Scaled(self._output, self._scale).lab(devices)


class _Scaled:
    """A `Printing` whose XYZ are multiplied, so that its medium is white."""

    def __init__(self, printing: Printing, scale: Floats) -> None:
        self._printing, self._scale = printing, scale
        self.step = printing.step

    def lab(self, devices: ArrayLike) -> Floats:
        return cielab.from_xyz(cielab.to_xyz(self._printing.lab(devices)) * self._scale)
