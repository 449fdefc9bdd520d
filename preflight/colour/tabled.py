"""A quick likeness of an output, from a table of what it prints. Knows no profile and no search."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour.halftone import demichel

__all__ = ["Tabled"]

Floats = NDArray[np.float64]


class Tabled:
    """Lab over a regular grid of devices, straight between its nodes.

    Parameters
    ----------
    labs : (nodes ** k, 3) Lab of the devices of `grid`
    nodes : on each axis
    channels : k
    """

    def __init__(self, labs: Floats, nodes: int, channels: int) -> None:
        self._labs, self._nodes = labs, nodes
        self._strides = nodes ** np.arange(channels)[::-1]
        corners = np.array(list(np.ndindex(*[2] * channels)))
        self._corners = corners @ self._strides
        self.step = 0.5 / (nodes - 1)

    @staticmethod
    def grid(nodes: int, channels: int) -> Floats:
        """The devices (nodes ** k, k) that a table is made of."""
        axis = np.linspace(0.0, 1.0, nodes)
        return np.stack(np.meshgrid(*[axis] * channels, indexing="ij"), axis=-1).reshape(-1, channels)

    def lab(self, devices: ArrayLike) -> Floats:
        """Lab D50 (n, 3) of shares of the channels (n, k), 0-1; what is beyond counts as the limit."""
        places = np.clip(np.asarray(devices, dtype=float), 0.0, 1.0) * (self._nodes - 1)
        cells = np.minimum(places.astype(np.intp), self._nodes - 2)
        weights = np.ascontiguousarray(demichel(places - cells))
        labs: Floats = np.einsum(
            "nc,ncv->nv", weights, self._labs[(cells @ self._strides)[:, None] + self._corners]
        )
        return labs
