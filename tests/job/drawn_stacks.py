"""Random stacks of ink, white and clips, written alike as SVG and as PDF, and what is left of them worked out the plain way."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

import shapely
from small_pdfs import one_page, stream

__all__ = ["SIDE", "Stack", "as_pdf", "as_svg", "borders", "left", "stack"]

SIDE = 60
"""mm, and the units of the drawings."""
KAPPA = 0.5522847498307936
INKS = ("0.8 0.1 0.2", "0.1 0.3 0.7", "0.1 0.5 0.2")


@dataclass(frozen=True)
class Shape:
    """A rectangle or an ellipse within a box."""

    round: bool
    x: float
    y: float
    width: float
    height: float

    @property
    def region(self) -> Any:
        box = shapely.box(self.x, self.y, self.x + self.width, self.y + self.height)
        if not self.round:
            return box
        unit = shapely.Point(0, 0).buffer(1, quad_segs=256)
        return shapely.transform(
            unit,
            lambda points: (
                points * (self.width / 2, self.height / 2)
                + (self.x + self.width / 2, self.y + self.height / 2)
            ),
        )

    @property
    def data(self) -> str:
        """The path, in words that SVG and PDF share but for their order."""
        x, y, w, h = self.x, self.y, self.width, self.height
        if not self.round:
            return f"M{x} {y}L{x + w} {y}L{x + w} {y + h}L{x} {y + h}Z"
        a, b, cx, cy = w / 2, h / 2, x + w / 2, y + h / 2
        p, q = a * KAPPA, b * KAPPA
        return (
            f"M{cx + a} {cy}C{cx + a} {cy + q} {cx + p} {cy + b} {cx} {cy + b}"
            f"C{cx - p} {cy + b} {cx - a} {cy + q} {cx - a} {cy}C{cx - a} {cy - q} {cx - p} {cy - b} {cx} {cy - b}"
            f"C{cx + p} {cy - b} {cx + a} {cy - q} {cx + a} {cy}Z"
        )


@dataclass(frozen=True)
class Layer:
    """One object: one or two shapes by a fill rule, a fill, a stroke, how opaque it is, and the clips around it."""

    shapes: tuple[Shape, ...]
    even: bool
    fill: str | None
    stroke: str | None
    width: float
    opacity: float
    clips: tuple[Shape, ...]

    @property
    def data(self) -> str:
        return "".join(shape.data for shape in self.shapes)


@dataclass(frozen=True)
class Group:
    """Layers that are laid on what lies beneath as a whole, half as strong."""

    layers: tuple[Layer, ...]


Stack = list[Layer | Group]


def stack(seed: int) -> Stack:
    pick = random.Random(seed)  # noqa: S311 -- no secret hangs on it

    def shape(least: float = 6) -> Shape:
        width, height = pick.uniform(least, 30), pick.uniform(least, 30)
        return Shape(
            pick.random() < 0.5, pick.uniform(2, 56 - width), pick.uniform(2, 56 - height), width, height
        )

    layers: list[Layer] = []
    for _ in range(pick.randint(2, 9)):
        white = pick.random() < 0.35
        layers.append(
            Layer(
                tuple(shape() for _ in range(pick.choice([1, 1, 2]))),
                pick.random() < 0.5,
                pick.choice([None, *["1 1 1" if white else pick.choice(INKS)] * 3]),
                pick.choice([None, None, pick.choice(INKS), "1 1 1"]),
                pick.choice([0.5, 2, 4]),
                pick.choice([1, 1, 1, 0.5, 0]),
                tuple(shape(15) for _ in range(pick.choice([0, 0, 1, 2]))),
            )
        )
    if pick.random() < 0.5:
        return [*layers]
    first = pick.randrange(len(layers))
    last = pick.randint(first + 1, len(layers))
    return [*layers[:first], Group(tuple(layers[first:last])), *layers[last:]]


def _flat(layers: Stack) -> list[Layer]:
    return [one for layer in layers for one in (layer.layers if isinstance(layer, Group) else (layer,))]


def as_svg(layers: Stack) -> str:
    body, count = "", 0

    def colour(numbers: str | None) -> str:
        return (
            "none"
            if numbers is None
            else f"rgb({','.join(str(round(float(one) * 255)) for one in numbers.split())})"
        )

    def written(layer: Layer) -> str:
        nonlocal count
        inner = (
            f'<path d="{layer.data}" fill="{colour(layer.fill)}" fill-rule="{"evenodd" if layer.even else "nonzero"}" '
            f'stroke="{colour(layer.stroke)}" stroke-width="{layer.width}" fill-opacity="{layer.opacity}" stroke-opacity="{layer.opacity}"/>'
        )
        for clip in layer.clips:
            count += 1
            inner = f'<clipPath id="c{count}"><path d="{clip.data}"/></clipPath><g clip-path="url(#c{count})">{inner}</g>'
        return inner

    for layer in layers:
        if isinstance(layer, Group):
            body += f'<g opacity="0.5">{"".join(map(written, layer.layers))}</g>'
        else:
            body += written(layer)
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="{SIDE}mm" height="{SIDE}mm" viewBox="0 0 {SIDE} {SIDE}">{body}</svg>'


def as_pdf(layers: Stack) -> bytes:
    point = 72 / 25.4
    lines = [f"{point} 0 0 {-point} 0 {SIDE * point} cm"]

    def path(data: str) -> str:
        words = data.replace("Z", " h ")
        out = []
        for piece in words.replace("M", "\nM").replace("L", "\nL").replace("C", "\nC").split("\n"):
            if piece:
                numbers, _, closing = piece[1:].partition("h")
                out.append(
                    f"{numbers} {piece[0].lower()}{' h' if closing or piece.rstrip().endswith('h') else ''}"
                )
        return "\n".join(out)

    def written(layer: Layer) -> str:
        lines = [f"q /A{layer.opacity} gs {layer.width} w 4 M"]
        lines += [f"{path(clip.data)} W n" for clip in layer.clips]
        star = "*" if layer.even else ""
        if layer.fill:
            lines.append(f"{layer.fill} rg {path(layer.data)} f{star}")
        if layer.stroke:
            lines.append(f"{layer.stroke} RG {path(layer.data)} S")
        return "\n".join([*lines, "Q"])

    forms: list[bytes] = []
    for layer in layers:
        if isinstance(layer, Group):
            lines.append(f"q /A0.5 gs /G{len(forms)} Do Q")
            entries = f"/Subtype /Form /BBox [0 0 {SIDE} {SIDE}] /Group << /S /Transparency >>"
            forms.append(stream("\n".join(map(written, layer.layers)), entries))
        else:
            lines.append(written(layer))
    names = " ".join(f"/G{number} {number + 5} 0 R" for number in range(len(forms)))
    states = " ".join(f"/A{share} << /ca {share} /CA {share} >>" for share in (1, 0.5, 0))
    return one_page(
        "\n".join(lines),
        page=f"/MediaBox [0 0 {SIDE * point} {SIDE * point}]",
        resources=f"/ExtGState << {states} >> /XObject << {names} >>",
        others=dict(enumerate(forms, start=5)),
    )


def _regions(layer: Layer) -> tuple[Any, Any]:
    """What fill and stroke cover without the clips."""
    regions = [shape.region for shape in layer.shapes]
    filled = regions[0]
    for other in regions[1:]:
        filled = filled.symmetric_difference(other) if layer.even else filled.union(other)
    joins = ["round" if shape.round else "mitre" for shape in layer.shapes]
    lines = [
        region.exterior.buffer(layer.width / 2, quad_segs=64, join_style=join)
        for region, join in zip(regions, joins, strict=True)
    ]
    return filled, shapely.union_all(lines)


def borders(layers: Stack) -> Any:
    """Every edge there is: where one lies upon another, each renderer lets a little through."""
    found = [region.boundary for layer in _flat(layers) for region in _regions(layer)]
    return shapely.union_all(
        [*found, *(clip.region.boundary for layer in _flat(layers) for clip in layer.clips)]
    )


def left(layers: Stack) -> Any:
    """The ink that is left, one part after the other."""
    ink = shapely.Polygon()
    for layer in layers:
        if isinstance(layer, Group):
            ink = ink.union(left([*layer.layers]))
            continue
        if not layer.opacity:
            continue
        filled, stroked = _regions(layer)
        for region, paint in ((filled, layer.fill), (stroked, layer.stroke)):
            shown = region
            for clip in layer.clips:
                shown = shown.intersection(clip.region)
            if paint == "1 1 1":
                ink = ink.difference(shown) if layer.opacity == 1 else ink
            elif paint:
                ink = ink.union(shown)
    return ink
