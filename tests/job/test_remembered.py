"""Answers kept with the object that gave them."""

from __future__ import annotations

import gc
import weakref

from preflight.job.remembered import remembered


class Ruler:
    def __init__(self, length: float) -> None:
        self.length = length
        self.asked: list[tuple[float, str]] = []

    @remembered
    def times(self, factor: float, unit: str = "mm") -> str:
        self.asked.append((factor, unit))
        return f"{self.length * factor:g} {unit}"


def test_each_question_is_worked_out_once() -> None:
    ruler = Ruler(2)
    answers = [
        ruler.times(3),
        ruler.times(3),
        ruler.times(4),
        ruler.times(3, unit="in"),
        ruler.times(3, unit="in"),
    ]
    assert answers == ["6 mm", "6 mm", "8 mm", "6 in", "6 in"]
    assert ruler.asked == [(3, "mm"), (4, "mm"), (3, "in")]


def test_each_object_has_its_own_answers() -> None:
    assert [Ruler(length).times(3) for length in (1, 2)] == ["3 mm", "6 mm"]


def test_answers_go_with_the_object() -> None:
    ruler = Ruler(2)
    ruler.times(3)
    left = weakref.ref(ruler)
    del ruler
    gc.collect()
    assert left() is None
