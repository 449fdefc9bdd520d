"""Stickers of the ferry company's half of the sheet, each drawn about its own middle. Knows no layout."""

from __future__ import annotations

from demo_sheet import palette as ink
from demo_sheet.lettering import dot, line_of_text, text_on_circle
from demo_sheet.outline import Path, drawn, joined
from demo_sheet.shapes import (
    Corner,
    circle,
    ellipse,
    polygon,
    rectangle,
    rounded,
    sector,
    star,
    wave_band,
)
from demo_sheet.sheet import Group, Shape, Sticker, filled, stroked

BLEED = 3.25
"""How far art goes past the knife, mm: the 3 mm a shop asks for and a little over."""
CHOKE = 0.25
"""How far the white base stays inside the art, mm."""


def bled(name: str, corners: list[Corner], *items: Shape | Group) -> Sticker:
    """A sticker whose art fills it and goes ``BLEED`` past the knife."""
    art = Group(name, items, clip=rounded(corners, BLEED))
    return Sticker(name, art, rounded(corners), rounded(corners, BLEED - CHOKE))


def bled_round(name: str, radius: float, *items: Shape | Group) -> Sticker:
    """A round sticker whose art fills it and goes ``BLEED`` past the knife."""
    art = Group(name, items, clip=circle(0, 0, radius + BLEED))
    return Sticker(name, art, circle(0, 0, radius), circle(0, 0, radius + BLEED - CHOKE))


def little_ferry(scale: float) -> tuple[Shape, ...]:
    """The ferry as a sign, about 20 units long, for use inside other stickers."""
    hull = drawn(
        "M-10 0 H8.5 C9.5 0 10.5 -.4 11 -1 C10.6 1.6 9.6 3.4 8.4 4.6 H-9 C-9.8 3.2 -10.2 1.6 -10 0 Z"
    )
    decks = joined(rectangle(-7, -2.6, 6, 0.1, 0.6), rectangle(-5, -4.8, 3.6, -2.4, 0.6))
    funnel = polygon([(-3.6, -8), (-1.2, -8), (-0.8, -4.7), (-3.2, -4.7)])
    ports = joined(*(circle(-5 + 2.2 * i, -1.2, 0.55) for i in range(5)))
    return (
        filled("Little ferry hull", hull.scaled(scale), ink.NAVY),
        filled("Little ferry decks", decks.scaled(scale), ink.PAPER),
        filled("Little ferry funnel", funnel.scaled(scale), ink.CORAL),
        filled("Little ferry portholes", ports.scaled(scale), ink.NAVY),
    )


def life_ring() -> Sticker:
    """Round badge: a life-ring with the company's name, the ferry seen through it."""
    bands = joined(*(sector(0, 0, 12.5, 22.2, start, 44) for start in (-22, 158)))
    edges = joined(*(sector(0, 0, 12.5, 22.2, start, 3) for start in (-27, 24, 153, 204)))
    scene = Group(
        "Sea through the ring",
        (
            filled("Ring sky", circle(0, 0, 13), ink.SKY),
            filled("Ring sun", circle(6.2, -5.2, 2.6), ink.SUN),
            *little_ferry(0.86),
            filled("Ring swell", wave_band(-14, 14, 4.2, 14, 6.4, 1.7), ink.SEA),
            filled("Ring swell near", wave_band(-14, 14, 7.6, 14, 7.6, 1.8, 2.0), ink.NAVY),
        ),
        clip=circle(0, 0, 12.8),
    )
    return bled_round(
        "Life-ring",
        25,
        filled("Life-ring ground", circle(0, 0, 29), ink.SEA),
        filled("Life-ring ripple", circle(0, 0, 24.2), ink.AQUA),
        scene,
        filled("Life-ring shade", _ring(0.5, 0.7, 12.5, 22.4), ink.NAVY, even_odd=True),
        filled("Life-ring body", _ring(0, 0, 12.5, 22.2), ink.CREAM, even_odd=True),
        filled("Life-ring bands", bands, ink.CORAL),
        filled("Life-ring band edges", edges, ink.BRICK),
        stroked("Life-ring name", text_on_circle("QUILLSAY", (0, 0), 17.3, 4.3), ink.INK, 0.85),
        stroked("Life-ring trade", text_on_circle("FERRY", (0, 0), 17.3, 4.3, below=True), ink.INK, 0.85),
    )


def _ring(x: float, y: float, inner: float, outer: float) -> Path:
    return circle(x, y, outer) + circle(x, y, inner)


