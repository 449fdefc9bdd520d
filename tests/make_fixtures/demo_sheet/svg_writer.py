"""Writes a sheet as SVG text, one user unit to the millimetre. Knows nothing of what the sheet shows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from demo_sheet.outline import Path
from demo_sheet.sheet import Group, Ink, Layer, Shape, Sheet, Swatch, Words

_DECIMALS = 4  # a tenth of a micrometre


def svg_text(sheet: Sheet) -> str:
    """The whole file. Same sheet, same bytes."""
    writer = _Writer(swatch.id for swatch in sheet.swatches)
    body: list[str] = []
    for layer in sheet.layers:
        writer.layer(layer, body)
    head = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"',
        f'     width="{number(sheet.width)}mm" height="{number(sheet.height)}mm"'
        f' viewBox="0 0 {number(sheet.width)} {number(sheet.height)}">',
        f"  <title>{escape(sheet.title)}</title>",
        f"  <desc>{escape(sheet.about)}</desc>",
    ]
    definitions = [_swatch(swatch) for swatch in sheet.swatches] + writer.clips
    if definitions:
        head += ["  <defs>", *definitions, "  </defs>"]
    return "\n".join([*head, *body, "</svg>", ""])


def number(value: float) -> str:
    """A length as short as it can be written without losing a tenth of a micrometre."""
    text = f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def path_data(path: Path) -> str:
    """The ``d`` attribute of a path."""
    parts: list[str] = []
    for contour in path.contours:
        parts.append("M" + _numbers(contour.start))
        for segment in contour.segments:
            parts.append(("L" if len(segment) == 2 else "C") + _numbers(segment))
        if contour.closed:
            parts.append("Z")
    return " ".join(parts)


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(number(value) for value in values)


def _swatch(swatch: Swatch) -> str:
    return (
        f'    <linearGradient id="{swatch.id}" inkscape:label={quoteattr(swatch.name)}>'
        f'<stop offset="0" stop-color="{swatch.screen}"/></linearGradient>'
    )


class _Writer:
    """Gives every element an id of its own and gathers clip paths."""

    def __init__(self, taken: Iterable[str]) -> None:
        self.used: dict[str, int] = dict.fromkeys(taken, 1)
        self.clips: list[str] = []

    def id(self, name: str) -> str:
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
        count = self.used[plain] = self.used.get(plain, 0) + 1
        return plain if count == 1 else f"{plain}-{count}"

    def layer(self, layer: Layer, into: list[str]) -> None:
        hidden = ' style="display:none"' if layer.hidden else ""
        into.append(
            f'  <g id="{self.id(layer.name + " layer")}" inkscape:groupmode="layer"'
            f" inkscape:label={quoteattr(layer.name)}{hidden}>"
        )
        for item in layer.items:
            self.item(item, into, "    ")
        into.append("  </g>")

    def item(self, item: Shape | Group | Words, into: list[str], indent: str) -> None:
        if isinstance(item, Words):
            into.append(
                f'{indent}<text id="{self.id(item.name)}" x="{number(item.x)}" y="{number(item.y)}"'
                f' font-size="{number(item.size)}" font-family="sans-serif" text-anchor="middle"'
                f' fill="{_ink(item.fill)}">{escape(item.text)}</text>'
            )
            return
        if isinstance(item, Shape):
            into.append(f'{indent}<path id="{self.id(item.name)}"{_paint(item)} d="{path_data(item.path)}"/>')
            return
        clip = ""
        if item.clip is not None:
            name = self.id(item.name + " extent")
            self.clips.append(f'    <clipPath id="{name}"><path d="{path_data(item.clip)}"/></clipPath>')
            clip = f' clip-path="url(#{name})"'
        into.append(f'{indent}<g id="{self.id(item.name)}"{clip}>')
        for part in item.items:
            self.item(part, into, indent + "  ")
        into.append(f"{indent}</g>")


def _paint(shape: Shape) -> str:
    text = f' fill="{_ink(shape.fill)}"'
    if shape.even_odd:
        text += ' fill-rule="evenodd"'
    if shape.stroke is not None:
        text += f' stroke="{_ink(shape.stroke)}" stroke-width="{number(shape.stroke_width)}"'
        if shape.round_ends:
            text += ' stroke-linecap="round" stroke-linejoin="round"'
        if shape.dash:
            text += f' stroke-dasharray="{_numbers(shape.dash)}"'
    return text


def _ink(ink: Ink | None) -> str:
    if ink is None:
        return "none"
    return f"url(#{ink.id})" if isinstance(ink, Swatch) else ink
