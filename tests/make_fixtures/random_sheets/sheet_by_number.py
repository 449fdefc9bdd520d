"""A random sheet: pieces in rows, each with art and a cut line, faults planted in some. Knows no file format."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from demo_sheet.sheet import Group, Ink, Layer, Shape, Sheet, Swatch

from random_sheets.cut_faults import CUT_FAULTS, line
from random_sheets.pieces import SIZE, art, outline, placed

__all__ = ["random_sheet"]

CELL = 2.6 * SIZE
STEPS = {
    "Kiss Cut": Swatch("kiss", "Kiss Cut", "#6f3fc0"),
    "Through Cut": Swatch("through", "Through Cut", "#0b7a4b"),
    "Perforation": Swatch("perforation", "Perforation", "#c0203f"),
    "Crease": Swatch("crease", "Crease", "#2040c0"),
}
"""Layer of each step, and the named colour of its lines."""
SPOTS = (Swatch("sea", "Harbour Sea", "#2a7593"), Swatch("sun", "Tea Room Sun", "#f3b63f"))
PLAIN = ("#173f63", "#cfe6ea", "#e2603f", "#ffffff", "#101010", "#7fa383")


def random_sheet(number: int) -> Sheet:
    """The sheet of a number: the same one each time."""
    return _Draft(number).sheet()


class _Draft:
    """A sheet while it is filled, layer by layer."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.chance = chance = Random(number)  # noqa: S311 - nothing secret
        self.named = chance.random() < 0.6
        """Whether the lines have named colours; a sheet without them has no named colour at all."""
        self.columns, self.rows = chance.randrange(1, 4), chance.randrange(1, 4)
        self.inks: list[Ink] = [*PLAIN, *(SPOTS if self.named else ())]
        self.art: list[Shape | Group | Layer] = []
        self.steps: dict[str, list[Shape | Group | Layer]] = {name: [] for name in STEPS}
        self.more: list[Layer] = []

    def sheet(self) -> Sheet:
        chance = self.chance
        for row in range(self.rows):
            for column in range(self.columns):
                self.piece((column + 0.5) * CELL, (row + 0.5) * CELL, 10 * row + column)
        layers = [Layer("Print Art", tuple(self.art))]
        for name, items in self.steps.items():
            if items:
                # A first line in order carries the named colour of its step.
                layers.append(Layer(name, tuple(items), locked=chance.random() < 0.15, overprints=self.named))
        chance.shuffle(self.more)
        return Sheet(
            f"Random sheet {self.number}",
            "Pieces with and without faults, by number.",
            self.columns * CELL + chance.uniform(0, 30),
            self.rows * CELL,
            tuple(layers + self.more),
            (*STEPS.values(), *SPOTS) if self.named else (),
        )

    def ink(self, step: str) -> Ink:
        return STEPS[step] if self.named else STEPS[step].screen

    def piece(self, x: float, y: float, number: int) -> None:
        chance = self.chance
        self.picture(x, y, number)
        step = chance.choices(list(STEPS), (8, 3, 1, 1))[0]
        way = chance.random()
        if way < 0.7:
            fault = chance.choice(list(CUT_FAULTS))
            items = CUT_FAULTS[fault](chance, self.ink(step), number)
            self.steps[step].append(placed(chance, items, x, y))
        elif way < 0.95:
            self.other_fault(step, x, y, number)
        if step != "Through Cut" and chance.random() < 0.25:
            around = line(outline(chance, SIZE * chance.uniform(0.6, 1.25)), self.ink("Through Cut"), number)
            self.steps["Through Cut"].append(placed(chance, (around,), x, y))

    def picture(self, x: float, y: float, number: int) -> None:
        items = tuple(placed(self.chance, (one,), x, y) for one in art(self.chance, self.inks, number))
        if self.chance.random() < 0.3:
            inner = Layer(f"Piece {number}", items, hidden=self.chance.random() < 0.3)
            self.art.append(inner)
        else:
            self.art += items

    def other_fault(self, step: str, x: float, y: float, number: int) -> None:
        """A fault of names, layers or colours."""
        chance = self.chance
        path = outline(chance)
        edge = line(path, self.ink(step), number)
        way = chance.randrange(6)
        if way == 0:
            self.more.append(Layer(step, (placed(chance, (edge,), x, y),), hidden=True))
        elif way == 1:
            inner = Layer(
                "Spare", (placed(chance, (edge,), x, y),), hidden=chance.random() < 0.5, overprints=self.named
            )
            self.steps[step].append(inner)
        elif way == 2:  # one slip in the layer's name, and no named colour that would tell the step
            wrong = step.replace("u", "o", 1) if "u" in step else step.replace("r", "l", 1)
            name = chance.choice((step[:-1], step + "s", step[:2] + step[3:], wrong))
            self.more.append(Layer(name, (placed(chance, (replace(edge, stroke="#b8432f"),), x, y),)))
        elif way == 3:
            self.more.append(
                Layer(f"Edge {number}", (placed(chance, (replace(edge, stroke="#d01070"),), x, y),))
            )
        elif way == 4:  # a twin in process colour among the art
            self.art.append(placed(chance, (replace(edge, stroke=STEPS[step].screen),), x, y))
        else:  # a line in plain colour beside one in the colour of its step
            other = replace(edge, stroke=chance.choice(PLAIN), path=path.scaled(0.6))
            self.steps[step] += [placed(chance, (edge,), x, y), placed(chance, (other,), x, y)]
