"""One affine map at a time, as six plain numbers: what readers need while they walk. Knows no file format."""

from __future__ import annotations

import math

__all__ = ["IDENTITY", "Matrix", "inverted", "mapped", "mean_scale", "multiplied", "pen", "uneven"]

Matrix = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f: x' = a x + c y + e, y' = b x + d y + f."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def mapped(matrix: Matrix, x: float, y: float) -> tuple[float, float]:
    """Where a point goes."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def multiplied(outer: Matrix, inner: Matrix) -> Matrix:
    """The matrix that first applies ``inner``, then ``outer``."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def inverted(matrix: Matrix) -> Matrix | None:
    """The inverse, or None where the matrix flattens everything."""
    a, b, c, d, e, f = matrix
    determinant = a * d - b * c
    if determinant == 0 or not math.isfinite(determinant):
        return None
    return (
        d / determinant,
        -b / determinant,
        -c / determinant,
        a / determinant,
        (c * f - d * e) / determinant,
        (b * e - a * f) / determinant,
    )


def mean_scale(matrix: Matrix) -> float:
    """Square root of the factor by which areas grow."""
    return math.sqrt(abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]))


def pen(matrix: Matrix) -> tuple[float, float, float, float] | None:
    """How the matrix skews and turns what is drawn round, sizes left out: a, b, c, d of determinant ±1; None where it flattens all."""
    scale = mean_scale(matrix)
    a, b, c, d = matrix[:4]
    return (a / scale, b / scale, c / scale, d / scale) if 0 < scale < math.inf else None


def uneven(matrix: Matrix) -> bool:
    """Whether lengths grow differently in different directions."""
    a, b, c, d = matrix[:4]
    size = max(abs(a), abs(b), abs(c), abs(d))
    if not 0 < size < math.inf:
        return False
    a, b, c, d = a / size, b / size, c / size, d / size  # keeps the squares within range
    return abs(a * c + b * d) > 1e-6 or abs(a * a + b * b - c * c - d * d) > 1e-6
