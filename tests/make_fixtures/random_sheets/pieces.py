"""Random outlines and art about the origin. Knows no layer, no step and no file."""

from __future__ import annotations

import math
from random import Random

from demo_sheet.outline import Contour, Path, divided, joined, reversed_path
from demo_sheet.shapes import ellipse, rectangle, scallop, smooth, star
from demo_sheet.sheet import Group, Ink, Matrix, Shape

__all__ = ["art", "matrix", "outline", "placed", "turned_start"]

SIZE = 18.0
"""mm: about how far an outline reaches from the origin."""


def outline(chance: Random, size: float = SIZE) -> Path:
    """A closed outline that does not meet itself."""
    kind = chance.randrange(5)
    if kind == 0:
        radius = chance.choice((0.0, 1.0, 3.0))
        return rectangle(-size, -size * 0.7, size * 0.9, size * 0.8, radius)
    if kind == 1:
        return ellipse(0, 0, size, size * chance.uniform(0.4, 1.0))
    if kind == 2:
        return star(0, 0, size, size * chance.uniform(0.5, 0.8), chance.randrange(4, 8))
    if kind == 3:
        return scallop(0, 0, size * 0.9, size * chance.uniform(0.02, 0.08), chance.randrange(3, 9))
    return blob(chance, size)


def blob(chance: Random, size: float) -> Path:
    """A smooth closed curve through points all round."""
    count = chance.randrange(5, 9)
    points = []
    for index in range(count):
        angle, radius = math.tau * index / count, size * chance.uniform(0.7, 1.0)
        points.append((radius * math.cos(angle), radius * math.sin(angle)))
    return smooth(points)


def turned_start(chance: Random, path: Path) -> Path:
    """The same curve begun at another node, perhaps the other way round and with more nodes."""
    if chance.random() < 0.5:
        path = reversed_path(path)
    if chance.random() < 0.5:
        path = divided(path, 2)
    contours = []
    for contour in path.contours:
        fours = list(contour.cubics())
        first = chance.randrange(len(fours))
        fours = fours[first:] + fours[:first]
        segments = tuple((*b, *c, *d) for _, b, c, d in fours)
        contours.append(Contour(fours[0][0], segments, closed=True))
    return Path(tuple(contours))


def matrix(chance: Random, dx: float = 0.0, dy: float = 0.0) -> Matrix:
    """Turned, perhaps mirrored, scaled unevenly or sheared, and moved."""
    angle = chance.uniform(0, math.tau)
    across = chance.uniform(0.8, 1.25)
    down = across if chance.random() < 0.5 else chance.uniform(0.8, 1.25)
    down *= chance.choice((1, 1, -1))
    shear = chance.choice((0.0, 0.0, chance.uniform(-0.3, 0.3)))
    c, s = math.cos(angle), math.sin(angle)
    a, b = c * across, s * across
    return (a, b, shear * a - s * down, shear * b + c * down, dx, dy)


def placed(chance: Random, items: tuple[Shape | Group, ...], x: float, y: float) -> Group:
    """Items about the origin put at (x, y), in up to three groups inside one another."""
    group = Group("", items, matrix=(1.0, 0.0, 0.0, 1.0, x, y))
    way = chance.randrange(5)
    if way == 1:
        group = Group("", items, matrix=matrix(chance, x, y))
    elif way == 2:
        group = Group("", (Group("", items, matrix=matrix(chance)),), matrix=(1.0, 0.0, 0.0, 1.0, x, y))
    elif way == 3:
        inner = Group("", items, matrix=matrix(chance), shared=True)
        group = Group("", (inner,), matrix=(1.0, 0.0, 0.0, 1.0, x, y))
    elif way == 4:
        extent = (-3 * SIZE, -3 * SIZE, 3 * SIZE, 3 * SIZE)
        inner = Group("", items, matrix=matrix(chance, 1.0, -0.5), shared=True, extent=extent)
        group = Group("", (inner,), matrix=(1.0, 0.0, 0.0, 1.0, x - 1.0, y + 0.5))
    return group


def art(chance: Random, inks: list[Ink], number: int) -> tuple[Shape | Group, ...]:
    """Something printed, about the origin: fills and strokes, holes, clips, dashes, opacity."""
    found: list[Shape | Group] = []
    for _ in range(chance.randrange(1, 4)):
        path = outline(chance, SIZE * chance.uniform(0.3, 1.1))
        if chance.random() < 0.3:
            path = joined(path, reversed_path(path.scaled(0.5)))
        fill = chance.choice((chance.choice(inks), chance.choice(inks), None))
        stroke = chance.choice(inks) if fill is None or chance.random() < 0.4 else None
        shape = Shape(
            f"art {number}",
            path,
            fill,
            stroke,
            stroke_width=chance.uniform(0.4, 2.0),
            round_ends=chance.random() < 0.5,
            dash=chance.choice(((), (), (2.0, 1.0), (3.0,), (4.0, 1.0, 0.5))),
            dash_offset=chance.choice((0.0, 0.0, 1.5)),
            even_odd=chance.random() < 0.3,
            fill_opacity=chance.choice((1.0, 1.0, 1.0, 0.5)),
            stroke_opacity=chance.choice((1.0, 1.0, 1.0, 0.25)),
            blend=chance.choice(("normal",) * 6 + ("multiply", "screen")),
        )
        item: Shape | Group = shape
        for _ in range(chance.choice((0, 0, 1, 2))):
            item = Group(
                "",
                (item,),
                clip=outline(chance, SIZE * chance.uniform(0.4, 1.2)),
                clip_even_odd=chance.random() < 0.5,
                matrix=chance.choice((None, matrix(chance))),
                opacity=chance.choice((1.0, 1.0, 1.0, 0.5)),
            )
        found.append(item)
    return tuple(found)