def lighthouse() -> Sticker:
    """Arched label: the harbour light at night."""
    corners: list[Corner] = [(-15, -34, 15), (15, -34, 15), (15, 34, 4), (-15, 34, 4)]
    tower = polygon([(-4.1, -11), (4.1, -11), (6.6, 25), (-6.6, 25)])
    stripes = joined(*(_slice(top, top + 6) for top in (-11, 1, 13)))
    beams = polygon([(0, -15.5), (-22, -26), (-22, -10)]) + polygon([(0, -15.5), (22, -26), (22, -10)])
    glow = polygon([(0, -15.5), (-22, -22), (-22, -14)]) + polygon([(0, -15.5), (22, -22), (22, -14)])
    rock = drawn("M-20 30 C-14 27 -12 23.5 -8 23.5 C-4 21.5 5 21.6 8 23.4 C12 24 15 27.5 20 29 V40 H-20 Z")
    stars = joined(*(star(x, y, r, r * 0.45, 4) for x, y, r in _STARS))
    return bled(
        "Lighthouse",
        corners,
        filled("Night sky", rectangle(-20, -40, 20, 40), ink.INK),
        filled("Night sky low", wave_band(-20, 20, 8, 40, 26, 5), ink.NAVY),
        filled("Stars", stars, ink.SUN),
        filled("Beams", beams, "#2b5575"),
        filled("Beams bright", glow, "#7d97a0"),
        filled("Far sea", wave_band(-20, 20, 20, 40, 9, 1.4, 3), ink.SEA),
        filled("Tower", tower, ink.CREAM),
        filled("Tower bands", stripes, ink.CORAL),
        filled("Tower shade", polygon([(1.4, -11), (4.1, -11), (6.6, 25), (2.3, 25)]), "#d9b9a0"),
        filled("Tower band shade", joined(*(_slice(t, t + 6, 0.35) for t in (-11, 1, 13))), ink.BRICK),
        filled("Lantern", rectangle(-2.9, -18.4, 2.9, -12.4, 0.6), ink.SUN),
        stroked("Lantern bars", drawn("M-1 -18 V-12.6 M1 -18 V-12.6"), ink.INK, 0.6),
        filled("Gallery", rectangle(-5.6, -12.8, 5.6, -10.8, 0.9), ink.STEEL),
        filled("Dome", drawn("M-3.8 -18 C-3.6 -22 3.6 -22 3.8 -18 Z"), ink.BRICK),
        filled("Finial", circle(0, -22, 1.0), ink.BRICK),
        filled("Door", drawn("M-1.9 24 V19.4 A1.9 1.9 0 0 1 1.9 19.4 V24 Z"), ink.INK),
        filled("Rock", rock, ink.COCOA),
        filled("Near sea", wave_band(-20, 20, 28.5, 40, 8, 1.8), ink.AQUA),
        filled("Near foam", wave_band(-20, 20, 31.6, 40, 10, 1.9, 4), ink.SKY),
    )


_STARS = [
    (-8.5, -27, 1.1),
    (7.5, -29.5, 0.9),
    (-11, -5, 0.8),
    (10.8, -3, 1.0),
    (9.5, 9, 0.7),
    (-9.4, 8, 0.7),
    (1, -30, 0.7),
]


def _slice(top: float, bottom: float, from_share: float = -1.0) -> Path:
    """The tower between two heights, from a share of its half-width to its right side."""

    def half(y: float) -> float:
        return 4.1 + (y + 11) * 2.5 / 36

    a, b = half(top), half(bottom)
    return polygon([(from_share * a, top), (a, top), (b, bottom), (from_share * b, bottom)])


def compass() -> Sticker:
    """Small round sticker: a compass rose."""
    light = joined(*(_point(angle, 11, 2.5, right=False) for angle in (0, 90, 180, 270)))
    dark = joined(*(_point(angle, 11, 2.5, right=True) for angle in (0, 90, 180, 270)))
    minor = joined(*(_point(a, 7.2, 1.9, right=side) for a in (45, 135, 225, 315) for side in (True, False)))
    ticks = joined(*(drawn("M0 -12.9 V-11.6").turned(15 * i) for i in range(24)))
    return bled_round(
        "Compass",
        15.5,
        filled("Compass ground", circle(0, 0, 20), ink.SUN),
        filled("Compass face", circle(0, 0, 13.3), ink.CREAM),
        stroked("Compass ticks", ticks, ink.NAVY, 0.5),
        filled("Compass half points", minor, ink.AQUA),
        filled("Compass points light", light, ink.SEA),
        filled("Compass points dark", dark, ink.INK),
        filled("Compass north", _point(0, 11, 2.5, right=True), ink.BRICK),
        filled("Compass north light", _point(0, 11, 2.5, right=False), ink.CORAL),
        filled("Compass hub", circle(0, 0, 1.3), ink.CREAM),
    )


