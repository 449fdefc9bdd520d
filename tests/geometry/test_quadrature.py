"""The quadrature rule, against numpy's and against integrals of powers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from preflight.geometry.quadrature import gauss_legendre


@pytest.mark.parametrize("count", [1, 2, 3, 8, 16, 32])
def test_agrees_with_numpy(count: int) -> None:
    at, weights = np.polynomial.legendre.leggauss(count)
    own_at, own_weights = gauss_legendre(count)
    np.testing.assert_allclose(own_at, (at + 1.0) / 2.0, rtol=0, atol=1e-14)
    np.testing.assert_allclose(own_weights, weights / 2.0, rtol=0, atol=1e-14)


@pytest.mark.parametrize("count", [1, 2, 5, 8])
def test_is_exact_up_to_its_degree_and_no_further(count: int) -> None:
    at, weights = gauss_legendre(count)
    for power in range(2 * count):
        assert weights @ at**power == pytest.approx(1.0 / (power + 1), abs=1e-14)
    # The remainder for the next power: (n!)^4 / ((2n + 1) ((2n)!)^2); from memory.
    missed = math.factorial(count) ** 4 / ((2 * count + 1) * math.factorial(2 * count) ** 2)
    assert 1.0 / (2 * count + 1) - weights @ at ** (2 * count) == pytest.approx(missed, rel=1e-3)
