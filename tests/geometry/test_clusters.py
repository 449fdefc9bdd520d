"""Things that hang together through links."""

from __future__ import annotations

import numpy as np

from preflight.geometry.clusters import linked, members


def test_a_chain_in_any_order_takes_its_lowest_label_and_a_loner_its_own() -> None:
    first, second = np.array([5, 3, 1]), np.array([3, 1, 4])
    assert linked(6, first, second).tolist() == [0, 1, 2, 1, 1, 1]


def test_without_links_each_stands_alone() -> None:
    none = np.empty(0, np.intp)
    assert linked(3, none, none).tolist() == [0, 1, 2]
    assert linked(0, none, none).tolist() == []


def test_members_of_each_label_are_given_together() -> None:
    found = members(np.array([2, 0, 2, 5, 0]), 6)
    assert [own.tolist() for own in found] == [[1, 4], [], [0, 2], [], [], [3]]
    assert [own.tolist() for own in members(np.empty(0, np.intp), 3)] == [[], [], []]
