"""Distinct values of an array. Knows no geometry."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["distinct"]

Number = TypeVar("Number", np.intp, np.int64, np.float64)


def distinct(values: NDArray[Number]) -> NDArray[Number]:
    """The values without repetitions, ascending; (n,) in, (at most n,) out.

    What ``numpy.unique`` gives, without the package for masked arrays that it imports, which would cost a
    small file a tenth of its time.
    """
    ordered = np.sort(values)
    fresh = np.ones(len(ordered), bool)
    np.not_equal(ordered[1:], ordered[:-1], out=fresh[1:])
    return ordered[fresh]
