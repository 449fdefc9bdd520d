"""Sheets within all limits, by number, and the same with one fault. Knows no file format.

A sheet is tight, its pieces 3 mm apart so that the bleed of each ends beside its neighbour's cut, or loose, with white that
takes away and through cuts round kiss cuts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from random import Random

from demo_sheet.outline import Path, joined
from demo_sheet.shapes import circle, line_between, rectangle
from demo_sheet.sheet import (
    Group,
    Layer,
    Matrix,
    Picture,
    Shape,
    Sheet,
    Swatch,
    Words,
    cut_line,
    filled,
    stroked,
)

from random_sheets.furniture import PERFORATION, captions, tear_line, underlay
from random_sheets.good_pieces import BLEED, Piece, block, full_bleed, photograph, unprinted, white_bordered
from random_sheets.line_faults import LINE_FAULTS, Fault

__all__ = ["FAULTS", "Fault", "Made", "good_sheet"]

INSET = 8.0
"""mm from the edges of the page to the centres of its marks."""
DOT, ARM = 2.5, 3.0
"""mm: how far a dot and a cross reach from their centres."""
BLACK, PALE = "#101010", "#bbbbbb"
KISS, THROUGH = Swatch("kiss", "Kiss Cut", "#6f3fc0"), Swatch("through", "Through Cut", "#0b7a4b")
KIS = Swatch("kis", "Kis Cut", "#6f3fc0")
Item = Shape | Group | Picture


@dataclass(frozen=True)
class Made:
    """A sheet, the one fault in it, and what a profile must say of the roll (mm, by the keys of its table [media])."""

    sheet: Sheet
    fault: Fault | None = None
    media: dict[str, float] = field(default_factory=dict)


FAULTS = (
    "bleed short", "no bleed", "art near", "art beside", "cuts near", "art at a mark", "cut at a mark", "mark off", "mark large",
    "mark missing", "cut off the page", "line thin", "image coarse", "roll narrow", "lead short",
    "marks pale", "mark covered", "text live", "picture absent", "stray", "kiss cut outside", "line hidden", "line printed",
    "line misspelt", *LINE_FAULTS,
)  # fmt: skip
"""What `good_sheet` can plant."""

IN_PLAIN_FILM = {
    "art beside", "line thin", "text live", "picture absent", "kiss cut outside", "line hidden", "line printed",
}  # fmt: skip
"""Faults for which the first piece has no art of its own."""


def good_sheet(number: int, fault: str | None = None) -> Made:
    """The sheet of a number: the same one each time."""
    return _Draft(number, fault).made()


class _Draft:
    """A sheet while it is filled, piece by piece and row by row."""

    def __init__(self, number: int, fault: str | None) -> None:
        self.number, self.fault = number, fault
        self.chance = chance = Random(104729 * number + 17)  # noqa: S311 -- shapes, not secrets
        self.tight = chance.random() < 0.5 and fault not in {"art beside", "kiss cut outside"}
        self.gap = chance.uniform(BLEED + 0.03, 4.0) if self.tight else chance.uniform(22.0, 25.0)
        self.marked = fault is not None or chance.random() < 0.6
        self.border = 26.0 if self.marked else 10.0
        self.cross = chance.random() < 0.4
        # A kiss cut outside every through cut would be another rule's finding: all have one, or none.
        self.cut_through = (
            not self.tight
            and fault not in {"cuts near", "art beside", "cut at a mark", "cut off the page", *LINE_FAULTS}
            and (chance.random() < 0.4 or fault == "kiss cut outside")
        )
        self.line = KIS if fault == "line misspelt" else KISS
        self.white: list[Item] | None = [] if chance.random() < 0.4 else None
        self.tears: list[Item] = []
        self.hidden: list[Item] = []
        self.art: list[tuple[Item, ...]] = []
        self.last: list[Item | Words] = []
        self.kiss: list[Item] = []
        self.through: list[Item] = []
        self.found: Fault | None = None
        self.media: dict[str, float] = {}

    def made(self) -> Made:
        chance = self.chance
        rows, columns = chance.randrange(1, 4), chance.randrange(2, 5)
        top, width = self.border, 0.0
        for row in range(rows):
            pieces = [self.piece(row, column) for column in range(columns)]
            tall, left = max(piece.half[1] for piece in pieces), self.border
            for column, piece in enumerate(pieces):
                self.put(piece, left + piece.half[0], top + tall, planted=row == 0 and column < 2)
                near = self.fault == "cuts near" and row == column == 0
                left += 2 * piece.half[0] + (2.6 if near else self.gap)
            width = max(width, left - self.gap)
            top += 2 * tall + self.gap
        width, height = width + self.border, top - self.gap + self.border
        marks = self.marks(width, height) if self.marked else ()
        self.plant(width, height)
        return Made(self.sheet(width, height, marks), self.found, self.media)

    def piece(self, row: int, column: int) -> Piece:
        """The piece of a place; the first two are what the fault needs."""
        chance, fault = self.chance, self.fault if row == 0 and column < 2 else None
        first = column == 0
        room = self.gap - 0.01 if self.tight else 6.0
        whites = not self.tight and fault != "cuts near"
        kind = chance.choices(("full", "white", "photograph", "plain", "block"), (4, 4, 1, 1, 1))[0]
        if fault == "cuts near":
            kind = ("full", "white", "plain")[self.number % 3]
        if first and fault in LINE_FAULTS:
            made = LINE_FAULTS[fault](chance, self.line)
            self.found = made.fault
            return Piece(Path(()), (), made.half, lines=made.cuts, tears=made.tears)
        if first and fault in IN_PLAIN_FILM:
            kind = "plain"
        if first and fault in {"bleed short", "no bleed"}:
            short = 0.0 if fault == "no bleed" else BLEED - 0.4
            self.found = Fault("bleed-short", short)
            return full_bleed(chance, short, whites=whites)
        if first and fault == "art near":
            self.found = Fault("art-near-cut", 1.5)
            return white_bordered(chance, 1.5, whites=whites)
        if first and fault == "image coarse":
            made = photograph(chance, bleeds=False, density=5.0)
            (picture,) = made.art
            assert isinstance(picture, Picture)
            ppi = 25.4 * min(picture.columns / picture.width, picture.rows / picture.height)
            self.found = Fault("image-coarse", ppi, "ppi")
            return made
        if kind == "block":
            return block(chance, room)
        if kind == "full":
            return full_bleed(chance, None, room, whites=whites)
        if kind == "white":
            return white_bordered(chance, whites=whites)
        # The bleed of a photograph is fixed: more than a tight sheet has room for.
        return photograph(chance, bleeds=not self.tight) if kind == "photograph" else unprinted(chance)

    def put(self, piece: Piece, x: float, y: float, *, planted: bool) -> None:
        chance, fault = self.chance, self.fault
        if piece.art:
            self.art.append((self.nested(piece.art, x, y),))
        lines = piece.lines or (cut_line("edge", piece.cut, self.line),)
        hidden = planted and fault == "line hidden" and self.found is None
        (self.hidden if hidden else self.kiss).append(self.nested(lines, x, y))
        if piece.lines and self.found is not None and self.found.at is not None:
            self.found = replace(self.found, at=(x + self.found.at[0], y + self.found.at[1]))
        if self.white is not None and piece.cut.contours:
            self.white.append(self.nested((underlay(chance, piece.half, piece.cut),), x, y))
        tearable = (
            len(piece.cut.contours) == 1
            and min(piece.half) > 9
            and not (planted and fault == "kiss cut outside")
        )
        if piece.tears or (tearable and chance.random() < 0.3):
            self.tears.append(self.nested(piece.tears or (tear_line(chance, piece.half),), x, y))
        if self.cut_through and not (planted and fault == "kiss cut outside" and self.found is None):
            grow = chance.uniform(8.2, 9.5)
            box = piece.half[0] + grow, piece.half[1] + grow
            around = rectangle(-box[0], -box[1], box[0], box[1], chance.choice((0.0, 4.0)))
            self.through.append(self.nested((cut_line("through cut", around, THROUGH),), x, y))
        if planted and self.found is None:
            if fault == "art beside":
                self.found = Fault("art-near-cut", 0.5)
                self.last.append(filled("drop", circle(x - piece.half[0] - 2.0, y, 1.5), "#2a7593"))
            elif fault == "line thin":
                self.found = Fault("line-thin", 0.05 * 72 / 25.4, "pt")
                self.last.append(stroked("hair", circle(x, y, 4), BLACK, 0.05))
            elif fault == "cuts near":
                self.found = Fault("cut-spacing", 2.6)
            else:
                self.plant_in(piece, x, y)

    def plant_in(self, piece: Piece, x: float, y: float) -> None:
        """Faults of what lies in the first piece, which is plain film."""
        fault = self.fault
        if fault == "text live":
            self.found = Fault("text-live", None, at=(x, y - 1), noted=("text",))
            self.last.append(Words("words", "TEA", x, y, 4.0, BLACK))
        elif fault == "picture absent":
            self.found = Fault("image-absent", None, at=(x, y))
            self.last.append(Picture("picture", x - 3, y - 3, 6, 6, 60, 60, linked="nowhere.png"))
        elif fault == "kiss cut outside":
            self.found = Fault("step-order", None, at=(x, y))
        elif fault == "line hidden":
            self.found = Fault("step-hidden", None, at=(x, y))
        elif fault == "line printed":
            self.found = Fault("step-printed", 0.1, at=(x, y))
            self.last.append(cut_line("twin", circle(x, y, 4), KISS.screen))

    def nested(self, items: tuple[Item, ...], x: float, y: float) -> Group:
        """Items put at a place in groups whose matrices undo each other, some clipped far outside, some shared."""
        chance = self.chance
        found: tuple[Item, ...] = items
        for _ in range(chance.randrange(4)):
            way, box = chance.randrange(4), (-60.0, -60.0, 60.0, 60.0)
            inner = Group("", found, shared=way > 1, extent=box if way == 3 else None)
            if way == 1:
                inner = Group("", found, clip=rectangle(*box))
            turn, scale, stretch = (
                chance.uniform(0, math.tau),
                chance.uniform(0.3, 3.0),
                chance.uniform(0.6, 1.6),
            )
            cos, sin, side = (
                scale * math.cos(turn),
                scale * math.sin(turn),
                chance.choice((1.0, -1.0)) * stretch,
            )
            own = (cos, sin, -sin * side, cos * side, chance.uniform(-5, 5), chance.uniform(-5, 5))
            # Each step is undone at once: what is in a box stays in it.
            found = (Group("", (Group("", (inner,), matrix=own),), matrix=_inverse(own)),)
        return Group("", found, matrix=(1.0, 0.0, 0.0, 1.0, x, y))

    def marks(self, width: float, height: float) -> tuple[Shape, ...]:
        fault, found = self.fault, []
        for number in range(4):
            x = INSET if number % 2 == 0 else width - INSET
            y = INSET if number < 2 else height - INSET
            more = 0.0
            if number == 2:
                if fault == "mark missing":
                    self.found = Fault("marks-missing", 3, "marks")
                    continue
                if fault == "mark off":
                    self.found = Fault("marks-skewed", 0.5)
                    x, y = x + 0.3, y - 0.4
                if fault == "mark large":
                    more = 0.2
                    self.found = Fault("mark-size", 2 * ((ARM if self.cross else DOT) + more))
                if fault == "marks pale":
                    self.found = Fault("marks-faint", None)
                if fault == "mark covered":
                    self.found = Fault("mark-crowded", 0.0)
                    self.last.append(filled("patch", rectangle(x - 0.7, y - 1, x + 5, y + 4), "#2a7593"))
            found.append(self.mark(number, x, y, more))
        return tuple(found)

    def mark(self, number: int, x: float, y: float, more: float) -> Shape:
        tone = PALE if self.fault == "marks pale" else BLACK
        if not self.cross:
            return filled(f"mark {number}", circle(x, y, DOT + more), tone)
        arm = ARM + more
        bars = joined(line_between((x - arm, y), (x + arm, y)), line_between((x, y - arm), (x, y + arm)))
        return stroked(f"mark {number}", bars, tone, 0.6, round_ends=False)

    def plant(self, width: float, height: float) -> None:
        """Faults of the page and its border, which is empty but for the marks."""
        fault, reach = self.fault, ARM if self.cross else DOT
        beside = INSET + reach + 4.2
        if fault == "art at a mark":
            self.found = Fault("mark-crowded", 4.2)
            self.last.append(filled("drop", circle(beside + 1.5, INSET, 1.5), "#2a7593"))
        elif fault == "cut at a mark":
            self.found = Fault("mark-crowded", 4.2)
            self.kiss.append(cut_line("kiss cut", circle(beside + 2.0, INSET, 2.0), KISS))
        elif fault == "cut off the page":
            self.found = Fault("cut-off-page", 0.7)
            self.kiss.append(cut_line("kiss cut", circle(4.0 - 0.7, height / 2, 4.0), KISS))
        elif fault == "roll narrow":
            needed = width - 2 * (INSET - reach)
            self.found = Fault("media-overflow", needed)
            self.media = {"width": needed - 1.3 + 2 * 25.0, "side_margin": 25.0}
        elif fault == "lead short":
            self.found = Fault("lead-short", INSET - reach)
            self.media = {"width": width, "side_margin": 2.0, "lead_margin": INSET, "tail_margin": 2.0}
        elif fault == "stray":
            self.found = Fault("object-stray", None, at=(-6.0, height / 2))
            self.last.append(filled("drop", circle(-6.0, height / 2, 3.0), "#2a7593"))
        elif fault == "line misspelt":
            self.found = Fault("step-misspelt", 1, "slips")
        elif fault is None:
            self.media = {"width": width + 60.0, "side_margin": 25.0}

    def sheet(self, width: float, height: float, marks: tuple[Shape, ...]) -> Sheet:
        """The layers in an order by chance; white of one piece never lies on another's art."""
        chance = self.chance
        chance.shuffle(self.art)
        art: list[Item | Layer] = []
        for number, items in enumerate(self.art):
            art += [Layer(f"Piece {number}", items)] if chance.random() < 0.3 else items
        layers = [
            Layer("Print Art", (*art, *self.last)),
            Layer(self.line.name, tuple(self.kiss), overprints=True),
        ]
        if self.white:
            layers.append(Layer("White", tuple(self.white)))
        if self.tears:
            layers.append(Layer("Perforation", tuple(self.tears), overprints=True))
        if self.hidden:
            layers.append(Layer("Kiss Cut", tuple(self.hidden), hidden=True, overprints=True))
        if chance.random() < 0.5:
            layers += captions(chance, width, height)
        if self.through:
            layers.append(Layer("Through Cut", tuple(self.through), overprints=True))
        if marks:
            layers.append(Layer("Registration Marks", marks))
        chance.shuffle(layers)
        about = "Nothing is wrong with it." if self.fault is None else f"One fault: {self.fault}."
        swatches = (self.line, *((THROUGH,) if self.through else ()), *((PERFORATION,) if self.tears else ()))
        return Sheet(f"Sheet {self.number}", about, width, height, tuple(layers), swatches)


def _inverse(matrix: Matrix) -> Matrix:
    a, b, c, d, e, f = matrix
    size = a * d - b * c
    return d / size, -b / size, -c / size, a / size, (c * f - d * e) / size, (b * e - a * f) / size
