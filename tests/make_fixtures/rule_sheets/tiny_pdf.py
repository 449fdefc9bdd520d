"""Writes tiny PDF pages: a few shapes in mm, y down, with inks, overprint and layers. Knows no rule.

Structure and operators: ISO 32000-1:2008; metadata of processing steps: ISO 19593-1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from demo_sheet.pdf_file import POINTS, PdfFile, array, dictionary, points, text

WIDTH, HEIGHT = 60, 40
"""mm: the page of every tiny sheet."""

OPERATORS = {1: "g", 3: "rg", 4: "k"}


@dataclass(frozen=True)
class Process:
    """A plain colour: one number is grey, three are RGB, four are CMYK."""

    values: tuple[float, ...]


@dataclass(frozen=True)
class Separation:
    """A named ink, looking on screen like these numbers of a device space at full tint."""

    name: str
    looks: tuple[float, ...]
    tint: float = 1.0


Ink = Process | Separation


@dataclass(frozen=True)
class Shape:
    """One path: its construction operators, its inks, and whether they overprint. Lengths in mm."""

    path: str
    fill: Ink | None = None
    stroke: Ink | None = None
    width: float = 0.1
    over: bool = False
    mode: int = 0
    opacity: float = 1.0
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Layer:
    """An optional content group. ``step`` is its ISO 19593-1 group and type; ``printed`` its usage when printed."""

    name: str
    items: tuple[Shape, ...]
    step: tuple[str, str] | None = None
    off: bool = False
    locked: bool = False
    printed: bool = True


@dataclass(frozen=True)
class TinySheet:
    """What one file holds: its title says what it shows. ``trim`` is the trim box, mm from the top left, if it states one."""

    title: str
    items: tuple[Shape | Layer, ...]
    trim: tuple[float, float, float, float] | None = None


def rectangle(x: float, y: float, width: float, height: float) -> str:
    """Construction operator of a rectangle."""
    return f"{x:g} {y:g} {width:g} {height:g} re"


def circle(x: float, y: float, radius: float) -> str:
    """Construction operators of a circle of four curves."""
    k = radius * 4 / 3 * (2**0.5 - 1)
    corners = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    told = [f"{x + radius:g} {y:g} m"]
    for (a, b), (c, d) in zip(corners, [*corners[1:], corners[0]], strict=True):
        first, second = (
            (x + radius * a + k * c, y + radius * b + k * d),
            (x + radius * c + k * a, y + radius * d + k * b),
        )
        ends = (*first, *second, x + radius * c, y + radius * d)
        told.append(" ".join(f"{value:.6g}" for value in ends) + " c")
    return " ".join([*told, "h"])


def pdf_bytes(sheet: TinySheet) -> bytes:
    """The whole file. Same sheet, same bytes."""
    file = PdfFile()
    layers = [item for item in sheet.items if isinstance(item, Layer)]
    groups = [file.add(_group(layer)) for layer in layers]
    shapes = [shape for item in sheet.items for shape in (item.items if isinstance(item, Layer) else (item,))]
    inks = dict.fromkeys(
        (ink.name, ink.looks)
        for shape in shapes
        for ink in (shape.fill, shape.stroke)
        if isinstance(ink, Separation)
    )
    spaces = {key: f"S{number}" for number, key in enumerate(inks)}
    states = {
        key: f"G{number}"
        for number, key in enumerate(
            dict.fromkeys((shape.over, shape.mode, shape.opacity) for shape in shapes)
        )
    }
    resources = dictionary(
        ColorSpace=dictionary(**{spaces[key]: _space(*key) for key in inks}),
        ExtGState=dictionary(**{name: _state(*key) for key, name in states.items()}),
        Properties=dictionary(**{f"L{number}": group for number, group in enumerate(groups)}),
    )
    content = file.add_stream("\n".join(_content(sheet, layers, spaces, states)))
    pages = file.reserve()
    box = f"[0 0 {points(WIDTH)} {points(HEIGHT)}]"
    boxes = {"MediaBox": box}
    if sheet.trim is not None:
        x0, y0, x1, y1 = sheet.trim
        boxes["TrimBox"] = f"[{points(x0)} {points(HEIGHT - y1)} {points(x1)} {points(HEIGHT - y0)}]"
    page = file.add(dictionary(Type="/Page", Parent=pages, **boxes, Resources=resources, Contents=content))
    file.put(pages, dictionary(Type="/Pages", Kids=f"[{page}]", Count="1"))
    root = file.add(
        dictionary(
            Type="/Catalog", Pages=pages, **({"OCProperties": _lists(groups, layers)} if layers else {})
        )
    )
    return file.finished(root, file.add(dictionary(Title=text(sheet.title))))


def _lists(groups: list[str], layers: list[Layer]) -> str:
    """The default configuration: which layers are off, locked, or not printed (8.11.4)."""
    pairs = list(zip(groups, layers, strict=True))
    unprinted = [group for group, layer in pairs if not layer.printed]
    usage = dictionary(Event="/Print", Category="[/Print]", OCGs=array(unprinted))
    default = dictionary(
        Order=array(groups),
        OFF=array(group for group, layer in pairs if layer.off),
        Locked=array(group for group, layer in pairs if layer.locked),
        **({"AS": f"[{usage}]"} if unprinted else {}),
    )
    return dictionary(OCGs=array(groups), D=default)


def _group(layer: Layer) -> str:
    entries = {"Type": "/OCG", "Name": text(layer.name)}
    if layer.step is not None:
        group, kind = layer.step
        entries["GTS_Metadata"] = dictionary(GTS_ProcStepsGroup=f"/{group}", GTS_ProcStepsType=f"/{kind}")
    if not layer.printed:
        entries["Usage"] = dictionary(Print=dictionary(PrintState="/OFF"))
    return dictionary(**entries)


def _space(name: str, looks: tuple[float, ...]) -> str:
    device = {1: "DeviceGray", 3: "DeviceRGB", 4: "DeviceCMYK"}[len(looks)]
    blank = "[0 0 0 0]" if len(looks) == 4 else array(["1"] * len(looks))
    tint = dictionary(
        FunctionType="2", Domain="[0 1]", C0=blank, C1=array(f"{one:g}" for one in looks), N="1"
    )
    return f"[/Separation /{name.replace(' ', '#20')} /{device} {tint}]"


def _state(over: bool, mode: int, opacity: float) -> str:
    told = "true" if over else "false"
    return dictionary(OP=told, op=told, OPM=str(mode), CA=f"{opacity:g}", ca=f"{opacity:g}")


def _content(
    sheet: TinySheet,
    layers: list[Layer],
    spaces: dict[tuple[str, tuple[float, ...]], str],
    states: dict[tuple[bool, int, float], str],
) -> Iterator[str]:
    # From here on the unit is the millimetre, from the top left, y down.
    yield f"{POINTS:.10f} 0 0 -{POINTS:.10f} 0 {points(HEIGHT)} cm"
    for item in sheet.items:
        if isinstance(item, Shape):
            yield from _shape(item, spaces, states)
            continue
        yield f"/OC /L{layers.index(item)} BDC"
        for shape in item.items:
            yield from _shape(shape, spaces, states)
        yield "EMC"


def _shape(
    shape: Shape,
    spaces: dict[tuple[str, tuple[float, ...]], str],
    states: dict[tuple[bool, int, float], str],
) -> Iterator[str]:
    yield f"/{states[shape.over, shape.mode, shape.opacity]} gs"
    for ink, stroke in ((shape.fill, False), (shape.stroke, True)):
        if isinstance(ink, Separation):
            space, set_ = ("CS", "SCN") if stroke else ("cs", "scn")
            yield f"/{spaces[ink.name, ink.looks]} {space} {ink.tint:g} {set_}"
        elif ink is not None:
            operator = OPERATORS[len(ink.values)]
            numbers = " ".join(f"{one:g}" for one in ink.values)
            yield f"{numbers} {operator.upper() if stroke else operator}"
    yield f"{shape.width:g} w [{' '.join(f'{one:g}' for one in shape.dash)}] 0 d"
    painted = {(True, True): "B", (True, False): "f", (False, True): "S"}
    yield f"{shape.path} {painted[shape.fill is not None, shape.stroke is not None]}"
