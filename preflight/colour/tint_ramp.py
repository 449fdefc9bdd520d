"""What an ink looks like on a share of the paper, from the tints that are known. Knows no file and no page.

Between two known tints the dots of the darker are mixed with the lighter, after Yule and Nielsen (n = 2, as the embedded condition). Where only the solid is known, the lighter one is the bare paper: then the shares are taken as they stand, without
tone value increase, which is an assumption; with n = 2 light spreads in the paper and stands for most of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour import cielab
from preflight.colour.halftone import mixed

__all__ = ["ASSUMED_ERROR", "ramp"]

Floats = NDArray[np.float64]

_N = 2.0

ASSUMED_ERROR = 3.2
"""ΔE00 within which 95 % of the measured tints of single process inks lie of what paper and solid alone give (FOGRA39L, tested)."""


def ramp(shares: ArrayLike, known: ArrayLike, labs: ArrayLike) -> Floats:
    """Lab (n, 3) of an ink on shares of the paper.

    Parameters
    ----------
    shares : (n,) 0-1
    known : (k,) the shares that are known, rising; beyond their ends the colour is that of the end
    labs : (k, 3) their Lab
    """
    at, nodes = np.asarray(shares, dtype=float), np.asarray(known, dtype=float)
    weights = np.stack([np.interp(at, nodes, unit) for unit in np.eye(len(nodes))], axis=1)
    return cielab.from_xyz(mixed(weights, cielab.to_xyz(np.asarray(labs, dtype=float)), _N))