def _point(turn: float, length: float, half: float, *, right: bool) -> Path:
    side = half if right else -half
    return polygon([(0, -length), (side * 0.72, -half * 0.72), (0, 0)]).turned(turn)


def anchor() -> Sticker:
    """Shield: an anchor, for the deck crew."""
    corners: list[Corner] = [(-15.5, -20, 4), (15.5, -20, 4), (15.5, 4, 18), (0, 22, 5), (-15.5, 4, 18)]
    flukes = "M-9.6 2.4 C-9.4 9 -4.5 12.4 0 12.6 C4.5 12.4 9.4 9 9.6 2.4"
    barbs = polygon([(-12, 5.4), (-9.9, 0.2), (-6.6, 4.8)]) + polygon([(12, 5.4), (9.9, 0.2), (6.6, 4.8)])
    rope = "M1.8 -8.4 C8 -8 9 -3 3 -1 C-5 1.6 -6 5.6 .6 7 C4 7.8 5.8 9 5.2 11.2"
    return bled(
        "Anchor",
        corners,
        filled("Anchor ground", rectangle(-20, -25, 20, 25), ink.NAVY),
        filled("Anchor field", rounded(corners, -2.6), ink.SEA),
        filled("Anchor field swell", wave_band(-12, 12, 6, 11, 6, 1.2), ink.NAVY),
        stroked("Anchor shank", drawn("M0 -8 V12"), ink.CREAM, 2.4),
        stroked("Anchor stock", drawn("M-6 -4.6 H6"), ink.CREAM, 2.2),
        stroked("Anchor arms", drawn(flukes), ink.CREAM, 2.4),
        filled("Anchor barbs", barbs, ink.CREAM),
        stroked("Anchor eye", circle(0, -10.8, 2.5), ink.CREAM, 1.8),
        stroked("Anchor rope", drawn(rope), ink.CORAL, 1.3),
    )


def gull() -> Sticker:
    """A gull in flight, cut round with a white edge."""
    corners: list[Corner] = [
        (-23.8, -17.2, 3.5), (-7, -15.6, 9), (8, -5.6, 9), (18, -5.6, 6), (27.2, 1.2, 3), (15.5, 9.4, 9),
        (5, 13.6, 9), (-20, 13.6, 4), (-24, 7.6, 3), (-13.8, 0.6, 4),
    ]  # fmt: skip
    body = "M18 .6 C16.4 -2.2 13 -3 10 -1.8 C4 -1.2 -5 1.4 -13 5.6 L-19.4 8.2 L-18 10 L-12 9.6 C-3 11 8 9.4 13 5.2 C15.6 4 17.4 2.4 18 .6 Z"
    under = "M-12 9.6 C-3 11 8 9.4 13 5.2 C6 7.6 -4 8.8 -12 9.6 Z"
    wing = "M9 .4 C5 -6 -4 -12 -17.6 -13.2 C-12.4 -10 -10.6 -6 -7 -2 C-3 2.2 4 3.4 9 .4 Z"
    tip = "M-17.6 -13.2 C-13.6 -12.8 -10.4 -12 -7.8 -11 L-11.6 -7.6 C-13.4 -10.2 -14.8 -11.6 -17.6 -13.2 Z"
    feathers = "M-3.6 -7.6 C-4.4 -5.4 -4.4 -3.4 -3.2 -1 M.8 -5.6 C-.2 -3.4 0 -1.4 1 .6"
    art = Group(
        "Gull",
        (
            filled("Gull body", drawn(body), ink.SKY),
            filled("Gull underside", drawn(under), ink.AQUA),
            filled("Gull wing", drawn(wing), ink.STEEL),
            filled("Gull wing tip", drawn(tip), ink.INK),
            stroked("Gull feathers", drawn(feathers), "#7d919b", 0.7),
            filled("Gull beak", drawn("M17 -.6 L22.6 1.4 L17.2 2.6 Z"), ink.SUN),
            filled("Gull eye", circle(14.6, -0.1, 0.8), ink.INK),
        ),
    )
    return Sticker("Gull", art, rounded(corners))


