"""CIE Lab and XYZ of whole arrays, relative to D50 where nothing else is said. Knows no device, no file and no artwork."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from preflight.colour.spaces import D50, EPSILON, KAPPA, Triple, xyz_to_xyz

__all__ = ["adapted", "from_xyz", "to_xyz"]

Floats = NDArray[np.float64]


def to_xyz(labs: ArrayLike, white: Triple = D50) -> Floats:
    """XYZ (Y of white = 1) of Lab, (..., 3), both relative to ``white``."""
    array = np.asarray(labs, dtype=float)
    fy = (array[..., 0] + 16) / 116
    curved = np.stack((fy + array[..., 1] / 500, fy, fy - array[..., 2] / 200), axis=-1)
    cubes = curved**3
    xyz: Floats = np.where(cubes > EPSILON, cubes, (116 * curved - 16) / KAPPA) * np.array(white)
    return xyz


def from_xyz(xyz: ArrayLike, white: Triple = D50) -> Floats:
    """Lab of XYZ (Y of white = 1), (..., 3), both relative to ``white``."""
    shares = np.asarray(xyz, dtype=float) / np.array(white)
    curved = np.where(shares > EPSILON, np.cbrt(shares), (KAPPA * shares + 16) / 116)
    fx, fy, fz = curved[..., 0], curved[..., 1], curved[..., 2]
    return np.stack((116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)), axis=-1)


def adapted(xyz: ArrayLike, source: Triple, target: Triple = D50) -> Floats:
    """XYZ (..., 3) relative to ``target`` that looks like ``xyz`` relative to ``source`` (linear Bradford)."""
    columns = [
        xyz_to_xyz(unit, source, target) for unit in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    ]
    moved: Floats = np.asarray(xyz, dtype=float) @ np.array(columns)
    return moved
