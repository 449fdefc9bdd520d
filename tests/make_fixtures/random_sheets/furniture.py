"""What lies on sheets in order beside art and cuts: white, varnish, tear lines, legends, lettering as outlines. Knows no file.

None of it may be found fault with, wherever it lies: no knife follows a legend, and white underneath is no white on top.
"""

from __future__ import annotations

import math
from random import Random

from demo_sheet.outline import Path, joined
from demo_sheet.shapes import circle, line_between, polygon, rectangle
from demo_sheet.sheet import Ink, Layer, Picture, Shape, Swatch, Words, filled, stroked

__all__ = ["PERFORATION", "captions", "lettering", "tear_line", "underlay"]

PERFORATION = Swatch("perforation", "Perforation", "#c0203f")
WHITE = "#ffffff"
GREY = "#8a8f94"

_LETTERS: dict[str, tuple[float, Path]] = {
    "E": (3.2, polygon([(0, 0), (3.2, 0), (3.2, 1), (1.1, 1), (1.1, 2.5), (2.8, 2.5), (2.8, 3.5), (1.1, 3.5), (1.1, 5), (3.2, 5), (3.2, 6), (0, 6)])),
    "T": (4.0, polygon([(0, 0), (4, 0), (4, 1), (2.5, 1), (2.5, 6), (1.5, 6), (1.5, 1), (0, 1)])),
    "A": (4.6, joined(polygon([(1.6, 0), (3, 0), (4.6, 6), (3.4, 6), (3, 4.6), (1.6, 4.6), (1.2, 6), (0, 6)]), polygon([(2.3, 1.6), (2.75, 3.6), (1.85, 3.6)]))),
    "I": (1.1, rectangle(0, 0, 1.1, 6)),
    "P": (3.6, joined(polygon([(0, 0), (3.6, 0), (3.6, 3.7), (1.1, 3.7), (1.1, 6), (0, 6)]), rectangle(1.1, 1, 2.6, 2.7))),
    "O": (6.0, joined(circle(3, 3, 3), circle(3, 3, 1.8))),
    "L": (2.9, polygon([(0, 0), (1.1, 0), (1.1, 5), (2.9, 5), (2.9, 6), (0, 6)])),
}  # fmt: skip
"""Width and outline of capitals 6 high, their holes filled by the even-odd rule."""


def lettering(text: str, height: float, ink: Ink) -> Shape:
    """Words turned into outlines, their middle at the origin."""
    at, outlines = 0.0, []
    for letter in text:
        width, outline = _LETTERS[letter]
        outlines.append(outline.moved(at, -3.0))
        at += width + 1.2
    words = joined(*outlines).moved(-(at - 1.2) / 2, 0.0).scaled(height / 6.0)
    return filled("lettering", words, ink, even_odd=True)


def underlay(chance: Random, half: tuple[float, float], cut: Path) -> Shape:
    """White ink for clear film: as large as the piece, a little smaller, or a patch of it."""
    x, y = half
    way = chance.randrange(3)
    path = (
        cut if way == 0 else cut.scaled(0.97) if way == 1 else rectangle(-0.4 * x, -0.5 * y, 0.6 * x, 0.3 * y)
    )
    return filled("white", path, WHITE)


def tear_line(chance: Random, half: tuple[float, float]) -> Shape:
    """A perforation well inside a piece, dashed or not."""
    reach = 0.35 * min(half)
    turn = chance.uniform(0, math.tau)
    there = (reach * math.cos(turn), reach * math.sin(turn))
    path = line_between((-there[0], -there[1]), there)
    dash = chance.choice(((), (1.5, 0.75), (0.3, 0.6, 2.0, 0.6)))
    return Shape("tear line", path, stroke=PERFORATION, stroke_width=0.1, dash=dash)


def captions(chance: Random, width: float, height: float) -> list[Layer]:
    """A legend with dimensions over the middle of the sheet, coarse and small things on it; notes on a layer that is not shown."""
    x, y = chance.uniform(0.2, 0.8) * width, chance.uniform(0.2, 0.8) * height
    words = Words("caption", "Jam labels, 8 up", x, y, chance.choice((1.2, 3.0, 6.0)), GREY)
    arrow = stroked(
        "arrow", line_between((0.1 * width, y + 2), (0.9 * width, y + 2)), GREY, chance.choice((0.03, 0.2))
    )
    proof = Picture("proof", x, y, 20.0, 10.0, 20, 10)
    hidden = Words("note", "Cut on Monday", y, x, 4.0, GREY)
    found = [Layer(chance.choice(("Legend", "Dimensions")), (words, arrow, proof))]
    if chance.random() < 0.5:
        found.append(Layer("Notes", (hidden,), hidden=True))
    return found
