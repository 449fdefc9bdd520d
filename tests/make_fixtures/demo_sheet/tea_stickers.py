"""Stickers and labels of the tea room's half of the sheet, each drawn about its own middle. Knows no layout."""

from __future__ import annotations

import math

from demo_sheet import palette as ink
from demo_sheet.ferry_stickers import BLEED, CHOKE, bled
from demo_sheet.lettering import line_of_text, text_on_circle
from demo_sheet.outline import Path, drawn, joined
from demo_sheet.shapes import Corner, circle, ellipse, polygon, rectangle, rounded, scallop, smooth, wave_band
from demo_sheet.sheet import Group, Shape, Sticker, filled, stroked


def tea_cup() -> Sticker:
    """A steaming cup on its saucer, cut round with a white edge."""
    corners: list[Corner] = [
        (-11.5, -26, 6), (11.5, -26, 6), (12.4, -14, 3), (29, -14, 8), (29, 23, 7), (-29, 23, 7), (-29, 8, 4),
        (-21.5, 4, 5), (-21.5, -14, 4), (-12.4, -14, 3),
    ]  # fmt: skip
    bowl = "M-16 -8 H16 C16 4 11 11 5 12.6 H-5 C-11 11 -16 4 -16 -8 Z"
    shade = "M6 -8 H16 C16 4 11 11 5 12.6 H0 C6 9 8 0 6 -8 Z"
    steam = "M-6 -13 C-9.4 -15.6 -2.6 -18.4 -6 -22 M0 -12.6 C-3.4 -15.4 3.4 -19 0 -23 M6 -13 C2.6 -15.6 9.4 -18.4 6 -22"
    art = Group(
        "Tea cup",
        (
            stroked("Steam", drawn(steam), ink.SKY, 1.5),
            filled("Saucer shade", ellipse(0, 16.2, 25, 3.7), ink.SEA),
            filled("Saucer", ellipse(0, 14.8, 25, 3.9), ink.AQUA),
            filled("Saucer well", ellipse(0, 14.2, 15, 2.0), ink.SEA),
            stroked("Handle", drawn("M15 -4 C24.4 -6.4 25 5.4 11.6 6.4"), ink.CORAL, 2.6),
            Group(
                "Cup bowl",
                (
                    filled("Bowl", rectangle(-17, -9, 17, 13), ink.CORAL),
                    filled("Bowl shade", drawn(shade), ink.BRICK),
                    filled("Bowl swell", wave_band(-18, 18, 0, 14, 8, 2.2), ink.CREAM),
                    filled("Bowl swell low", wave_band(-18, 18, 4.4, 14, 9, 2.2, 3), ink.AQUA),
                ),
                clip=drawn(bowl),
            ),
            filled("Rim", ellipse(0, -8, 16, 2.7), ink.CREAM),
            stroked("Rim edge", ellipse(0, -8, 16, 2.7), ink.BRICK, 0.7),
            filled("Tea", ellipse(0, -7.7, 13.2, 1.8), ink.COCOA),
            filled("Tea glint", ellipse(-5, -8.1, 3.2, 0.55), "#a8744f"),
        ),
    )
    return Sticker("Tea cup", art, rounded(corners))


def tea_badge() -> Sticker:
    """Scalloped badge: a teapot and the name of the blend."""
    body = "M-7.4 -1.6 C-8 5.8 -3 7.4 0 7.4 C3 7.4 8 5.8 7.4 -1.6 C6.4 -5 -6.4 -5 -7.4 -1.6 Z"
    spout = "M6.6 4.4 C9.4 3.6 8.4 -1.4 11.6 -2.6 L10.4 -3.9 C7 -3 7.6 -.2 5.6 -.6 Z"
    beads = joined(*(_on_circle(i * math.tau / 28, 19.9, 0.55) for i in range(28)))
    art = Group(
        "Tea badge",
        (
            filled("Badge ground", scallop(0, 0, 24 + BLEED + 0.15, 0.8, 14), ink.BERRY),
            filled("Badge beads", beads, ink.BLUSH),
            filled("Badge face", circle(0, 0, 18.4), ink.CREAM),
            stroked("Badge ring", circle(0, 0, 11.6), ink.BLUSH, 0.8),
            stroked("Badge words", text_on_circle("LOOSE LEAF", (0, 0), 15.1, 3.1), ink.BERRY, 0.7),
            stroked(
                "Badge words low", text_on_circle("ISLAND TEA", (0, 0), 15.1, 3.1, below=True), ink.BERRY, 0.7
            ),
            filled("Badge stop left", circle(-15.1, 0, 0.75), ink.SUN),
            filled("Badge stop right", circle(15.1, 0, 0.75), ink.SUN),
            Group(
                "Teapot",
                (
                    stroked("Teapot handle", drawn("M-6.6 -1.6 C-11.6 -3.4 -11.6 5 -6.4 4.4"), ink.SEA, 1.5),
                    filled("Teapot spout", drawn(spout), ink.SEA),
                    filled("Teapot body", drawn(body), ink.SEA),
                    filled("Teapot band", drawn("M-7.5 .2 H7.5 L7.3 2.6 H-7.3 Z"), ink.SUN),
                    filled("Teapot lid", drawn("M-4.6 -4 C-3.8 -6.4 3.8 -6.4 4.6 -4 Z"), ink.NAVY),
                    filled("Teapot knob", circle(0, -6.6, 1.1), ink.CORAL),
                ),
            ),
        ),
    )
    return Sticker(
        "Tea badge", art, scallop(0, 0, 24, 0.8, 14), scallop(0, 0, 24 + BLEED + 0.15 - CHOKE, 0.8, 14)
    )


