"""Distinct values, against numpy's own."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from preflight.geometry.distinct import distinct


@given(st.lists(st.integers(-5, 5)))
def test_agrees_with_numpy(values: list[int]) -> None:
    given_ = np.array(values, np.intp)
    found = distinct(given_)
    assert found.dtype == given_.dtype
    assert found.tolist() == np.unique(given_).tolist()
