"""Writes a sheet as PDF 1.7, one unit of the content to the millimetre. Knows nothing of what the sheet shows.

Structure and operators: ISO 32000-1:2008; metadata of processing steps: ISO 19593-1.
"""

from __future__ import annotations

from demo_sheet.outline import Path
from demo_sheet.pdf_file import POINTS, PdfFile, array, dictionary, points, text
from demo_sheet.sheet import Group, Ink, Layer, Shape, Sheet, Swatch, Words
from demo_sheet.svg_writer import number

_STEPS = {
    "Kiss Cut": ("Structural", "PartialCutting"),
    "Through Cut": ("Structural", "Cutting"),
    "White": ("White", None),
}
"""ISO 19593-1 group and type of the layers that hold no artwork."""


def pdf_bytes(sheet: Sheet) -> bytes:
    """The whole file. Same sheet, same bytes: streams are not compressed, no date and no random number is in it."""
    file = PdfFile()
    groups = [file.add(_layer(layer)) for layer in sheet.layers]
    swatches = {swatch: f"S{index}" for index, swatch in enumerate(sheet.swatches)}
    content = _Content(sheet, swatches)
    page_box = f"[0 0 {points(sheet.width)} {points(sheet.height)}]"
    resources = dictionary(
        ColorSpace=dictionary(**{name: _separation(swatch) for swatch, name in swatches.items()}),
        ExtGState=dictionary(
            Over=dictionary(OP="true", op="true", OPM="1"), Plain=dictionary(OP="false", op="false")
        ),
        Properties=dictionary(**{f"L{index}": group for index, group in enumerate(groups)}),
    )
    stream = file.add_stream(content.text())
    pages = file.reserve()
    page = file.add(
        dictionary(
            Type="/Page",
            Parent=pages,
            MediaBox=page_box,
            TrimBox=page_box,
            Resources=resources,
            Contents=stream,
        )
    )
    file.put(pages, dictionary(Type="/Pages", Kids=f"[{page}]", Count="1"))
    off = [group for group, layer in zip(groups, sheet.layers, strict=True) if layer.hidden]
    layers = dictionary(
        OCGs=array(groups),
        D=dictionary(
            Name=text("Layers"),
            Order=array(groups),
            ON=array(g for g in groups if g not in off),
            OFF=array(off),
        ),
    )
    root = file.add(dictionary(Type="/Catalog", Pages=pages, OCProperties=layers))
    info = file.add(dictionary(Title=text(sheet.title), Subject=text(sheet.about)))
    return file.finished(root, info)


class _Content:
    """The page's content stream."""

    def __init__(self, sheet: Sheet, swatches: dict[Swatch, str]) -> None:
        self._swatches = swatches
        # From here on the unit is the millimetre, from the top left, y down: every number is as the SVG has it.
        scale = f"{POINTS:.10f}"
        self._lines = [f"{scale} 0 0 -{scale} 0 {points(sheet.height)} cm"]
        for index, layer in enumerate(sheet.layers):
            self._lines.append(f"/OC /L{index} BDC")
            # What is no artwork must not knock the artwork out: ISO 19593-1 asks for overprint.
            self._lines.append(
                "/Plain gs" if layer.name not in _STEPS or layer.name == "White" else "/Over gs"
            )
            for item in layer.items:
                self._item(item)
            self._lines.append("EMC")

    def text(self) -> str:
        return "\n".join(self._lines)

    def _item(self, item: Shape | Group | Words) -> None:
        if isinstance(item, Words):
            raise ValueError(f"{item.name}: live text is not written to PDF, only outlines")
        if isinstance(item, Shape):
            self._shape(item)
            return
        self._lines.append("q")
        if item.clip is not None:
            self._lines.append(f"{_path(item.clip)} W n")
        for part in item.items:
            self._item(part)
        self._lines.append("Q")

    def _shape(self, shape: Shape) -> None:
        if shape.fill is not None:
            self._lines.append(self._ink(shape.fill, "cs", "scn", "rg"))
        if shape.stroke is not None:
            self._lines.append(self._ink(shape.stroke, "CS", "SCN", "RG"))
            ends = "1 J 1 j" if shape.round_ends else "0 J 0 j"
            dash = " ".join(number(length) for length in shape.dash)
            self._lines.append(f"{number(shape.stroke_width)} w {ends} 4 M [{dash}] 0 d")
        painted = {(True, True): "B", (True, False): "f", (False, True): "S", (False, False): "n"}
        operator = painted[shape.fill is not None, shape.stroke is not None]
        star = "*" if shape.even_odd and operator in {"B", "f"} else ""
        self._lines.append(f"{_path(shape.path)} {operator}{star}")

    def _ink(self, ink: Ink, space: str, full: str, plain: str) -> str:
        if isinstance(ink, Swatch):
            return f"/{self._swatches[ink]} {space} 1 {full}"
        return f"{_rgb(ink)} {plain}"


def _path(path: Path) -> str:
    parts: list[str] = []
    for contour in path.contours:
        parts.append(f"{_numbers(contour.start)} m")
        for segment in contour.segments:
            parts.append(f"{_numbers(segment)} {'l' if len(segment) == 2 else 'c'}")
        if contour.closed:
            parts.append("h")
    return " ".join(parts)


def _layer(layer: Layer) -> str:
    if layer.name not in _STEPS:
        return dictionary(Type="/OCG", Name=text(layer.name))
    group, kind = _STEPS[layer.name]
    metadata = {"GTS_ProcStepsGroup": f"/{group}"} | ({"GTS_ProcStepsType": f"/{kind}"} if kind else {})
    return dictionary(Type="/OCG", Name=text(layer.name), GTS_Metadata=dictionary(**metadata))


def _separation(swatch: Swatch) -> str:
    """A separation whose tint runs from the film's white to the colour on screen."""
    tint = dictionary(FunctionType="2", Domain="[0 1]", C0="[1 1 1]", C1=f"[{_rgb(swatch.screen)}]", N="1")
    name = swatch.name.replace(" ", "#20")
    return f"[/Separation /{name} /DeviceRGB {tint}]"


def _rgb(screen: str) -> str:
    return " ".join(f"{int(screen[at : at + 2], 16) / 255:.6g}" for at in (1, 3, 5))


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(number(value) for value in values)
