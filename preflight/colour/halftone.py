"""What dots of ink on paper add up to. Knows no paper, no ink and no measurement.

Yule and Nielsen (1951) with Neugebauer's primaries; with ``n`` = 1 it is Murray and Davies' sum.
The shares of the primaries are Demichel's products.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["demichel", "mixed"]

Floats = NDArray[np.float64]


def demichel(areas: ArrayLike) -> Floats:
    """Share of the paper under each overprint, where the dots of the inks lie over each other by chance.

    Parameters
    ----------
    areas : (n, k) share of the paper that each of k inks covers, 0-1

    Returns
    -------
    (n, 2**k)
        The first of a row is bare paper, the last all inks; the first ink changes slowest, so that rows can be
        reshaped to (2,) * k. Each row adds up to 1.
    """
    shares = np.ones((1, len(np.asarray(areas))))
    for ink in np.asarray(areas, dtype=float).T:
        shares = np.stack((shares * (1.0 - ink), shares * ink), axis=1).reshape(2 * len(shares), len(ink))
    return shares.T


def mixed(shares: ArrayLike, reflected: ArrayLike, n: float) -> Floats:
    """Light that an area reflects which consists of parts.

    Parameters
    ----------
    shares : (m, p) share of each part, 0-1, each row adding up to 1
    reflected : (p, b) what each part reflects in each of b bands, 0-1
    n : how far light spreads in the paper: 1 not at all, 2 wholly in theory

    Returns
    -------
    (m, b)
    """
    roots = np.asarray(reflected, dtype=float) ** (1.0 / n)
    light: Floats = (np.asarray(shares, dtype=float) @ roots) ** n
    return light