def _on_circle(angle: float, radius: float, size: float) -> Path:
    return circle(radius * math.cos(angle), radius * math.sin(angle), size)


def tea_room_label() -> Sticker:
    """Long label in gingham: the tea room's sign."""
    corners: list[Corner] = [
        (x, y, 5) for x, y in ((-32.5, -12.5), (32.5, -12.5), (32.5, 12.5), (-32.5, 12.5))
    ]
    upright = joined(*(rectangle(x, -18, x + 3, 18) for x in range(-37, 38, 6)))
    across = joined(*(rectangle(-38, y, 38, y + 3) for y in range(-16, 17, 6)))
    both = joined(
        *(rectangle(x, y, x + 3, y + 3) for x in range(-37, 38, 6) for y in range(-16, 17, 6)),
    )
    sprig = "M0 0 C2 -2.6 5 -3 7.4 -2.2 C5.6 0 2.6 1 0 0 Z M0 0 C2 2.2 4.8 2.8 7 2 C5.4 .2 2.6 -.8 0 0 Z"
    return bled(
        "Tea room label",
        corners,
        filled("Gingham ground", rectangle(-38, -18, 38, 18), ink.CREAM),
        filled("Gingham upright", upright, "#bfd0bd"),
        filled("Gingham across", across, "#bfd0bd"),
        filled("Gingham both", both, ink.SAGE),
        filled("Sign", rectangle(-26.5, -7.4, 26.5, 7.4, 3.2), ink.MOSS),
        stroked("Sign line", rectangle(-25.1, -6, 25.1, 6, 2.2), ink.CREAM, 0.6),
        stroked("Sign words", line_of_text("TEA ROOM", (0, 0), 4.4), ink.CREAM, 0.95),
        filled("Sprig left", drawn(sprig).scaled(0.62).turned(180).moved(-18.2, 0), ink.SUN),
        filled("Sprig right", drawn(sprig).scaled(0.62).moved(18.2, 0), ink.SUN),
    )


_SMALL: list[Corner] = [(-11, -11, 5), (11, -11, 5), (11, 11, 5), (-11, 11, 5)]


def leaf() -> Sticker:
    """Small square with round corners: a tea leaf and two buds."""
    blade = "M-5.6 6 C-7.4 -2 -1.4 -6.6 6.6 -6.8 C7.2 1 2.6 6.8 -5.6 6 Z"
    half = "M-5.6 6 C-1.6 2 2.6 -2.6 6.6 -6.8 C7.2 1 2.6 6.8 -5.6 6 Z"
    return bled(
        "Leaf",
        _SMALL,
        filled("Leaf ground", rectangle(-16, -16, 16, 16), "#dfe6cf"),
        filled("Leaf blade", drawn(blade), ink.SAGE),
        filled("Leaf half", drawn(half), ink.MOSS),
        stroked("Leaf vein", drawn("M-7.6 7.8 C-3 3.4 1 -1.2 4.6 -5"), ink.CREAM, 0.7),
    )


def berry() -> Sticker:
    """Small square with round corners: a strawberry for the jam shelf."""
    fruit = smooth(
        [(0, 7.8), (-4.6, 4.2), (-6.6, -1), (-4.4, -4.4), (0, -3.6), (4.4, -4.4), (6.6, -1), (4.6, 4.2)]
    )
    calyx = polygon(
        [(0, -3), (-4.8, -3.4), (-2.2, -5), (-3.4, -7.6), (0, -5.8), (3.4, -7.6), (2.2, -5), (4.8, -3.4)]
    )
    seeds = joined(*(ellipse(x, y, 0.42, 0.7) for x, y in _SEEDS))
    return bled(
        "Strawberry",
        _SMALL,
        filled("Strawberry ground", rectangle(-16, -16, 16, 16), ink.BLUSH),
        filled("Strawberry fruit", fruit, ink.BERRY),
        filled("Strawberry seeds", seeds, ink.SUN),
        filled("Strawberry leaves", calyx, ink.MOSS),
        stroked("Strawberry stalk", drawn("M0 -5.6 C.2 -7 .8 -7.8 1.6 -8.2"), ink.MOSS, 0.8),
    )


