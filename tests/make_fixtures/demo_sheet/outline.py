"""Paths as plain data: contours of lines and cubics in mm, y down. Knows no sheet and no file format."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

Point = tuple[float, float]
Line = tuple[float, float]
Cubic = tuple[float, float, float, float, float, float]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class Contour:
    """One sub-path: a start, then lines ``(x, y)`` and cubics ``(x1, y1, x2, y2, x, y)``."""

    start: Point
    segments: tuple[Line | Cubic, ...]
    closed: bool = False

    def cubics(self) -> Iterator[tuple[Point, Point, Point, Point]]:
        """Every segment as four control points, the closing line included."""
        here = self.start
        for segment in self.segments:
            there = (segment[-2], segment[-1])
            if len(segment) == 2:
                yield here, _between(here, there, 1 / 3), _between(here, there, 2 / 3), there
            else:
                yield here, (segment[0], segment[1]), (segment[2], segment[3]), there
            here = there
        if self.closed and here != self.start:
            yield here, _between(here, self.start, 1 / 3), _between(here, self.start, 2 / 3), self.start

    def mapped(self, move: Callable[[float, float], Point]) -> Contour:
        """The contour with every control point moved (right for affine maps)."""

        def of(segment: Line | Cubic) -> Line | Cubic:
            pairs = zip(segment[::2], segment[1::2], strict=True)
            return tuple(number for pair in pairs for number in move(*pair))  # type: ignore[return-value]

        return Contour(move(*self.start), tuple(of(segment) for segment in self.segments), self.closed)


@dataclass(frozen=True)
class Path:
    """Contours filled or stroked as one shape."""

    contours: tuple[Contour, ...]

    def mapped(self, move: Callable[[float, float], Point]) -> Path:
        """The path with every control point moved."""
        return Path(tuple(contour.mapped(move) for contour in self.contours))

    def moved(self, dx: float, dy: float) -> Path:
        """Shifted by (dx, dy) mm."""
        return self.mapped(lambda x, y: (x + dx, y + dy))

    def scaled(self, sx: float, sy: float | None = None) -> Path:
        """Scaled about the origin."""
        return self.mapped(lambda x, y: (x * sx, y * (sx if sy is None else sy)))

    def turned(self, degrees: float, about: Point = (0.0, 0.0)) -> Path:
        """Turned clockwise as seen on the page."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        u, v = about
        return self.mapped(lambda x, y: (u + c * (x - u) - s * (y - v), v + s * (x - u) + c * (y - v)))

    def __add__(self, other: Path) -> Path:
        return Path(self.contours + other.contours)

    def opened(self) -> Path:
        """The same contours, none closed by the file."""
        return Path(tuple(replace(contour, closed=False) for contour in self.contours))


def bounds(path: Path) -> Bounds:
    """Exact extent of the curves: ends and the zeros of each cubic's derivative."""
    xs: list[float] = []
    ys: list[float] = []
    for contour in path.contours:
        for four in contour.cubics():
            for axis, found in ((0, xs), (1, ys)):
                found.extend(_extremes([point[axis] for point in four]))
    return min(xs), min(ys), max(xs), max(ys)


def joined(*paths: Path) -> Path:
    """All contours of all paths as one shape."""
    return Path(tuple(contour for path in paths for contour in path.contours))


def divided(path: Path, parts: int) -> Path:
    """Every cubic cut into equal parameter steps by de Casteljau: the same curve with more nodes."""

    def pieces(contour: Contour) -> Contour:
        segments: list[Line | Cubic] = []
        for four in contour.cubics():
            rest: tuple[Point, ...] = four
            for left in range(parts, 0, -1):
                first, rest = _halves(rest, 1 / left)
                segments.append((*first[1], *first[2], *first[3]))
        return Contour(contour.start, tuple(segments), contour.closed)

    return Path(tuple(pieces(contour) for contour in path.contours))


def reversed_path(path: Path) -> Path:
    """Every contour drawn the other way round."""

    def turned_back(contour: Contour) -> Contour:
        fours = list(contour.cubics())[::-1]
        segments = tuple((*c, *b, *a) for a, b, c, _ in fours)
        return Contour(fours[0][3], segments, contour.closed)

    return Path(tuple(turned_back(contour) for contour in path.contours))


_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)")


def drawn(text: str) -> Path:
    """A path written in SVG's path letters M L H V C S Q A Z; arcs must be circular."""
    tokens = _TOKEN.findall(text)
    pen = _Pen()
    at = 0
    letter = ""
    while at < len(tokens):
        if tokens[at].isalpha():
            letter = tokens[at]
            at += 1
        count = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "A": 7, "Z": 0}[letter.upper()]
        pen.draw(letter, [float(token) for token in tokens[at : at + count]])
        at += count
        letter = {"M": "L", "m": "l"}.get(letter, letter)
    return pen.path()


