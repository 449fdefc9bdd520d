"""Writes a sheet as PDF 1.7, one unit of the content to the millimetre. Knows nothing of what the sheet shows.

Structure and operators: ISO 32000-1:2008; metadata of processing steps: ISO 19593-1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from demo_sheet.outline import Path
from demo_sheet.pdf_file import POINTS, PdfFile, array, dictionary, points, text
from demo_sheet.sheet import (
    ADVANCE,
    ASCENT,
    DESCENT,
    Group,
    Ink,
    Layer,
    Picture,
    Shape,
    Sheet,
    Swatch,
    Words,
)
from demo_sheet.svg_writer import coefficients, number

_STEPS = {
    "Kiss Cut": ("Structural", "PartialCutting"),
    "Through Cut": ("Structural", "Cutting"),
    "White": ("White", None),
}
"""ISO 19593-1 group and type of the layers that hold no artwork."""

_FAR = 10_000.0
"""mm: the box of a form that is not to clip."""


def pdf_bytes(sheet: Sheet, *, metadata: bool = True) -> bytes:
    """The whole file. Same sheet, same bytes: streams are not compressed, no date and no random number is in it.

    Parameters
    ----------
    metadata : whether layers say by ISO 19593-1 which step they hold, and not by their names alone.
    """
    file = PdfFile()
    layers = tuple(_all_layers(sheet.layers))
    groups = [file.add(_layer(layer, metadata)) for layer in layers]
    swatches = {swatch: f"S{index}" for index, swatch in enumerate(sheet.swatches)}
    content = _Content(sheet, swatches, layers)
    page_box = f"[0 0 {points(sheet.width)} {points(sheet.height)}]"
    resources = _resources(file, content, swatches, groups)
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
    optional = _optional_content(sheet, dict(zip(map(id, layers), groups, strict=True)))
    root = file.add(dictionary(Type="/Catalog", Pages=pages, OCProperties=optional))
    info = file.add(dictionary(Title=text(sheet.title), Subject=text(sheet.about)))
    return file.finished(root, info)


def _all_layers(items: Sequence[object]) -> Iterator[Layer]:
    """Layers and those in them, the outer before the inner."""
    for item in items:
        if isinstance(item, Layer):
            yield item
            yield from _all_layers(item.items)


def _optional_content(sheet: Sheet, groups: dict[int, str]) -> str:
    """The list of layers and their default configuration; ``groups`` by the identity of their layer."""

    def listed(layers: Sequence[object]) -> Iterator[str]:
        for layer in layers:
            if isinstance(layer, Layer):
                yield groups[id(layer)]
                inner = array(listed(layer.items))
                yield from [inner] if inner != "[]" else []

    layers = tuple(_all_layers(sheet.layers))
    off = [groups[id(layer)] for layer in layers if layer.hidden]
    locked = [groups[id(layer)] for layer in layers if layer.locked]
    configuration = {
        "Name": text("Layers"),
        "Order": array(listed(sheet.layers)),
        "ON": array(group for group in groups.values() if group not in off),
        "OFF": array(off),
    }
    if locked:
        configuration["Locked"] = array(locked)
    return dictionary(OCGs=array(groups.values()), D=dictionary(**configuration))


def _resources(file: PdfFile, content: _Content, swatches: dict[Swatch, str], groups: list[str]) -> str:
    """What the content and its forms name: a dictionary in place, or an object of its own where forms share it."""
    entries = {
        "ColorSpace": dictionary(**{name: _separation(swatch) for swatch, name in swatches.items()}),
        "ExtGState": dictionary(
            Over=dictionary(OP="true", op="true", OPM="1"),
            Plain=dictionary(OP="false", op="false"),
            **{name: state for state, name in content.states.items()},
        ),
        "Properties": dictionary(**{f"L{index}": group for index, group in enumerate(groups)}),
    }
    if content.has_words:
        entries["Font"] = dictionary(Live=_font(file))
    images = {name: _image(file, picture) for name, picture in content.images}
    if not content.forms:
        return dictionary(**entries, **({"XObject": dictionary(**images)} if images else {}))
    shared = file.reserve()
    forms = {
        name: file.add_stream(body, f"{settings} /Resources {shared}")
        for name, settings, body in content.forms
    }
    file.put(shared, dictionary(**entries, XObject=dictionary(**forms, **images)))
    return shared


def _font(file: PdfFile) -> str:
    """A font that the file names and does not hold (9.8): all letters of one width, as `Words` counts them."""
    thousandths = {key: f"{value * 1000:g}" for key, value in (("ascent", ASCENT), ("descent", -DESCENT))}
    advance = f"{ADVANCE * 1000:g}"
    descriptor = dictionary(
        Type="/FontDescriptor",
        FontName="/HarbourSans",
        Flags="32",  # of the letters of Latin alphabets alone: 9.8.2
        FontBBox=f"[0 {thousandths['descent']} {advance} {thousandths['ascent']}]",
        ItalicAngle="0",
        Ascent=thousandths["ascent"],
        Descent=thousandths["descent"],
        CapHeight="700",
        StemV="80",
    )
    first, last = 32, 126
    return file.add(
        dictionary(
            Type="/Font",
            Subtype="/TrueType",
            BaseFont="/HarbourSans",
            Encoding="/WinAnsiEncoding",
            FirstChar=str(first),
            LastChar=str(last),
            Widths=array([advance] * (last - first + 1)),
            FontDescriptor=file.add(descriptor),
        )
    )


def _image(file: PdfFile, picture: Picture) -> str:
    """An image object; its pixels in hexadecimal digits, or named by the file that holds them (7.3.8.2)."""
    entries = {
        "Type": "/XObject",
        "Subtype": "/Image",
        "Width": str(picture.columns),
        "Height": str(picture.rows),
        "ColorSpace": "/DeviceRGB",
        "BitsPerComponent": "8",
    }
    if picture.linked is not None:
        return file.add_stream("", _bare(F=text(picture.linked), FFilter="/DCTDecode", **entries))
    return file.add_stream(picture.pixels().hex() + ">", _bare(Filter="/ASCIIHexDecode", **entries))


def _bare(**entries: str) -> str:
    return " ".join(f"/{key} {value}" for key, value in entries.items())


class _Content:
    """The page's content stream, and the forms and graphics states that it names."""

    def __init__(self, sheet: Sheet, swatches: dict[Swatch, str], layers: Sequence[Layer]) -> None:
        self._swatches = swatches
        self._layers = {id(layer): f"L{index}" for index, layer in enumerate(layers)}
        self._shared: dict[object, str] = {}
        self.states: dict[str, str] = {}
        """The name of each graphics state, by its dictionary."""
        self.forms: list[tuple[str, str, str]] = []
        """Name, entries and content of each form."""
        self.images: list[tuple[str, Picture]] = []
        """Each picture with its name."""
        self.has_words = False
        # From here on the unit is the millimetre, from the top left, y down: every number is as the SVG has it.
        scale = f"{POINTS:.10f}"
        self._lines = [f"{scale} 0 0 -{scale} 0 {points(sheet.height)} cm"]
        for layer in sheet.layers:
            self._layer(layer)

    def text(self) -> str:
        return "\n".join(self._lines)

    def _layer(self, layer: Layer) -> None:
        self._lines.append(f"/OC /{self._layers[id(layer)]} BDC")
        # What is no artwork must not knock the artwork out: ISO 19593-1 asks for overprint.
        over = layer.overprints or (layer.name in _STEPS and layer.name != "White")
        self._lines.append("/Over gs" if over else "/Plain gs")
        for item in layer.items:
            self._item(item)
        self._lines.append("EMC")

    def _item(self, item: Shape | Group | Words | Picture | Layer) -> None:
        if isinstance(item, Words):
            self._words(item)
        elif isinstance(item, Layer):
            self._lines.append("q")
            self._layer(item)
            self._lines.append("Q")
        elif isinstance(item, Shape):
            self._shape(item)
        elif isinstance(item, Picture):
            self._picture(item)
        else:
            self._group(item)

    def _words(self, words: Words) -> None:
        self.has_words = True
        x, y = number(words.bounds[0]), number(words.y)
        shown = words.text.encode("ascii").hex()
        self._lines.append(self._ink(words.fill, "cs", "scn", "rg"))
        # Letters stand upright in a frame whose y runs down.
        self._lines.append(f"BT /Live {number(words.size)} Tf 1 0 0 -1 {x} {y} Tm <{shown}> Tj ET")

    def _picture(self, picture: Picture) -> None:
        name = f"P{len(self.images)}"
        self.images.append((name, picture))
        width, height = number(picture.width), number(picture.height)
        place = f"{number(picture.x)} {number(picture.y + picture.height)}"
        self._lines.append(f"q {width} 0 0 -{height} {place} cm /{name} Do Q")

    def _group(self, group: Group) -> None:
        self._lines.append("q")
        if group.matrix is not None:
            self._lines.append(f"{coefficients(group.matrix)} cm")
        if group.clip is not None:
            self._lines.append(f"{_path(group.clip)} {'W*' if group.clip_even_odd else 'W'} n")
        if group.opacity != 1.0:
            opacity = number(group.opacity)
            self._lines.append(self._state(ca=opacity, CA=opacity))
        if group.shared or group.opacity != 1.0:
            self._lines.append(f"/{self._form(group)} Do")
        else:
            for part in group.items:
                self._item(part)
        self._lines.append("Q")

    def _form(self, group: Group) -> str:
        """The name of a group's form; its matrix and clip are set where it is drawn."""
        key = (group.items, group.extent, group.opacity != 1.0)
        if key not in self._shared:
            name = self._shared[key] = f"F{len(self._shared)}"
            outer, self._lines = self._lines, []
            for part in group.items:
                self._item(part)
            body, self._lines = "\n".join(self._lines), outer
            box = group.extent or (-_FAR, -_FAR, _FAR, _FAR)
            entries = {"Type": "/XObject", "Subtype": "/Form", "BBox": f"[{_numbers(box)}]"}
            if group.opacity != 1.0:
                entries["Group"] = dictionary(S="/Transparency")
            self.forms.append((name, " ".join(f"/{key} {value}" for key, value in entries.items()), body))
        return self._shared[key]

    def _state(self, **entries: str) -> str:
        """Sets a graphics state."""
        return f"/{self.states.setdefault(dictionary(**entries), f'G{len(self.states)}')} gs"

    def _shape(self, shape: Shape) -> None:
        plain = shape.fill_opacity == shape.stroke_opacity == 1.0 and shape.blend == "normal"
        if not plain:
            opacities = {"ca": number(shape.fill_opacity), "CA": number(shape.stroke_opacity)}
            self._lines.append("q")
            self._lines.append(self._state(**opacities, BM=f"/{shape.blend.capitalize()}"))
        if shape.fill is not None:
            self._lines.append(self._ink(shape.fill, "cs", "scn", "rg"))
        if shape.stroke is not None:
            self._lines.append(self._ink(shape.stroke, "CS", "SCN", "RG"))
            ends = "1 J 1 j" if shape.round_ends else "0 J 0 j"
            dash = " ".join(number(length) for length in shape.dash)
            offset = number(shape.dash_offset)
            self._lines.append(f"{number(shape.stroke_width)} w {ends} 4 M [{dash}] {offset} d")
        painted = {(True, True): "B", (True, False): "f", (False, True): "S", (False, False): "n"}
        operator = painted[shape.fill is not None, shape.stroke is not None]
        star = "*" if shape.even_odd and operator in {"B", "f"} else ""
        self._lines.append(f"{_path(shape.path)} {operator}{star}")
        if not plain:
            self._lines.append("Q")

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


def _layer(layer: Layer, stated: bool) -> str:
    if layer.name not in _STEPS or not stated:
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
