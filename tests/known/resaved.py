"""The same artwork as another program would save it, or after an edit elsewhere on the sheet."""

from __future__ import annotations

import io
import re
from decimal import Decimal
from typing import Any

import pikepdf
from lxml import etree

SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
NUMBER = re.compile(r"-?\d*\.?\d+(?:[eE][-+]?\d+)?")
LENGTHS = (
    "x",
    "y",
    "width",
    "height",
    "cx",
    "cy",
    "r",
    "stroke-width",
    "font-size",
    "d",
    "points",
    "stroke-dasharray",
)
PX = 96 / 25.4
"""px to the mm: CSS Values and Units 3, 6.2."""


def _tree(data: bytes) -> etree._Element:
    return etree.fromstring(data)


def _bytes(root: etree._Element) -> bytes:
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")


def svg_in_px(data: bytes, digits: int) -> bytes:
    """An SVG drawn in mm, written in px with so many decimals."""
    root = _tree(data)
    root.set("viewBox", _scaled(root.get("viewBox", ""), PX, 4))
    for element in root.iterdescendants():
        for name in LENGTHS:
            value = element.get(name)
            if value is not None and not value.endswith(("mm", "%")):
                element.set(name, _scaled(value, PX, digits))
    return _bytes(root)


def _scaled(text: str, factor: float, digits: int) -> str:
    return NUMBER.sub(lambda found: f"{float(found[0]) * factor:.{digits}f}", text)


def svg_rounded(data: bytes, digits: int) -> bytes:
    """An SVG with so many decimals in its paths."""
    root = _tree(data)
    for path in root.iter(f"{SVG}path"):
        path.set("d", _scaled(path.get("d", ""), 1.0, digits))
    return _bytes(root)


def svg_relative(data: bytes) -> bytes:
    """An SVG whose paths of M, L, C and Z are written with relative steps of four decimals."""
    root = _tree(data)
    for path in root.iter(f"{SVG}path"):
        path.set("d", _relative(path.get("d", "")))
    return _bytes(root)


def _relative(text: str) -> str:
    written: list[str] = []
    now, start = (Decimal(0), Decimal(0)), (Decimal(0), Decimal(0))
    for letter, rest in re.findall(r"([MLCZ])([^MLCZ]*)", text):
        numbers = [Decimal(one) for one in NUMBER.findall(rest)]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "Z":
            written.append("z")
            now = start
            continue
        step = 3 if letter == "C" else 1
        for first in range(0, len(points), step):
            group = points[first : first + step]
            written.append(letter.lower() + " ".join(f"{x - now[0]},{y - now[1]}" for x, y in group))
            now = group[-1]
            if letter == "M":
                start, letter = now, "L"
    return "".join(written)


def svg_renamed(data: bytes) -> bytes:
    """An SVG whose ids are other ones, those aside that name a layer or a swatch."""
    text = data.decode()
    root = _tree(data)
    named = {element.get("id") for element in root.iter() if element.get(LABEL) is None}
    for number, name in enumerate(sorted(filter(None, named))):
        text = re.sub(rf'(id="|url\(#|href="#){re.escape(name)}(["\)])', rf"\g<1>n{number}\g<2>", text)
    return text.encode()


def svg_attributes_reordered(data: bytes) -> bytes:
    """An SVG whose elements have their attributes the other way round, on lines of their own."""
    root = _tree(data)
    for element in root.iter(etree.Element):
        held = list(element.attrib.items())[::-1]
        element.attrib.clear()
        for name, value in held:
            element.set(name, value)
    return _bytes(root).replace(b"><", b">\n\n<")


def svg_with_more(data: bytes, before: bool) -> bytes:
    """An SVG with more art in its layers: a plain rectangle first, or last, in each layer of art."""
    root = _tree(data)
    box = [float(one) for one in root.get("viewBox", "").split()]
    x, y = box[2] / 2 + 3, box[3] / 2
    for group in root.iterchildren(f"{SVG}g"):
        if "Art" not in group.get(LABEL, ""):
            continue
        extra = etree.Element(f"{SVG}rect", x=f"{x}", y=f"{y}", width="1.5", height="1.5", fill="#30506a")
        group.insert(0 if before else len(group), extra)
    return _bytes(root)


def svg_layers_turned(data: bytes) -> bytes:
    """An SVG whose hidden and cut layers stand before the art: nothing that is printed changes its order."""
    root = _tree(data)
    groups = list(root.iterchildren(f"{SVG}g"))
    art = [group for group in groups if "Art" in group.get(LABEL, "")]
    place = root.index(groups[0])
    for group in [one for one in groups if one not in art][::-1]:
        root.remove(group)
        root.insert(place, group)
    return _bytes(root)


def pdf_resaved(data: bytes) -> bytes:
    """A PDF as qpdf saves it: linearised, with object streams, every stream packed anew."""
    saved = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(
            saved,
            linearize=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            recompress_flate=True,
            deterministic_id=True,
        )
    return saved.getvalue()


def pdf_rounded(data: bytes, digits: int) -> bytes:
    """A PDF that begins with a matrix, its content written anew in points with so many decimals."""
    saved = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for page in pdf.pages:
            (first, *rest) = pikepdf.parse_content_stream(page)
            base = pikepdf.Matrix(*map(float, first.operands))
            steps = [
                (_in_points(one.operands, str(one.operator), base, digits), one.operator) for one in rest
            ]
            page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(steps))
        pdf.save(saved, deterministic_id=True)
    return saved.getvalue()


def _in_points(operands: Any, operator: str, base: pikepdf.Matrix, digits: int) -> list[Any]:
    scale = abs(base.a * base.d - base.b * base.c) ** 0.5
    if operator in {"cm", "Tm"}:
        matrix = pikepdf.Matrix(*map(float, operands)) @ base
        return [Decimal(f"{value:.6f}") for value in matrix.shorthand]
    if operator == "w":
        return [Decimal(f"{float(operands[0]) * scale:.{digits}f}")]
    if operator == "d":
        lengths = [Decimal(f"{float(one) * scale:.{digits}f}") for one in operands[0]]
        return [pikepdf.Array(lengths), operands[1]]
    if operator not in {"m", "l", "c", "v", "y"}:
        return list(operands)
    numbers = [float(one) for one in operands]
    points = [base.transform(point) for point in zip(numbers[::2], numbers[1::2], strict=True)]
    return [Decimal(f"{value:.{digits}f}") for point in points for value in point]
