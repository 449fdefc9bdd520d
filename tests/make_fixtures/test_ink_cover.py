"""Ink added up over areas, against a sum cell by cell."""

from __future__ import annotations

import random

import pytest
from rule_sheets.tiny_pdf import Process, Separation, Shape, TinySheet, pdf_bytes, rectangle

from preflight.engine import Engine
from preflight.profile import Profile

COLUMNS, ROWS = 24, 16
RUST = (0.0, 0.8, 1.0, 0.0)


class Painted:
    """A rectangle on whole millimetres with its ink, as the sum by cells takes it."""

    def __init__(self, dice: random.Random) -> None:
        self.x, self.y = dice.randrange(COLUMNS - 4), dice.randrange(ROWS - 4)
        self.width, self.height = dice.randint(3, COLUMNS - self.x), dice.randint(3, ROWS - self.y)
        self.named = dice.random() < 0.3
        self.inks = [round(dice.random(), 2) for _ in range(4)]
        self.tint = round(dice.uniform(0.3, 1.0), 2)
        self.over, self.mode = dice.random() < 0.4, dice.randint(0, 1)
        self.opacity = dice.choice([1.0, 1.0, 1.0, 0.5])

    def shape(self) -> Shape:
        ink = Separation("Rust Red", RUST, self.tint) if self.named else Process(tuple(self.inks))
        path = rectangle(self.x, self.y, self.width, self.height)
        return Shape(path, fill=ink, over=self.over, mode=self.mode, opacity=self.opacity)

    def covers(self, column: int, row: int) -> bool:
        return self.x <= column < self.x + self.width and self.y <= row < self.y + self.height

    def over_ink(self, below: list[float]) -> list[float]:
        """C, M, Y, K and the named ink after ISO 32000-1, 8.6.7 (table 149) and 11.3.3 (Normal)."""
        own = [0.0] * 4 + [self.tint] if self.named else [*self.inks, 0.0]
        if self.over:
            kept = range(4) if self.named else [4]
            for ink in kept:
                own[ink] = below[ink]
            if not self.named and self.mode == 1:
                own[:4] = [own[ink] if own[ink] > 0 else below[ink] for ink in range(4)]
        return [self.opacity * new + (1 - self.opacity) * old for new, old in zip(own, below, strict=True)]


def total(stack: list[Painted], column: int, row: int) -> float:
    inks = [0.0] * 5
    for one in stack:
        if one.covers(column, row):
            inks = one.over_ink(inks)
    return 100 * (sum(inks[:4]) + sum(RUST) * inks[4])


@pytest.mark.parametrize("pairs", [0, 1_000])
@pytest.mark.parametrize("seed", range(25))
def test_area_and_most_ink_are_those_of_the_sum_by_cells(
    seed: int, pairs: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Whether it is looked at what lies over one another, or that is too much, changes nothing.
    monkeypatch.setattr("preflight.job.colours.ink_cover._MOST_PAIRS", pairs)
    dice = random.Random(seed)  # noqa: S311 -- the same each time
    stack = [Painted(dice) for _ in range(dice.randint(2, 7))]
    data = pdf_bytes(TinySheet("Overlapping fields", tuple(one.shape() for one in stack)))
    _, (job,) = Engine(Profile.default()).read_bytes(data, "fields.pdf")
    limit = dice.choice([180.0, 240.0, 300.0])
    cells = [total(stack, column, row) for column in range(COLUMNS) for row in range(ROWS)]
    heavy = [cell for cell in cells if cell > limit + 1e-6]
    found = job.colours.ink_cover.heavy(limit + 1e-6, 0.01)
    assert sum(area.size for area in found) == pytest.approx(len(heavy), abs=0.01)
    assert max((area.total for area in found), default=0.0) == pytest.approx(
        max(heavy, default=0.0), abs=0.05
    )
    for area in found:
        assert area.box[0] <= area.point[0] <= area.box[2]
        assert total(stack, int(area.point[0]), int(area.point[1])) == pytest.approx(area.total, abs=0.05)


def test_what_lies_over_one_another_too_often_is_noted() -> None:
    dice = random.Random(1)  # noqa: S311 -- the same each time
    shapes = []
    for _ in range(60):
        x, y = dice.uniform(0, 20), dice.uniform(0, 12)
        ink = Process(tuple(round(dice.random(), 3) for _ in range(4)))
        shapes.append(Shape(rectangle(x, y, 20, 12), fill=ink, opacity=0.9))
    data = pdf_bytes(TinySheet("Sixty see-through fields", tuple(shapes)))
    _, (job,) = Engine(Profile.default()).read_bytes(data, "fields.pdf")
    assert job.colours.ink_cover.heavy(10.0, 0.01) == ()
    assert any(note.what == "total ink" for note in job.notes)


def test_what_takes_too_many_steps_is_noted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("preflight.job.colours.ink_cover._MOST_STEPS", 1)
    fields = tuple(Shape(rectangle(4, 4, 20, 20), fill=Process((1, 1, 1, 1))) for _ in range(3))
    _, (job,) = Engine(Profile.default()).read_bytes(
        pdf_bytes(TinySheet("Three fields", fields)), "fields.pdf"
    )
    assert job.colours.ink_cover.heavy(300.0, 1.0) == ()
    assert any(note.what == "total ink" for note in job.notes)


def test_only_what_lies_near_much_ink_is_worked_out() -> None:
    dice = random.Random(2)  # noqa: S311 -- the same each time
    corners = [(dice.uniform(31, 59), dice.uniform(1, 39)) for _ in range(1_500)]
    scribble = " l ".join(f"{x:.3f} {y:.3f}" for x, y in corners).replace(" l ", " m ", 1) + " l"
    heavy = Shape(rectangle(4, 4, 20, 20), fill=Process((1, 1, 1, 1)))
    # A quarter more ink than there is, were it to lie on the field; as it lies, it says nothing of it.
    tangle = Shape(scribble, fill=Process((0, 0, 0, 0.25)), over=True, mode=1)
    data = pdf_bytes(TinySheet("A field beside a scribble", (heavy, tangle)))
    _, (job,) = Engine(Profile.default()).read_bytes(data, "fields.pdf")
    (found,) = job.colours.ink_cover.heavy(300.0, 1.0)
    assert found.size == pytest.approx(400.0)
    assert not any(note.what == "total ink" for note in job.notes)
