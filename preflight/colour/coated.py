"""Offset on white coated paper, the output that is assumed where the shop names no profile. Knows no artwork and no search.

A cellular Yule-Nielsen Neugebauer model (n = 2) whose nodes are patches of the characterisation data FOGRA39L: the process inks at
0, 20, 40, 70 and 100 % for black at 0, 20, 40 and 60 %, and the coarser grids the data have above. The data lie in `conditions/`
as Fogra and their editor published them (zlib licence, kept beside them); they are read when they are first asked for.
"""

from __future__ import annotations

from functools import cached_property
from importlib.resources import files

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from preflight.colour import cielab
from preflight.colour.halftone import demichel

__all__ = ["ERROR", "CoatedPaper", "patches"]

Floats = NDArray[np.float64]

ERROR = 1.1
"""ΔE00 within which the model has 95 % of the patches that are not its nodes (tested: 1.07 of 1008 patches, their mean 0.31)."""

_N = 2.0
"""Yule and Nielsen's exponent: in theory that of paper which scatters light; for 81 primaries of this data the mean ΔE00 is 2.3
with 1, 1.3 with 1.5, 0.93 with 2, 0.89 with 3."""

_AREAS = (0.0, 0.2, 0.4, 0.7, 1.0)
_BLACKS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
_MEASURED = {0.8: (0.0, 0.4, 0.7, 1.0), 1.0: (0.0, 0.4, 1.0)}
"""The areas measured in full under black of so much; below, all of `_AREAS` are: read off the data."""


def patches() -> tuple[Floats, Floats]:
    """The characterisation data: devices (1617, 4) as shares of C, M, Y, K, 0-1, and their Lab D50 (1617, 3)."""
    text = files("preflight.colour").joinpath("conditions", "FOGRA39L.ti3").read_text("ascii")
    table = text.partition("\nBEGIN_DATA\n")[2].partition("\nEND_DATA\n")[0]
    rows = np.array(table.split(), dtype=float).reshape(-1, 11)
    return rows[:, 1:5] / 100.0, rows[:, 8:11]


class CoatedPaper:
    """The colours of C, M, Y and K on coated paper; an `Output`."""

    name = "offset on coated paper (FOGRA39L)"
    channels = ("C", "M", "Y", "K")
    error = ERROR
    step = 1e-3
    """Share of an ink by which a slope is taken: the model is smooth within a cell."""

    @property
    def sketch(self) -> CoatedPaper:
        """Itself: it answers fast enough."""
        return self

    @cached_property
    def _cells(self) -> Floats:
        """(320, 3, 16) XYZ to the power 1/n at the corners of the cells; nodes not measured lie on the line between measured ones."""
        devices, labs = patches()
        roots = cielab.to_xyz(labs) ** (1.0 / _N)
        known = dict(zip(map(tuple, np.round(devices, 4).tolist()), roots, strict=True))
        nodes = np.empty((5, 5, 5, 6, 3))
        for at, black in enumerate(_BLACKS):
            areas = _MEASURED.get(black, _AREAS)
            layer = np.array([[[known[c, m, y, black] for y in areas] for m in areas] for c in areas])
            filling = np.array([np.interp(_AREAS, areas, unit) for unit in np.eye(len(areas))])
            nodes[:, :, :, at] = np.einsum("cmyv,ci,mj,yk->ijkv", layer, filling, filling, filling)
        corners = sliding_window_view(nodes, (2, 2, 2, 2), axis=(0, 1, 2, 3))
        return np.ascontiguousarray(corners).reshape(-1, 3, 16)

    def lab(self, devices: ArrayLike) -> Floats:
        """Lab D50 (n, 3) of shares of ink (n, 4), 0-1; what is beyond counts as the limit."""
        shares = np.clip(np.reshape(devices, (-1, 4)).astype(float), 0.0, 1.0)
        cell, within = np.zeros(len(shares), dtype=np.intp), np.empty_like(shares)
        for ink, nodes in enumerate((_AREAS, _AREAS, _AREAS, _BLACKS)):
            line = np.array(nodes)
            place = np.searchsorted(line[1:-1], shares[:, ink], side="right")
            within[:, ink] = (shares[:, ink] - line[place]) / np.diff(line)[place]
            cell = cell * (len(line) - 1) + place
        weights = np.ascontiguousarray(demichel(within))  # within a cell its corners are the primaries
        roots = np.einsum("nc,nvc->nv", weights, self._cells[cell])
        return cielab.from_xyz(roots**_N)
