"""Outlines made by construction, so that a shape and its bleed are exact offsets. Knows no sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from demo_sheet.outline import Contour, Cubic, Line, Path, Point, arc

Corner = tuple[float, float, float]
"""x, y and the radius the corner is rounded with, mm."""


def circle(x: float, y: float, radius: float) -> Path:
    """A circle of four cubics."""
    return Path((Contour((x + radius, y), tuple(arc((x, y), radius, 0.0, math.tau)), closed=True),))


def ellipse(x: float, y: float, rx: float, ry: float) -> Path:
    """An ellipse of four cubics."""
    return circle(0, 0, 1).scaled(rx, ry).moved(x, y)


def rectangle(x0: float, y0: float, x1: float, y1: float, radius: float = 0.0) -> Path:
    """A rectangle, its corners rounded."""
    return rounded([(x0, y0, radius), (x1, y0, radius), (x1, y1, radius), (x0, y1, radius)])


def line_between(start: Point, end: Point) -> Path:
    """One straight line, open."""
    return Path((Contour(start, (end,)),))


def polygon(points: Sequence[Point]) -> Path:
    """Straight lines from point to point, closed."""
    return Path((Contour(points[0], tuple(points[1:]), closed=True),))


def rounded(corners: Sequence[Corner], grow: float = 0.0) -> Path:
    """A polygon with rounded corners, or its exact outward offset by ``grow`` mm.

    Outward corners gain ``grow`` in radius and inward corners lose it, which is what an offset does.

    Raises
    ------
    ValueError
        An edge is too short for the roundings at its ends, or an inward corner has no radius left.
    """
    corners = _offset(corners, grow) if grow else list(corners)
    cuts = [
        _rounding(corners[i - 1], corner, corners[(i + 1) % len(corners)]) for i, corner in enumerate(corners)
    ]
    segments: list[Line | Cubic] = []
    start = here = cuts[0][0]
    for index, (enter, curve) in enumerate(cuts):
        if index and math.dist(here, enter) > 1e-6:
            _same_way(corners[index - 1], corners[index], here, enter)
            segments.append(enter)
        segments.extend(curve)
        here = (segments[-1][-2], segments[-1][-1]) if segments else start
    return Path((Contour(start, tuple(segments), closed=True),))


def _offset(corners: Sequence[Corner], grow: float) -> list[Corner]:
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
    side = math.copysign(1.0, area)
    moved = []
    for i, (x, y, radius) in enumerate(corners):
        (px, py, _), (nx, ny, _) = corners[i - 1], corners[(i + 1) % len(corners)]
        a, b = math.atan2(y - py, x - px), math.atan2(ny - y, nx - x)
        turn = (b - a + math.pi) % math.tau - math.pi
        out = (a + b) / 2 if abs(b - a) <= math.pi else (a + b) / 2 + math.pi
        reach = side * grow / math.cos(turn / 2)
        left = radius + grow if turn * side > 0 else radius - grow
        if turn * side < 0 and left < 0:
            raise ValueError(f"inward corner at ({x}, {y}) of radius {radius} cannot give up {grow}")
        moved.append((x + reach * math.sin(out), y - reach * math.cos(out), left))
    return moved


def _rounding(before: Corner, corner: Corner, after: Corner) -> tuple[Point, list[Line | Cubic]]:
    x, y, radius = corner
    a, b = math.atan2(y - before[1], x - before[0]), math.atan2(after[1] - y, after[0] - x)
    turn = (b - a + math.pi) % math.tau - math.pi
    if radius == 0 or abs(turn) < 1e-9:
        return (x, y), []
    back = radius * math.tan(abs(turn) / 2)
    enter = (x - back * math.cos(a), y - back * math.sin(a))
    side = math.copysign(1.0, turn)
    centre = (enter[0] - side * radius * math.sin(a), enter[1] + side * radius * math.cos(a))
    return enter, arc(centre, radius, a - side * math.pi / 2, turn)


def _same_way(a: Corner, b: Corner, here: Point, there: Point) -> None:
    along = (b[0] - a[0]) * (there[0] - here[0]) + (b[1] - a[1]) * (there[1] - here[1])
    if along < 0:
        raise ValueError(f"the edge from {a} to {b} is too short for its rounded corners")


def scallop(x: float, y: float, radius: float, swing: float, lobes: int) -> Path:
    """A wavy circle: radius ``radius + swing·cos(lobes·angle)``, two cubics to a lobe."""
    step = math.pi / lobes
    curve: list[Line | Cubic] = []

    def at(angle: float) -> tuple[Point, Point]:
        r, slope = radius + swing * math.cos(lobes * angle), -swing * lobes * math.sin(lobes * angle)
        c, s = math.cos(angle), math.sin(angle)
        return (x + r * c, y + r * s), (slope * c - r * s, slope * s + r * c)

    for number in range(2 * lobes):
        (p, dp), (q, dq) = at(number * step), at((number + 1) * step)
        third = step / 3
        curve.append(
            (p[0] + dp[0] * third, p[1] + dp[1] * third, q[0] - dq[0] * third, q[1] - dq[1] * third, *q)
        )
    return Path((Contour(at(0.0)[0], tuple(curve), closed=True),))


def smooth(points: Sequence[Point], closed: bool = True, tension: float = 1 / 6) -> Path:
    """A curve through the points, its direction at each parallel to the line between its neighbours."""
    count = len(points)
    last = count if closed else count - 1
    curve: list[Line | Cubic] = []
    for i in range(last):
        p, q = points[i], points[(i + 1) % count]
        before = points[i - 1] if closed or i else p
        after = points[(i + 2) % count] if closed or i + 2 < count else q
        curve.append(
            (
                p[0] + (q[0] - before[0]) * tension,
                p[1] + (q[1] - before[1]) * tension,
                q[0] - (after[0] - p[0]) * tension,
                q[1] - (after[1] - p[1]) * tension,
                *q,
            )
        )
    return Path((Contour(points[0], tuple(curve), closed),))


def wave_band(
    x0: float, x1: float, top: float, bottom: float, length: float, height: float, shift: float = 0.0
) -> Path:
    """A band whose upper edge is a wave of the given length and height (crest to trough)."""
    half = length / 2
    x = x0 - ((shift % length) + length)
    segments: list[Line | Cubic] = []
    start = (x, top)
    up = -1
    while x < x1:
        reach = half * 0.3642  # such handles follow half a sine wave closely
        peak = up * height * 2 / 3  # a cubic rises to three quarters of its handles
        segments.append((x + reach, top + peak, x + half - reach, top + peak, x + half, top))
        x, up = x + half, -up
    segments.extend([(x, bottom), (start[0], bottom)])
    return Path((Contour(start, tuple(segments), closed=True),))


def star(x: float, y: float, outer: float, inner: float, points: int, turn: float = -90.0) -> Path:
    """A star with straight sides."""
    step = math.pi / points
    found = []
    for number in range(2 * points):
        radius = outer if number % 2 == 0 else inner
        angle = math.radians(turn) + number * step
        found.append((x + radius * math.cos(angle), y + radius * math.sin(angle)))
    return polygon(found)


def sector(x: float, y: float, inner: float, outer: float, start: float, sweep: float) -> Path:
    """Part of a ring between two radii, from ``start`` through ``sweep`` degrees."""
    a, turn = math.radians(start), math.radians(sweep)
    first = (x + outer * math.cos(a), y + outer * math.sin(a))
    back = (x + inner * math.cos(a + turn), y + inner * math.sin(a + turn))
    segments = (*arc((x, y), outer, a, turn), back, *arc((x, y), inner, a + turn, -turn))
    return Path((Contour(first, segments, closed=True),))
