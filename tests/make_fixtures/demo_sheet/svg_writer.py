"""Writes a sheet as SVG text, one user unit to the millimetre. Knows nothing of what the sheet shows."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from demo_sheet.outline import Bounds, Path
from demo_sheet.png import png_bytes
from demo_sheet.sheet import Group, Ink, Layer, Matrix, Picture, Shape, Sheet, Swatch, Words

_DECIMALS = 4  # a tenth of a micrometre


def svg_text(sheet: Sheet) -> str:
    """The whole file. Same sheet, same bytes."""
    writer = _Writer(swatch.id for swatch in sheet.swatches)
    body: list[str] = []
    for layer in sheet.layers:
        writer.layer(layer, body, "  ")
    spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    if any("sodipodi:" in line for line in body):
        spaces += '\n     xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
    head = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f"<svg {spaces}",
        f'     width="{number(sheet.width)}mm" height="{number(sheet.height)}mm"'
        f' viewBox="0 0 {number(sheet.width)} {number(sheet.height)}">',
        f"  <title>{escape(sheet.title)}</title>",
        f"  <desc>{escape(sheet.about)}</desc>",
    ]
    definitions = [_swatch(swatch) for swatch in sheet.swatches] + writer.definitions
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
    """Gives every element an id of its own and gathers clip paths and what is shared."""

    def __init__(self, taken: Iterable[str]) -> None:
        self.used: dict[str, int] = dict.fromkeys(taken, 1)
        self.definitions: list[str] = []
        self._shared: dict[object, str] = {}

    def id(self, name: str) -> str:
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
        count = self.used[plain] = self.used.get(plain, 0) + 1
        return plain if count == 1 else f"{plain}-{count}"

    def layer(self, layer: Layer, into: list[str], indent: str) -> None:
        more = ' style="display:none"' if layer.hidden else ""
        more += ' sodipodi:insensitive="true"' if layer.locked else ""
        into.append(
            f'{indent}<g id="{self.id(layer.name + " layer")}" inkscape:groupmode="layer"'
            f" inkscape:label={quoteattr(layer.name)}{more}>"
        )
        for item in layer.items:
            self.item(item, into, indent + "  ")
        into.append(f"{indent}</g>")

    def item(self, item: Shape | Group | Words | Picture | Layer, into: list[str], indent: str) -> None:
        if isinstance(item, Layer):
            self.layer(item, into, indent)
        elif isinstance(item, Words):
            into.append(
                f'{indent}<text id="{self.id(item.name)}" x="{number(item.x)}" y="{number(item.y)}"'
                f' font-size="{number(item.size)}" font-family="sans-serif" text-anchor="middle"'
                f' fill="{_ink(item.fill)}">{escape(item.text)}</text>'
            )
        elif isinstance(item, Picture):
            box = _sides((item.x, item.y, item.x + item.width, item.y + item.height))
            href = item.linked or f"data:image/png;base64,{b64encode(png_bytes(item)).decode()}"
            into.append(
                f'{indent}<image id="{self.id(item.name)}"{box} preserveAspectRatio="none" href={quoteattr(href)}/>'
            )
        elif isinstance(item, Shape):
            into.append(f'{indent}<path id="{self.id(item.name)}"{_paint(item)} d="{path_data(item.path)}"/>')
        else:
            self.group(item, into, indent)

    def group(self, group: Group, into: list[str], indent: str) -> None:
        more = f' id="{self.id(group.name)}"' if group.name else ""
        if group.matrix is not None:
            more += f' transform="matrix({coefficients(group.matrix)})"'
        if group.clip is not None:
            name = self.id(group.name + " extent")
            rule = ' clip-rule="evenodd"' if group.clip_even_odd else ""
            self.definitions.append(
                f'    <clipPath id="{name}"><path{rule} d="{path_data(group.clip)}"/></clipPath>'
            )
            more += f' clip-path="url(#{name})"'
        if group.opacity != 1.0:
            more += f' opacity="{number(group.opacity)}"'
        into.append(f"{indent}<g{more}>")
        if group.shared:
            into.append(f"{indent}  {self._use(group)}")
        else:
            for part in group.items:
                self.item(part, into, indent + "  ")
        into.append(f"{indent}</g>")

    def _use(self, group: Group) -> str:
        key = (group.items, group.extent)
        name = self._shared.get(key)
        sides = "" if group.extent is None else _sides(group.extent)
        if name is None:
            name = self._shared[key] = self.id("shared")
            shown = ' overflow="visible"'
            if group.extent is not None:
                x0, y0, x1, y1 = group.extent
                box = _numbers((x0, y0, x1 - x0, y1 - y0))
                shown = f' viewBox="{box}" preserveAspectRatio="none" overflow="hidden"'
            inner: list[str] = []
            for part in group.items:
                self.item(part, inner, "      ")
            # A symbol's id names no layer, as a form has none.
            self.definitions += [f'    <symbol id="{name}"{shown}>', *inner, "    </symbol>"]
        return f'<use href="#{name}"{sides}/>'


def _sides(extent: Bounds) -> str:
    x0, y0, x1, y1 = extent
    named = {"x": x0, "y": y0, "width": x1 - x0, "height": y1 - y0}
    return "".join(f' {key}="{number(value)}"' for key, value in named.items())


def coefficients(matrix: Matrix) -> str:
    """The six numbers of a matrix, fine enough that a sheet's far corner stays within a tenth of a micrometre."""
    return " ".join(f"{value:.7f}" for value in matrix)


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
            text += f' stroke-dashoffset="{number(shape.dash_offset)}"' if shape.dash_offset else ""
        if shape.stroke_opacity != 1.0:
            text += f' stroke-opacity="{number(shape.stroke_opacity)}"'
    if shape.fill_opacity != 1.0:
        text += f' fill-opacity="{number(shape.fill_opacity)}"'
    return text if shape.blend == "normal" else f'{text} style="mix-blend-mode:{shape.blend}"'


def _ink(ink: Ink | None) -> str:
    if ink is None:
        return "none"
    return f"url(#{ink.id})" if isinstance(ink, Swatch) else ink
