"""Capital letters drawn for this sheet as centre lines to be stroked: no font, no live text."""

from __future__ import annotations

import math

from demo_sheet.outline import Path, Point, drawn, joined
from demo_sheet.shapes import circle

_HEIGHT = 6.0
_LETTERS: dict[str, tuple[float, str]] = {
    "A": (4.6, "M0 6 L2.3 0 L4.6 6 M.8 4 H3.8"),
    "B": (3.7, "M0 6 V0 H1.9 A1.45 1.45 0 0 1 1.9 2.9 H0 M1.9 2.9 H2.1 A1.55 1.55 0 0 1 2.1 6 H0"),
    "C": (5.1, "M5.1 .9 A3 3 0 1 0 5.1 5.1"),
    "D": (4.8, "M0 0 V6 H1.8 A3 3 0 0 0 1.8 0 Z"),
    "E": (3.2, "M3.2 0 H0 V6 H3.2 M0 2.9 H2.7"),
    "F": (3.0, "M3.1 0 H0 V6 M0 2.9 H2.6"),
    "G": (5.9, "M5.1 .9 A3 3 0 1 0 5.9 3.4 H3.7"),
    "H": (4.3, "M0 0 V6 M4.3 0 V6 M0 2.9 H4.3"),
    "I": (0.0, "M0 0 V6"),
    "J": (2.4, "M2.4 0 V4.5 A1.5 1.5 0 0 1 0 5.3"),
    "K": (3.9, "M0 0 V6 M3.7 0 L0 3.6 M1.3 2.35 L3.9 6"),
    "L": (2.9, "M0 0 V6 H2.9"),
    "M": (5.4, "M0 6 L.6 0 L2.7 4.5 L4.8 0 L5.4 6"),
    "N": (4.4, "M0 6 V0 L4.4 6 V0"),
    "O": (6.0, "M6 3 A3 3 0 0 1 0 3 A3 3 0 0 1 6 3 Z"),
    "P": (3.6, "M0 6 V0 H1.9 A1.65 1.65 0 0 1 1.9 3.3 H0"),
    "Q": (6.0, "M6 3 A3 3 0 0 1 0 3 A3 3 0 0 1 6 3 Z M3.7 4.1 L5.8 6.2"),
    "R": (3.8, "M0 6 V0 H1.9 A1.6 1.6 0 0 1 1.9 3.2 H0 M1.9 3.2 L3.8 6"),
    "S": (3.4, "M3.2 1 C2.7 -.35 .25 -.35 .25 1.5 C.25 3.3 3.4 2.6 3.4 4.5 C3.4 6.4 .6 6.4 0 4.8"),
    "T": (4.0, "M0 0 H4 M2 0 V6"),
    "U": (4.2, "M0 0 V3.9 A2.1 2.1 0 0 0 4.2 3.9 V0"),
    "V": (4.6, "M0 0 L2.3 6 L4.6 0"),
    "W": (6.8, "M0 0 L1.8 6 L3.4 1.2 L5 6 L6.8 0"),
    "X": (4.2, "M0 0 L4.2 6 M4.2 0 L0 6"),
    "Y": (4.4, "M0 0 L2.2 2.9 L4.4 0 M2.2 2.9 V6"),
    "Z": (3.8, "M0 0 H3.8 L0 6 H3.8"),
    "-": (2.4, "M0 3 H2.4"),
    " ": (2.2, ""),
}


def _spaced(text: str, spacing: float) -> tuple[list[tuple[str, float]], float]:
    """Each letter with the middle of its width, and the length of the line, in letter units."""
    at = 0.0
    found = []
    for letter in text:
        width = _LETTERS[letter][0]
        found.append((letter, at + width / 2))
        at += width + spacing
    return found, at - spacing


def line_of_text(text: str, middle: Point, height: float, spacing: float = 1.5) -> Path:
    """Capitals centred on ``middle``, ``height`` mm tall; ``spacing`` in sixths of the height."""
    scale = height / _HEIGHT
    letters, length = _spaced(text, spacing)
    drawn_letters = []
    for letter, at in letters:
        width, outline = _LETTERS[letter]
        shape = drawn(outline).moved(at - width / 2 - length / 2, -_HEIGHT / 2)
        drawn_letters.append(shape.scaled(scale).moved(*middle))
    return joined(*drawn_letters)


def text_on_circle(
    text: str, centre: Point, radius: float, height: float, *, spacing: float = 1.8, below: bool = False
) -> Path:
    """Capitals whose middles run round a circle, centred at its top, or reading upright at its foot."""
    scale = height / _HEIGHT
    letters, length = _spaced(text, spacing)
    drawn_letters = []
    for letter, at in letters:
        width, outline = _LETTERS[letter]
        turn = math.degrees((at - length / 2) * scale / radius)
        shape = drawn(outline).moved(-width / 2, -_HEIGHT / 2).scaled(scale)
        placed = shape.moved(0, radius).turned(-turn) if below else shape.moved(0, -radius).turned(turn)
        drawn_letters.append(placed.moved(*centre))
    return joined(*drawn_letters)


def dot(x: float, y: float, radius: float) -> Path:
    """A round stop between words."""
    return circle(x, y, radius)