def buoy() -> Sticker:
    """Upright pill: a bell-buoy at first light."""
    corners: list[Corner] = [(x, y, 15.5) for x, y in ((-15.5, -21), (15.5, -21), (15.5, 21), (-15.5, 21))]
    rays = joined(*(sector(0, 4, 0, 40, start, 9) for start in range(-180, 0, 20)))
    cage = "M-4.4 5 L-2.2 -8 H2.2 L4.4 5 M-3.6 0 H3.6 M-2.8 -4.4 H2.8"
    return bled(
        "Bell-buoy",
        corners,
        filled("Dawn", rectangle(-20, -26, 20, 26), ink.PEACH),
        filled("Dawn rays", rays, "#f9d9b4"),
        filled("Dawn sun", circle(0, 4, 10.4), ink.SUN),
        filled("Dawn far sea", wave_band(-20, 20, 5.6, 26, 10, 1.4), ink.AQUA),
        stroked("Buoy cage", drawn(cage), ink.INK, 1.1),
        filled("Buoy bell", drawn("M-1.9 3.6 C-1.7 .6 1.7 .6 1.9 3.6 Z"), ink.SUN),
        filled("Buoy lamp", rectangle(-1.7, -11.6, 1.7, -8, 0.8), ink.CORAL),
        filled("Buoy float", drawn("M-8.6 4.6 H8.6 L6.8 12.4 H-6.8 Z"), ink.CORAL),
        filled("Buoy float band", drawn("M-8 7.2 H8 L7.4 9.8 H-7.4 Z"), ink.CREAM),
        filled("Dawn sea", wave_band(-20, 20, 10.4, 26, 8, 2, 2), ink.SEA),
        filled("Dawn near sea", wave_band(-20, 20, 14.6, 26, 9.6, 2, 6), ink.NAVY),
    )


def waves_label() -> Sticker:
    """Long label: the season's name on the waves."""
    corners: list[Corner] = [(x, y, 6) for x, y in ((-39.5, -11), (39.5, -11), (39.5, 11), (-39.5, 11))]
    return bled(
        "Season label",
        corners,
        filled("Label sky", rectangle(-45, -16, 45, 16), ink.SKY),
        filled("Label swell 1", wave_band(-45, 45, -7.6, 16, 16, 2.6), ink.AQUA),
        filled("Label swell 2", wave_band(-45, 45, -4.4, 16, 19, 2.6, 6), ink.SEA),
        filled("Label swell 3", wave_band(-45, 45, 6.2, 16, 15, 2.4, 9), ink.NAVY),
        stroked("Season name", line_of_text("SUMMER SEASON", (0, 1.3), 4.8), ink.CREAM, 1.0),
        filled("Season stop left", dot(-35, 1.3, 1), ink.SUN),
        filled("Season stop right", dot(35, 1.3, 1), ink.SUN),
    )


def ticket_corners(first_radius: float = 2.0) -> list[Corner]:
    """A ticket 38 mm by 22 mm with a notch in each end; its top left corner may be given a radius."""
    return [
        (-19, -11, first_radius), (19, -11, 2), (19, -4.2, 1.5), (14.8, 0, 4), (19, 4.2, 1.5), (19, 11, 2),
        (-19, 11, 2), (-19, 4.2, 1.5), (-14.8, 0, 4), (-19, -4.2, 1.5),
    ]  # fmt: skip


def ticket() -> Sticker:
    """Notched ticket: a day return."""
    return bled(
        "Ticket",
        ticket_corners(),
        filled("Ticket ground", rectangle(-24, -16, 24, 16), ink.CORAL),
        filled("Ticket panel", rectangle(-11.5, -8.4, 11.5, 8.4, 1.2), ink.CREAM),
        stroked("Ticket words", line_of_text("DAY", (0, -5.4), 2.6), ink.INK, 0.65),
        stroked("Ticket words below", line_of_text("RETURN", (0, 5.6), 2.6, 1.2), ink.BRICK, 0.6),
        stroked("Ticket line left", drawn("M-9.6 1.2 H-6.8"), ink.SUN, 0.7),
        stroked("Ticket line right", drawn("M6.8 1.2 H9.6"), ink.SUN, 0.7),
        *(_shifted(shape, -0.2, 0.9) for shape in little_ferry(0.5)),
    )


def _shifted(shape: Shape, dx: float, dy: float) -> Shape:
    return Shape(**{**shape.__dict__, "path": shape.path.moved(dx, dy)})


