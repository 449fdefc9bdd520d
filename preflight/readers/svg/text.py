"""The room live text takes up, estimated without its font. Knows nothing of layers or clips."""

from __future__ import annotations

from typing import NamedTuple

from lxml import etree

from preflight.readers.svg.cascade import Style
from preflight.readers.svg.context import Context, local_name
from preflight.readers.svg.units import parse_numbers

__all__ = ["TextBox", "text_box"]

# Of the font size; an average over common sans serif faces, from memory.
ADVANCE, ASCENT, DESCENT = 0.55, 0.8, 0.22


class TextBox(NamedTuple):
    """Characters, smallest font size (user units) and box (x0, y0, x1, y1, user units; None where nothing shows)."""

    characters: str
    font_size: float
    box: tuple[float, float, float, float] | None
    on_path: bool


class _Pen:
    """Where the next character goes, and the boxes of the chunks so far."""

    def __init__(self, x: float, y: float) -> None:
        self.x, self.y = x, y
        self.boxes: list[tuple[float, float, float, float]] = []
        self.words: list[str] = []
        self.on_path = False
        self.spaced = False
        self.size = 0.0

    def write(self, text: str | None, style: Style) -> None:
        words = " ".join((text or "").split())
        if not words or style["display"] == "none":
            return
        if self.words and (self.spaced or (text or "")[0].isspace()):
            words = " " + words
        self.spaced = (text or "")[-1].isspace()
        size = style.font_size
        width = len(words) * ADVANCE * size
        shift = {"middle": width / 2, "end": width}.get(style["text-anchor"], 0.0)
        left = self.x - shift
        self.boxes.append((left, self.y - ASCENT * size, left + width, self.y + DESCENT * size))
        self.x += width
        self.words.append(words)
        self.size = min(self.size or size, size)


def text_box(context: Context, element: etree._Element, style: Style) -> TextBox:
    """Estimate one ``<text>`` with its spans."""
    pen = _Pen(0.0, 0.0)
    pending: list[tuple[etree._Element, Style, bool]] = [(element, style, True)]
    while pending:
        node, current, entering = pending.pop()
        if not entering:
            pen.write(node.tail, current)
            continue
        own = current if node is element else context.cascade.style_of(node, current)
        _move(context, pen, node, own)
        pen.on_path = pen.on_path or local_name(node) == "textPath"
        pen.write(node.text, own)
        if node is not element:
            pending.append((node, current, False))
        for child in reversed(node):
            if isinstance(child.tag, str) and local_name(child) in (
                "tspan",
                "textPath",
                "a",
                "tref",
                "altGlyph",
            ):
                pending.append((child, own, True))
    box = None
    if pen.boxes:
        box = (
            min(b[0] for b in pen.boxes),
            min(b[1] for b in pen.boxes),
            max(b[2] for b in pen.boxes),
            max(b[3] for b in pen.boxes),
        )
    return TextBox("".join(pen.words), pen.size or style.font_size, box, pen.on_path)


def _move(context: Context, pen: _Pen, node: etree._Element, style: Style) -> None:
    """Apply x, y, dx, dy; of a list of positions the first one counts."""
    for name, axis in (("x", "x"), ("y", "y"), ("dx", "x"), ("dy", "y")):
        text = node.get(name)
        if text is None:
            continue
        numbers, complete = parse_numbers(text)
        value = numbers[0] if numbers and complete else context.value(node, style, name, axis)
        if value is None:
            continue
        if name in ("x", "y"):
            setattr(pen, name, value)
        else:
            setattr(pen, axis, getattr(pen, axis) + value)
