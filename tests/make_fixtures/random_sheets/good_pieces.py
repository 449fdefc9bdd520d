"""Pieces in order about the origin, white-bordered and full-bleed, each edge known. Knows no layer, no step and no file.

Each bleeds by more than 3 mm or keeps more than 2 mm clear, as the defaults of the rules ask, unless told to do by less.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from demo_sheet.lettering import line_of_text
from demo_sheet.outline import Path, joined
from demo_sheet.shapes import circle, ellipse, line_between, rectangle, rounded, star
from demo_sheet.sheet import Group, Picture, Shape, filled, stroked

from random_sheets.furniture import lettering

__all__ = ["BLEED", "MARGIN", "Piece", "block", "full_bleed", "photograph", "unprinted", "white_bordered"]

BLEED, MARGIN = 3.0, 2.0
"""mm: what the rules ask."""
SEA, SAND, INK, WHITE = "#2a7593", "#ecd9b4", "#0f2742", "#ffffff"
PIXELS_PER_MM = 6.5
"""165 to the inch: finer than the rules ask."""

Items = tuple[Shape | Group | Picture, ...]


@dataclass(frozen=True)
class Piece:
    """A cut about the origin and what is printed on it, mm; it reaches ``half`` to the right and below, and as far back.

    ``bleeds`` is how far art may go past the cut, ``whites`` how far white does. ``lines`` are cut instead of ``cut``, where there
    are any, and ``tears`` perforated.
    """

    cut: Path
    art: Items
    half: tuple[float, float]
    bleeds: float = 0.0
    whites: float = 0.0
    lines: tuple[Shape, ...] = ()
    tears: tuple[Shape, ...] = ()


class _Outline:
    """A shape with its exact offsets."""

    def __init__(self, chance: Random, kind: int | None = None) -> None:
        kind = chance.randrange(3) if kind is None else kind
        self.half = x, y = round(chance.uniform(11, 20), 3), round(chance.uniform(11, 20), 3)
        radius = round(chance.uniform(4.5, 8), 3)
        if kind == 0:
            self.half = x, y = x, x
            self.at: Callable[[float], Path] = lambda grow: circle(0, 0, x + grow)
        elif kind == 1:
            corners = [(-x, -y, radius), (x, -y, radius), (x, y, radius), (-x, y, radius)]
            self.at = lambda grow: rounded(corners, grow)
        else:  # a slab with one corner cut off
            slant = [(-x, -y, radius), (x, -y, radius), (x, y, radius), (0.0, y, 5.0), (-x, 0.3 * y, 5.0)]
            self.at = lambda grow: rounded(slant, grow)


def full_bleed(
    chance: Random, bleed: float | None = None, room: float = 6.0, *, whites: bool = True
) -> Piece:
    """Art past the cut by ``bleed`` all round, or by as much as is asked and up to ``room``.

    ``whites`` says whether white may lie outside.
    """
    outline = _Outline(chance)
    (x, y), past = outline.half, bleed if bleed is not None else chance.uniform(BLEED + 0.01, room)
    edge, far = outline.at(past), rectangle(-x - 12, -y - 12, x + 12, y + 12)
    way, reach = chance.randrange(6 if whites else 5), 0.0
    if way == 0:
        ground: Items = (filled("ground", edge, SEA),)
    elif way == 1:
        inner: Shape | Group = filled("ground", far, SEA)
        for _ in range(chance.randrange(3)):
            inner = Group("", (inner,), clip=rectangle(-x - 9, -y - 9, x + 9, y + 9))
        ground = (Group("clip", (inner,), clip=edge),)
    elif way == 2:
        width = chance.uniform(0.8, 4.0)
        line = stroked("rim", outline.at(past - width / 2), SAND, width)
        ground = (filled("ground", outline.at(past - width / 2), SEA), line)
    elif way == 3:  # strips over each other, in any order
        strips = []
        at = -y - 12
        while at < y + 12:
            height = chance.uniform(3, 9)
            strip = rectangle(-x - 12, at, x + 12, at + height + 0.5)
            strips.append(filled("strip", strip, chance.choice((SEA, SAND, INK))))
            at += height
        chance.shuffle(strips)
        ground = (Group("clip", tuple(strips), clip=edge),)
    elif way == 4:  # halves that overlap, each with a hole the other covers
        hole = outline.at(-4.0)
        ground = (
            filled("frame", Path((*edge.contours, *hole.contours)), SAND, even_odd=True),
            filled("middle", outline.at(-3.0), SEA),
        )
    else:
        reach = 12.0
        ground = (
            filled("ground", rectangle(-x - 11, -y - 11, x + 11, y + 11), SEA),
            filled("white round it", Path((*far.contours, *edge.contours)), WHITE, even_odd=True),
        )
    return Piece(outline.at(0), (*ground, *_ornaments(chance, outline, WHITE)), outline.half, past, reach)


def white_bordered(chance: Random, margin: float | None = None, *, whites: bool = True) -> Piece:
    """Art that keeps ``margin`` inside the cut, or more than is asked."""
    outline = _Outline(chance)
    (x, y), clear = outline.half, margin if margin is not None else chance.uniform(MARGIN + 0.01, 3.2)
    edge, far = outline.at(-clear), rectangle(-x - 7, -y - 7, x + 7, y + 7)
    way, reach = chance.randrange(6 if whites else 4), 0.0
    if way == 0:
        art: Items = (filled("picture", edge, SAND),)
    elif way == 1:
        art = (Group("clip", (filled("ground", far, SAND),), clip=edge),)
    elif way == 2:
        width = chance.uniform(0.5, 2.5)
        art = (stroked("frame", outline.at(-clear - width / 2), SEA, width),)
    elif way == 3:  # a ring of white over art that runs on to just inside the cut
        art = (
            filled("ground", outline.at(-0.4), SAND),
            filled("rim", Path((*outline.at(-0.3).contours, *edge.contours)), WHITE, even_odd=True),
        )
    elif way == 4:  # a ring of white over art that runs across the cut
        reach = 5.0
        ring = Path((*outline.at(reach).contours, *edge.contours))
        art = (filled("ground", outline.at(4.0), SAND), filled("border", ring, WHITE, even_odd=True))
    else:  # art under white, art on the white
        reach = 5.0
        art = (
            filled("ground", outline.at(4.0), SEA),
            filled("border", outline.at(reach), WHITE),
            filled("picture", edge, SAND),
        )
    return Piece(outline.at(0), (*art, *_ornaments(chance, outline, INK)), outline.half, 0.0, reach)


def photograph(chance: Random, *, bleeds: bool, density: float = PIXELS_PER_MM) -> Piece:
    """A picture of pixels, past the cut or well inside it; the cut has square corners."""
    x, y = chance.randrange(6, 9), chance.randrange(5, 8)
    grow = BLEED + 0.25 if bleeds else -MARGIN - 0.25
    wide, high = 2 * (x + grow), 2 * (y + grow)
    picture = Picture(
        "photograph", -x - grow, -y - grow, wide, high, round(wide * density), round(high * density)
    )
    past = grow if bleeds else 0.0
    return Piece(rectangle(-x, -y, x, y), (picture,), (x, y), past)


def block(chance: Random, room: float) -> Piece:
    """Cards cut apart along common lines, on a ground that bleeds or with lettering well inside each."""
    x, y = round(chance.uniform(14, 20), 3), round(chance.uniform(14, 20), 3)
    columns, rows, past = chance.randrange(1, 4), chance.randrange(2, 4), 0.0
    wide, high = 2 * x / columns, 2 * y / rows
    across = [line_between((-x, -y + high * row), (x, -y + high * row)) for row in range(1, rows)]
    down = [line_between((-x + wide * column, -y), (-x + wide * column, y)) for column in range(1, columns)]
    art: Items = tuple(
        Group(
            "",
            (lettering("T", 2.5, INK),),
            matrix=(1.0, 0.0, 0.0, 1.0, -x + wide * (column + 0.5), -y + high * (row + 0.5)),
        )
        for row in range(rows)
        for column in range(columns)
    )
    if chance.random() < 0.5:
        past = chance.uniform(
            BLEED + 0.01, min(room, 4.5)
        )  # its corners are square, and a through cut's may be round
        art = (filled("ground", rectangle(-x - past, -y - past, x + past, y + past), SAND), *art)
    return Piece(joined(rectangle(-x, -y, x, y), *across, *down), art, (x, y), past)


def unprinted(chance: Random) -> Piece:
    """A cut in plain film."""
    outline = _Outline(chance)
    return Piece(outline.at(0), (), outline.half)


def _ornaments(chance: Random, outline: _Outline, tone: str) -> Items:
    """Lettering in lines, stars and discs well inside the cut."""
    found: list[Shape | Group] = []
    reach = min(outline.half)
    for _ in range(chance.randrange(3)):
        way, size = chance.randrange(6), reach * chance.uniform(0.15, 0.4)
        if way == 0:
            words = line_of_text(chance.choice(("TEA", "PIER", "ISLE")), (0.0, 0.0), max(3.0, 0.3 * reach))
            found.append(stroked("lettering", words, tone, 0.6))
        elif way == 1:
            found.append(filled("star", star(0, 0, size, size * 0.5, chance.randrange(4, 8)), tone))
        elif way == 2:
            disc = filled("disc", ellipse(0, 0, size, size * chance.uniform(0.5, 1)), SAND)
            found.append(Group("", (disc,), opacity=chance.choice((1.0, 0.6))))
        elif way == 3:
            words = lettering(chance.choice(("TEA", "PIE", "ALE")), max(1.5, 0.3 * reach), tone)
            mirror = chance.choice((1.0, -1.0))
            found.append(Group("", (words,), matrix=(0.96 * mirror, 0.28, -0.28 * mirror, 0.96, 0.0, 0.0)))
        else:
            turn = chance.uniform(0, math.tau)
            place = (0.2 * reach * math.cos(turn), 0.2 * reach * math.sin(turn))
            found.append(stroked("ring", circle(*place, size), tone, 0.5))
    return tuple(found)