class _Pen:
    """Follows path letters and keeps the contours drawn so far."""

    def __init__(self) -> None:
        self.done: list[Contour] = []
        self.segments: list[Line | Cubic] = []
        self.start = self.here = self.handle = (0.0, 0.0)

    def draw(self, letter: str, numbers: list[float]) -> None:
        x0, y0 = self.here if letter.islower() else (0.0, 0.0)
        kind = letter.upper()
        if kind == "Z":
            self.finish(closed=True)
            return
        if kind == "H":
            numbers, kind = [numbers[0], self.here[1] - y0], "L"
        elif kind == "V":
            numbers, kind = [self.here[0] - x0, numbers[0]], "L"
        if kind == "A":
            end = (x0 + numbers[5], y0 + numbers[6])
            self.extend(arc_between(self.here, end, numbers[0], bool(numbers[3]), bool(numbers[4])))
            return
        points = [(x0 + x, y0 + y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
        if kind == "M":
            self.finish(closed=False)
            self.start = self.here = self.handle = points[0]
        elif kind == "L":
            self.extend([points[0]])
        else:
            self.curve(kind, points)

    def curve(self, kind: str, points: list[Point]) -> None:
        if kind == "S":
            points = [_between(self.handle, self.here, 2.0), *points]
        elif kind == "Q":
            control, end = points
            points = [_between(self.here, control, 2 / 3), _between(end, control, 2 / 3), end]
        self.extend([(*points[0], *points[1], *points[2])])
        self.handle = points[1]

    def extend(self, segments: list[Line | Cubic]) -> None:
        self.segments.extend(segments)
        self.here = self.handle = (segments[-1][-2], segments[-1][-1])

    def finish(self, *, closed: bool) -> None:
        if self.segments:
            self.done.append(Contour(self.start, tuple(self.segments), closed))
        self.segments = []
        self.here = self.handle = self.start

    def path(self) -> Path:
        self.finish(closed=False)
        return Path(tuple(self.done))


def arc(centre: Point, radius: float, start: float, sweep: float) -> list[Line | Cubic]:
    """Cubics along a circle from ``start`` through ``sweep`` (radians, positive is clockwise on the page)."""
    steps = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    step = sweep / steps
    reach = 4 / 3 * math.tan(step / 4) * radius
    u, v = centre
    found: list[Line | Cubic] = []
    for number in range(steps):
        a, b = start + number * step, start + (number + 1) * step
        p = (u + radius * math.cos(a) - reach * math.sin(a), v + radius * math.sin(a) + reach * math.cos(a))
        q = (u + radius * math.cos(b) + reach * math.sin(b), v + radius * math.sin(b) - reach * math.cos(b))
        found.append((*p, *q, u + radius * math.cos(b), v + radius * math.sin(b)))
    return found


def arc_between(start: Point, end: Point, radius: float, large: bool, sweep: bool) -> list[Line | Cubic]:
    """Cubics of a circular arc given by its ends, as SVG's A command means it."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    half = math.hypot(dx, dy) / 2
    radius = max(radius, half)
    rise = math.sqrt(max(0.0, radius**2 - half**2)) / (2 * half)
    side = 1 if large != sweep else -1
    centre = ((start[0] + end[0]) / 2 - side * rise * dy, (start[1] + end[1]) / 2 + side * rise * dx)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    turn = math.atan2(end[1] - centre[1], end[0] - centre[0]) - first
    turn = turn % math.tau if sweep else -(-turn % math.tau)
    segments = arc(centre, radius, first, turn)
    return [*segments[:-1], (*segments[-1][:4], *end)]


def _between(a: Point, b: Point, t: float) -> Point:
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t


def _halves(four: tuple[Point, ...], t: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    a, b, c, d = four
    ab, bc, cd = _between(a, b, t), _between(b, c, t), _between(c, d, t)
    abc, bcd = _between(ab, bc, t), _between(bc, cd, t)
    middle = _between(abc, bcd, t)
    return (a, ab, abc, middle), (middle, bcd, cd, d)


def _extremes(four: list[float]) -> list[float]:
    p0, p1, p2, p3 = four
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
    if abs(a) < 1e-12:
        roots = [-c / b] if abs(b) > 1e-12 else []
    else:
        inside = b * b - 4 * a * c
        roots = [(-b + sign * math.sqrt(inside)) / (2 * a) for sign in (1, -1)] if inside >= 0 else []
    values = [p0, p3]
    for t in roots:
        if 0 < t < 1:
            s = 1 - t
            values.append(s**3 * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t**3 * p3)
    return values
