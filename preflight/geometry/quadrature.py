"""Nodes and weights for the integral of a smooth function. Knows no curve."""

from __future__ import annotations

from functools import cache

import numpy as np

from preflight.geometry.outlines import Floats

__all__ = ["gauss_legendre"]


@cache
def gauss_legendre(count: int) -> tuple[Floats, Floats]:
    """Nodes (count,) and weights (count,) on 0..1, exact for polynomials of degree below twice the count.

    By the eigenvalues of the Legendre polynomials' three-term recurrence (Golub and Welsch 1969). ``numpy`` has
    the same rule in a package for six families of polynomials, whose import costs more than the rule.
    """
    order = np.arange(1, count)
    beside = order / np.sqrt(4.0 * order * order - 1.0)
    nodes, vectors = np.linalg.eigh(np.diag(beside, 1) + np.diag(beside, -1))
    return (nodes + 1.0) / 2.0, vectors[0] ** 2
