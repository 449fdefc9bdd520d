"""Amounts and steps in words: one of a thing, none allowed, trade words."""

from __future__ import annotations

import pytest

from preflight.job import step_words
from preflight.reports.words import amount, counted, measure, page_size
from preflight.rule import Measured


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (1, "places", "1 place"),
        (2, "places", "2 places"),
        (0, "slips", "0 slips"),
        (1, "nodes", "1 node"),
        (1, "mm", "1 mm"),
        (18.5, "degrees", "18.5°"),
        (1, "degrees", "1°"),
        (0.5, "opacity", "50% opacity"),
        (0.0004, "mm", "0 mm"),
        (3, "", "3"),
    ],
)
def test_amounts(value: float, unit: str, words: str) -> None:
    assert amount(value, unit) == words


@pytest.mark.parametrize(
    ("value", "limit", "unit", "words"),
    [
        (1, 0, "places", "found 1 place, none allowed"),
        (50.264, 0, "mm", "found 50.264 mm, none allowed"),
        (0.3, 0.01, "mm", "found 0.3 mm, above the limit of 0.01 mm"),
        (0.1, 0.3, "mm", "found 0.1 mm, below the limit of 0.3 mm"),
        (18.5, 30, "degrees", "found 18.5°, below the limit of 30°"),
        (0.3, 0.3, "mm", "found 0.3 mm, at the limit of 0.3 mm"),
        (0.0104, 0.01, "mm", "found 0.0104 mm, above the limit of 0.01 mm"),
        (29.9999, 30, "degrees", "found 29.9999°, below the limit of 30°"),
        (0.1, None, "mm", "found 0.1 mm"),
    ],
)
def test_a_value_says_on_which_side_of_its_limit_it_lies(
    value: float, limit: float | None, unit: str, words: str
) -> None:
    assert measure(Measured(value, limit, unit)) == words


def test_counted() -> None:
    assert [counted(number, "piece") for number in (0, 1, 2000)] == ["0 pieces", "1 piece", "2,000 pieces"]


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("PartialCutting", "Kiss cut"),
        ("ReversePartialCuttingCreasing", "Reverse partial cutting creasing"),
        ("Routing", "Routing"),
        ("CNC-2", "CNC-2"),
        ("", ""),
    ],
)
def test_steps_in_trade_words(step: str, words: str) -> None:
    assert step_words(step) == words


@pytest.mark.parametrize(
    ("sides", "shown"),
    [
        ((50_000, 50_000), "50,000 × 50,000 mm"),
        ((210, 297), "210 × 297 mm"),
        ((209.9028, 0.5), "209.903 × 0.5 mm"),
        ((1e7, 100), "10,000,000 × 100 mm"),
    ],
)
def test_a_page_size_is_never_told_in_powers_of_ten(sides: tuple[float, float], shown: str) -> None:
    assert page_size(*sides) == shown