_SEEDS = [(-3.6, -0.8), (0, -0.6), (3.6, -0.8), (-1.9, 1.9), (1.9, 1.9), (0, 4.6)]

TAG: list[Corner] = [(-18, -18, 3), (-10, -26, 3), (10, -26, 3), (18, -18, 3), (18, 26, 3), (-18, 26, 3)]


def _tag(name: str, ground: str, trim: str, above: str, below: str, *picture: Shape | Group) -> Sticker:
    """A jar tag: coloured ground, cream panel, two lines of words, a picture between them."""
    panel = rectangle(-14.2, -14.6, 14.2, 22.2, 2.4)
    return bled(
        name,
        TAG,
        filled(f"{name} ground", rectangle(-23, -31, 23, 31), ground),
        filled(f"{name} foot", wave_band(-23, 23, 20, 31, 9.2, 2.4), trim),
        filled(f"{name} panel", panel, ink.CREAM),
        stroked(f"{name} panel line", rectangle(-12.9, -13.3, 12.9, 20.9, 1.6), trim, 0.6),
        filled(f"{name} eyelet", circle(0, -20.4, 2.9), ink.CREAM),
        filled(f"{name} eyelet hole", circle(0, -20.4, 1.5), trim),
        stroked(f"{name} words", line_of_text(above, (0, -9), 3.0, 1.3), ink.INK, 0.65),
        *picture,
        stroked(f"{name} words low", line_of_text(below, (0, 16.2), 4.2, 1.5), trim, 0.95),
    )


def honey() -> Sticker:
    """Jar tag for honey."""
    cells = [(0, 3.6), (-4.9, 0.8), (4.9, 0.8), (-4.9, 6.4), (4.9, 6.4), (0, 9.2), (0, -2.0)]
    comb = joined(*(_hexagon(x, y, 2.7) for x, y in cells))
    full = joined(*(_hexagon(x, y, 2.7) for x, y in (cells[0], cells[3], cells[5])))
    return _tag(
        "Honey tag", ink.SUN, ink.COCOA, "ISLAND", "HONEY",
        filled("Comb", comb, ink.PEACH), filled("Comb full", full, "#e09a2b"),
    )  # fmt: skip


def _hexagon(x: float, y: float, size: float) -> Path:
    angles = [math.radians(60 * i) for i in range(6)]
    return polygon([(x + size * math.cos(a), y + size * math.sin(a)) for a in angles])


def jam() -> Sticker:
    """Jar tag for jam."""
    jar = rectangle(-6.4, -1.6, 6.4, 11, 2.2)
    cloth = "M-7.4 -1.4 L-6 -5 H6 L7.4 -1.4 C5.6 -.4 4.4 -.4 3.7 -1.2 C2.4 -.2 1.2 -.2 0 -1.2 C-1.2 -.2 -2.4 -.2 -3.7 -1.2 C-4.4 -.4 -5.6 -.4 -7.4 -1.4 Z"
    return _tag(
        "Jam tag", ink.BERRY, ink.MOSS, "RHUBARB", "JAM",
        filled("Jar glass", jar, ink.SKY), filled("Jar jam", rectangle(-5.4, 1.6, 5.4, 10, 1.5), ink.BERRY),
        filled("Jar shine", rectangle(-4.2, 3, -3.1, 8.4, 0.5), ink.BLUSH),
        filled("Jar cloth", drawn(cloth), ink.SAGE), stroked("Jar string", drawn("M-6 -3 H6"), ink.CREAM, 0.7),
    )  # fmt: skip


def salt() -> Sticker:
    """Jar tag for sea salt."""
    heap = "M-9.6 9 C-6 8 -3 -1.6 0 -1.6 C3 -1.6 6 8 9.6 9 Z"
    grains = joined(
        *(_grain(x, y) for x, y in ((-5, -2.6), (4.6, -3.4), (6.8, 0.8), (-7.6, 1.4), (0.4, -4.6)))
    )
    return _tag(
        "Salt tag", ink.AQUA, ink.NAVY, "FLAKED", "SALT",
        filled("Salt heap", drawn(heap), ink.SKY),
        filled("Salt heap shade", drawn("M0 -1.6 C3 -1.6 6 8 9.6 9 H2 C4 6 2.4 1.6 0 -1.6 Z"), ink.STEEL),
        filled("Salt grains", grains, ink.SEA), stroked("Salt line", drawn("M-10.4 9.6 H10.4"), ink.NAVY, 0.8),
    )  # fmt: skip


def _grain(x: float, y: float) -> Path:
    return rectangle(-0.75, -0.75, 0.75, 0.75).turned(45).moved(x, y)
