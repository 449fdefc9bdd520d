"""Cut lines about the origin with one fault of known measure and place each, in plain film. Knows no layer and no file."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

from demo_sheet.outline import Contour, Path, joined, reversed_path
from demo_sheet.shapes import circle, line_between, polygon, rectangle
from demo_sheet.sheet import Shape, Swatch, cut_line

from random_sheets.furniture import PERFORATION
from random_sheets.pieces import turned_start

__all__ = ["LINE_FAULTS", "Fault", "FaultyLine"]

Place = tuple[float, float]


@dataclass(frozen=True)
class Fault:
    """What a sheet must be found to have, and nothing else: ``measured`` in ``unit``, and a place (mm) that lies in what is shown.

    ``noted`` is what the fault leaves that cannot be checked.
    """

    rule: str
    measured: float | None
    unit: str = "mm"
    at: Place | None = None
    noted: tuple[str, ...] = ()


@dataclass(frozen=True)
class FaultyLine:
    """Cut lines within ``half`` of the origin, mm, those of a perforation apart from them, and the fault."""

    cuts: tuple[Shape, ...]
    half: Place
    fault: Fault
    tears: tuple[Shape, ...] = ()


def _line(path: Path, ink: Swatch) -> Shape:
    return cut_line("edge", path, ink)


def _size(chance: Random) -> Place:
    return round(chance.uniform(12, 20), 3), round(chance.uniform(12, 20), 3)


def _open(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = half = _size(chance)
    gap = round(chance.uniform(0.05, 9.0), 3)
    path = Path((Contour((-x, -y), ((x, -y), (x, y), (-x, y), (-x, -y + gap))),))
    return FaultyLine((_line(path, ink),), half, Fault("contour-open", gap, at=(-x, -y + gap / 2)))


def _common_line_short(chance: Random, ink: Swatch) -> FaultyLine:
    """A block cut apart by a line that stops before its edge."""
    x, y = half = _size(chance)
    short = round(chance.uniform(0.05, 2.0), 3)
    cuts = joined(rectangle(-x, -y, x, y), line_between((0, -y), (0, y - short)))
    return FaultyLine((_line(cuts, ink),), half, Fault("contour-open", 2 * y - short, at=(0, y - short)))


def _double(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = half = _size(chance)
    aside = round(chance.uniform(0.0, 0.045), 3)
    path = rectangle(-x, -y, x, y, chance.choice((0.0, 3.0)))
    second = turned_start(chance, path).moved(aside, 0.0)
    return FaultyLine(
        (_line(path, ink), _line(second, ink)), half, Fault("contour-duplicate", aside, at=(x + aside, 0))
    )


def _loop(chance: Random, ink: Swatch) -> FaultyLine:
    """A corner that overshoots and comes back over itself."""
    x, y = _size(chance)
    over = round(chance.uniform(0.6, 4.0), 3)
    path = polygon([(-x - over, -y), (x, -y), (x, y), (-x, y), (-x, -y - over), (-x - over, -y - over)])
    fault = Fault("contour-self-crossing", 1, "places", (-x, -y))
    return FaultyLine((_line(path, ink),), (x + over, y + over), fault)


def _crossing(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = _size(chance)
    radius = round(chance.uniform(2.5, 6.0), 3)
    inside = round(chance.uniform(-0.6, 0.6) * radius, 3)
    other = circle(x + inside, 0, radius)
    place = (x, math.sqrt(radius**2 - inside**2))
    lines = (_line(rectangle(-x, -y, x, y), ink), _line(other, ink))
    return FaultyLine(lines, (x + 2 * radius, y), Fault("contour-crossing", 2, "places", place))


def _overlap(chance: Random, ink: Swatch) -> FaultyLine:
    """Two pieces pushed together: they share the whole side of the smaller one, whose corners lie on that of the larger."""
    x, y = _size(chance)
    shared = round(chance.uniform(4.0, 1.6 * y), 3)
    other = rectangle(x, -shared / 2, x + 10, shared / 2)
    lines = [
        _line(rectangle(-x, -y, x, y), ink),
        _line(reversed_path(other) if chance.random() < 0.5 else other, ink),
    ]
    chance.shuffle(lines)
    return FaultyLine(tuple(lines), (x + 10, y), Fault("contour-overlap", shared, at=(x, 0)))


def _speck(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = half = _size(chance)
    size = round(chance.uniform(0.3, 1.9), 3)
    lines = (_line(rectangle(-x, -y, x, y), ink), _line(circle(0, 0, size / 2), ink))
    return FaultyLine(lines, half, Fault("contour-fragment", size, at=(0, 0)))


def _tight(chance: Random, ink: Swatch) -> FaultyLine:
    """A needle: both its sides meet at a corner of known angle."""
    angle = chance.uniform(5.0, 18.0)
    long = 18.0
    wide = long * math.tan(math.radians(angle / 2))
    path = polygon([(-9.0, -wide), (long - 9.0, 0.0), (-9.0, wide)])
    fault = Fault("corner-tight", angle, "degrees", (long - 9.0, 0.0))
    return FaultyLine((_line(path, ink),), (9.0, max(9.0, wide)), fault)


def _wide(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = half = _size(chance)
    width = round(chance.uniform(1.05, 2.5), 3)
    line = replace(_line(rectangle(-x, -y, x, y), ink), stroke_width=width)
    return FaultyLine((line,), half, Fault("step-painted", width, at=(0, 0)))


def _dressed(chance: Random, ink: Swatch) -> FaultyLine:
    x, y = half = _size(chance)
    how = chance.choice(({"fill": ink}, {"dash": (2.0, 1.0)}))
    line = replace(_line(rectangle(-x, -y, x, y), ink), **how)
    return FaultyLine((line,), half, Fault("step-painted", None, at=(0, 0)))


def _tear_past(chance: Random, ink: Swatch) -> FaultyLine:
    """A tear line that runs out of its piece."""
    x, y = _size(chance)
    past = round(chance.uniform(0.55, 4.0), 3)
    tear = cut_line("tear line", line_between((0, y), (0, -y - past)), PERFORATION)
    fault = Fault("contour-crossing", 1, "places", (0, -y))
    return FaultyLine((_line(rectangle(-x, -y, x, y), ink),), (x, y + past), fault, (tear,))


LINE_FAULTS: dict[str, Callable[[Random, Swatch], FaultyLine]] = {
    "line open": _open,
    "common line short": _common_line_short,
    "line double": _double,
    "line loops": _loop,
    "lines cross": _crossing,
    "lines overlap": _overlap,
    "speck": _speck,
    "needle": _tight,
    "line wide": _wide,
    "line dressed": _dressed,
    "tear past": _tear_past,
}
"""What plants each fault."""
