"""How far an output reaches at one lightness, to draw it. Knows no artwork and no page."""

from __future__ import annotations

from itertools import combinations, product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from preflight.colour.gamut import Output

__all__ = ["GamutSlices"]

Floats = NDArray[np.float64]

_NODES = 41
"""On each side of a face: colours next to each other are some 3 ΔE00 apart at most."""
_HUES = 36
_WITHIN = 2.0
"""L* up and down from which a slice is seen."""


class GamutSlices:
    """Outlines of what an output reaches, seen along the axis of lightness.

    The surface of what it reaches is printed with all channels but two in full or not at all: these faces are laid out.

    Parameters
    ----------
    output : of three or four channels
    """

    def __init__(self, output: Output) -> None:
        channels = len(output.channels)
        side = np.linspace(0.0, 1.0, _NODES)
        first, second = (axis.ravel() for axis in np.meshgrid(side, side))
        faces = []
        for free in combinations(range(channels), 2):
            held = [channel for channel in range(channels) if channel not in free]
            for full in product((0.0, 1.0), repeat=len(held)):
                face = np.empty((len(first), channels))
                face[:, free[0]], face[:, free[1]], face[:, held] = first, second, full
                faces.append(face)
        self._labs = output.sketch.lab(np.concatenate(faces))
        self._hues = np.arctan2(self._labs[:, 2], self._labs[:, 1]) % (2.0 * np.pi)
        self._chromas = np.hypot(self._labs[:, 1], self._labs[:, 2])

    def at(self, lightness: float) -> Floats:
        """(k, 2) a*, b* of the outline at a lightness, one point for each ten degrees of hue that are reached.

        The farthest colours within 2 L*: good for a drawing, not for a verdict. Empty where nothing is so light or dark.
        """
        near = np.flatnonzero(np.abs(self._labs[:, 0] - lightness) <= _WITHIN)
        sector = (self._hues[near] / (2.0 * np.pi) * _HUES).astype(int) % _HUES
        order = np.lexsort((-self._chromas[near], sector))
        firsts = np.flatnonzero(np.diff(sector[order], prepend=-1))
        outline: Floats = self._labs[near[order[firsts]], 1:]
        return outline
