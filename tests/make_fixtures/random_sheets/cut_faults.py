"""Cut lines about the origin with one fault each, by the rule that finds it. Knows no layer and no file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from demo_sheet.outline import Contour, Path, divided, joined
from demo_sheet.shapes import circle, polygon, rectangle, star
from demo_sheet.sheet import Group, Ink, Shape

from random_sheets.pieces import SIZE, blob, outline, turned_start

__all__ = ["CUT_FAULTS", "line"]

Items = tuple[Shape | Group, ...]


def line(path: Path, ink: Ink, number: int) -> Shape:
    """A contour for the knife."""
    return Shape(f"edge {number}", path, stroke=ink, stroke_width=0.1)


def _good(chance: Random, ink: Ink, number: int) -> Items:
    return (line(outline(chance), ink, number),)


def _open(chance: Random, ink: Ink, number: int) -> Items:
    (contour,) = outline(chance).contours
    kept = contour.segments[: max(1, len(contour.segments) - chance.randrange(0, 2))]
    x, y = kept[-1][-2:]
    gap = (x + chance.choice((0.3, 0.005, 2.0)), y)
    return (line(Path((Contour(contour.start, (*kept, gap)),)), ink, number),)


def _duplicate(chance: Random, ink: Ink, number: int) -> Items:
    path = outline(chance)
    copies = [turned_start(chance, path).moved(chance.choice((0.0, 0.02)), 0) for _ in range(2)]
    return tuple(line(one, ink, number) for one in (path, *copies[: chance.randrange(1, 3)]))


def _overlap(chance: Random, ink: Ink, number: int) -> Items:
    aside = chance.choice((0.0, 0.03))
    first = rectangle(-SIZE, -SIZE, 0, SIZE * chance.uniform(0.2, 0.9), chance.choice((0.0, 2.0)))
    second = rectangle(aside, -SIZE * chance.uniform(0.2, 0.9), SIZE, SIZE, chance.choice((0.0, 3.0)))
    if chance.random() < 0.3:
        return (line(joined(first, second), ink, number),)
    return line(first, ink, number), line(second, ink, number)


def _back_over(chance: Random, ink: Ink, number: int) -> Items:
    (contour,) = rectangle(-SIZE, -SIZE, SIZE, SIZE).contours
    there = (SIZE + chance.uniform(2, 8), -SIZE)
    segments = (contour.segments[0], there, *contour.segments)
    return (line(Path((replace(contour, segments=segments),)), ink, number),)


def _self_crossing(chance: Random, ink: Ink, number: int) -> Items:
    if chance.random() < 0.5:
        width = chance.uniform(8, SIZE)
        return (line(polygon([(-width, -9), (width, 9.5), (width, -8), (-width, 11)]), ink, number),)
    (contour,) = blob(chance, SIZE).contours
    first = contour.segments[0]
    looped = (first[0] + 60.0, first[1] + 45.0, first[2] - 40.0, first[3] - 60.0, *first[4:])
    return (line(Path((replace(contour, segments=(looped, *contour.segments[1:])),)), ink, number),)


def _crossing(chance: Random, ink: Ink, number: int) -> Items:
    other = outline(chance, SIZE * 0.7).moved(SIZE * 0.9, chance.uniform(-3, 3))
    return line(outline(chance), ink, number), line(other, ink, number)


def _fragment(chance: Random, ink: Ink, number: int) -> Items:
    x, y = chance.uniform(-4, 4), chance.uniform(-4, 4)
    still = Path((Contour((x, y), ((x, y),), closed=chance.random() < 0.5),))
    speck = chance.choice((circle(x, y, 0.6), still, Path((Contour((x, y), ((x + 0.5, y),)),))))
    return line(outline(chance), ink, number), line(speck, ink, number)


def _tight(chance: Random, ink: Ink, number: int) -> Items:
    if chance.random() < 0.5:
        return (line(rectangle(-SIZE, -9, SIZE, 12, chance.uniform(0.1, 0.45)), ink, number),)
    return (line(star(0, 0, SIZE, 2.0, chance.randrange(5, 9)), ink, number),)


def _nodes(chance: Random, ink: Ink, number: int) -> Items:
    return (line(divided(outline(chance), chance.choice((16, 40))), ink, number),)


def _painted(chance: Random, ink: Ink, number: int) -> Items:
    plain = line(outline(chance), ink, number)
    faults = (
        {"fill": ink},
        {"fill": "#cfe6ea", "fill_opacity": 0.5},
        {"dash": (1.0, 0.5)},
        {"stroke_opacity": 0.4},
        {"stroke_width": 1.6},
        {"blend": "multiply"},
    )
    return (replace(plain, **chance.choice(faults)),)


def _see_through(chance: Random, ink: Ink, number: int) -> Items:
    return (Group("", (line(outline(chance), ink, number),), opacity=chance.choice((0.0, 0.5))),)


def _clipped(chance: Random, ink: Ink, number: int) -> Items:
    away = outline(chance, 5.0).moved(chance.choice((0.0, 3.5 * SIZE)), 0)
    inner: Group | Shape = line(outline(chance), ink, number)
    if chance.random() < 0.5:
        inner = Group("", (inner,), clip=rectangle(-2 * SIZE, -2 * SIZE, 2 * SIZE, 2 * SIZE))
    return (Group("", (inner,), clip=away, clip_even_odd=chance.random() < 0.5),)


def _by_extent(chance: Random, ink: Ink, number: int) -> Items:
    reach = SIZE * chance.uniform(0.3, 1.5)
    extent = (-reach, -reach, reach, reach)
    return (Group("", (line(outline(chance), ink, number),), shared=True, extent=extent),)


CUT_FAULTS: dict[str, Callable[[Random, Ink, int], Items]] = {
    "none": _good,
    "contour-open": _open,
    "contour-duplicate": _duplicate,
    "contour-overlap": _overlap,
    "contour-overlap with itself": _back_over,
    "contour-self-crossing": _self_crossing,
    "contour-crossing": _crossing,
    "contour-fragment": _fragment,
    "corner-tight": _tight,
    "node-excess": _nodes,
    "step-painted": _painted,
    "step-hidden by opacity": _see_through,
    "step-hidden by a clip": _clipped,
    "step-hidden by a box": _by_extent,
}
"""The fault meant, and what plants it; others may come with it."""