def ferry() -> Sticker:
    """The ferry herself, cut round her outline with a white edge."""
    corners: list[Corner] = [
        (-45.5, 21.5, 5), (-45.5, -2, 5), (-35.5, -8, 4), (-29, -14.5, 4), (-21.5, -14.5, 3), (-20.5, -24, 3.5),
        (-5.5, -24, 3.5), (-4.5, -17.6, 3), (5, -18.2, 3), (6.8, -27, 3), (19, -27, 3), (21.5, -14.5, 6), (29.5, -5, 5),
        (46.5, -5, 4), (44.5, 21.5, 5),
    ]  # fmt: skip
    hull = "M-39 2 H28 C33 2 38 .6 41.6 -1.8 C40.4 4 37.6 10.6 34 14.6 H-36.4 C-38.4 11 -39.6 6 -39 2 Z"
    boot = "M-37.9 11 H36.6 C35.8 12.4 35 13.6 34 14.6 H-36.4 C-37 13.5 -37.5 12.3 -37.9 11 Z"
    windows = joined(*(rectangle(x, -2.6, x + 2.6, -0.2, 0.7) for x in _steps(-28, 4.3, 12)))
    upper = joined(*(rectangle(x, -8.6, x + 2.2, -6.4, 0.6) for x in _steps(-21.5, 3.8, 7)))
    ports = joined(*(circle(x, 6.4, 1.0) for x in _steps(-31, 4.6, 14)))
    bridge = polygon([(5, -15.6), (15.4, -15.6), (17.6, -10), (5, -10)])
    glass = polygon([(6.4, -14.2), (14.6, -14.2), (15.6, -11.9), (6.4, -11.9)])
    sea = rectangle(-42, 10, 41, 18.4, 4.1)
    art = Group(
        "Ferry",
        (
            filled("Funnel", polygon([(-17.6, -20.6), (-9, -20.6), (-8, -10), (-16.6, -10)]), ink.CORAL),
            filled("Funnel cap", polygon([(-17.6, -20.6), (-9, -20.6), (-8.7, -18), (-17.4, -18)]), ink.INK),
            filled(
                "Funnel band", polygon([(-17.2, -16), (-8.5, -16), (-8.3, -13.8), (-17, -13.8)]), ink.CREAM
            ),
            stroked("Mast", drawn("M12.6 -16 V-23.4 M10.4 -20.6 H14.8"), ink.INK, 0.8),
            filled("Pennant", polygon([(12.6, -23.6), (8.6, -22.4), (12.6, -21.4)]), ink.CORAL),
            filled("Bridge", bridge, ink.SAND),
            filled("Bridge glass", glass, ink.NAVY),
            filled("Upper deck", rectangle(-24.6, -10.2, 18.6, -4.2, 0.9), ink.CREAM),
            filled("Upper windows", upper, ink.SEA),
            filled(
                "Lifeboat",
                drawn("M7 -8 H15 C14.6 -6 13.4 -5.4 12 -5.4 H10 C8.6 -5.4 7.4 -6 7 -8 Z"),
                ink.CORAL,
            ),
            filled("Main deck", rectangle(-31.6, -4.4, 25.8, 2.4, 0.9), ink.SAND),
            filled("Main windows", windows, ink.NAVY),
            filled("Hull", drawn(hull), ink.NAVY),
            stroked("Hull line", drawn("M-38.4 4 H29 C33 4 36.4 3 39.4 1.4"), ink.SUN, 0.8),
            filled("Portholes", ports, ink.SKY),
            filled("Boot top", drawn(boot), ink.BRICK),
            Group(
                "Ferry sea",
                (
                    filled("Ferry swell", wave_band(-44, 44, 13.2, 20, 9, 1.8), ink.AQUA),
                    filled("Ferry swell near", wave_band(-44, 44, 15.8, 20, 11, 1.6, 5), ink.SEA),
                ),
                clip=sea,
            ),
        ),
    )
    return Sticker("Ferry", art, rounded(corners))


def _steps(start: float, step: float, count: int) -> list[float]:
    return [start + step * i for i in range(count)]


def pennant_star() -> Sticker:
    """Small round sticker: a star, to close an envelope."""
    return bled_round(
        "Envelope seal",
        8,
        filled("Seal ground", circle(0, 0, 12), ink.CORAL),
        filled("Seal ring", circle(0, 0, 5.8), ink.CREAM),
        filled("Seal star", star(0, 0.2, 4.6, 2.0, 5), ink.NAVY),
        filled("Seal hub", ellipse(0, 0.2, 0.9, 0.9), ink.SUN),
    )
