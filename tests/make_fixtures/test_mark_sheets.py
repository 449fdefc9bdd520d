"""Sheets with marks at any turn and scale, in nested groups: in SVG and PDF they are found by their shape, where they truly are."""

from __future__ import annotations

import math
from random import Random

import pytest
from demo_sheet.outline import Contour, Path, Point, joined
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.shapes import circle, polygon, rectangle
from demo_sheet.sheet import Group, Layer, Matrix, Shape, Sheet, cut_line, filled, stroked
from demo_sheet.svg_writer import svg_text

from preflight.engine import Engine
from preflight.job import Job, Role, Route
from preflight.plugins import Plugins
from preflight.profile import Profile

NEAR = 0.02
"""mm: how closely a centre or a distance must agree."""

ENGINE = Engine(Profile.default(), Plugins())
BLACK = "#101010"


def line(start: Point, end: Point) -> Path:
    return Path((Contour(start, (end,)),))


def rays(*ends: Point) -> list[Path]:
    """Lines through the origin, or out from it."""
    return [line((0.0, 0.0), end) for end in ends]


# Each about the origin as it stands at the top left; the lines of a corner run inwards.
MARKS: dict[str, list[tuple[Path, bool]]] = {
    "dot": [(circle(0, 0, 2.5), True)],
    "square": [(rectangle(-2, -2, 2, 2), True)],
    "cross": [(joined(line((-3, 0), (3, 0)), line((0, -3), (0, 3))), False)],
    "cross of two objects": [(line((-3, 0), (3, 0)), False), (line((0, -4), (0, 4)), False)],
    "cross of one outline": [
        (polygon([(-3, -1), (-1, -1), (-1, -3), (1, -3), (1, -1), (3, -1), (3, 1), (1, 1), (1, 3), (-1, 3), (-1, 1), (-3, 1)]), True)
    ],
    "corner": [(Path((Contour((6, 0), ((0, 0), (0, 5))),)), False)],
    "corner of two objects": [(line((0, 0), (5, 0)), False), (line((0, 0), (0, 5)), False)],
    "corner of one outline": [(polygon([(0, 0), (6, 0), (6, 1), (1, 1), (1, 6), (0, 6)]), True)],
    "target": [(circle(0, 0, 2), False), (line((-3, 0), (3, 0)), False), (line((0, -3), (0, 3)), False)],
    "target with a dot": [(circle(0, 0, 3), False), (circle(0, 0, 1), True)],
}  # fmt: skip


def times(one: Matrix, other: Matrix) -> Matrix:
    """The matrix that maps by the other first."""
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f


def mapped(matrix: Matrix, point: Point) -> Point:
    a, b, c, d, e, f = matrix
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


def turn(degrees: float, scale: float, dx: float, dy: float, mirrored: bool = False) -> Matrix:
    c, s = scale * math.cos(math.radians(degrees)), scale * math.sin(math.radians(degrees))
    side = -1.0 if mirrored else 1.0
    return c, s, -s * side, c * side, dx, dy


def inverse(matrix: Matrix) -> Matrix:
    a, b, c, d, e, f = matrix
    det = a * d - b * c
    return d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det


class Drawn:
    """A random sheet with one mark near each corner: where each is, and how much the sheet is enlarged."""

    def __init__(self, kind: str, number: int, upright: bool) -> None:
        self.chance = Random(number)  # noqa: S311 - nothing secret
        chance = self.chance
        width, height = chance.uniform(120, 300), chance.uniform(100, 240)
        self.scale = chance.uniform(0.7, 1.4)
        side = 2.2 * math.hypot(width, height)
        degrees = chance.choice((0, 90, 180, 270)) if upright else chance.uniform(-180, 180)
        whole = times(
            turn(degrees, self.scale, side / 2, side / 2, chance.random() < 0.3),
            (1, 0, 0, 1, -width / 2, -height / 2),
        )
        corners = [(8.0, 8.0), (width - 8, 8.0), (width - 8, height - 8), (8.0, height - 8)]
        self.centres = [mapped(whole, corner) for corner in corners]
        marks = [
            Group("", self.mark(kind, corner, x, y))
            for corner, x, y in zip(corners, (1, -1, -1, 1), (1, 1, -1, -1), strict=True)
        ]
        art = [filled("Sea", rectangle(25, 25, width - 25, height - 25), "#2a7593")]
        art += [
            filled(
                f"Buoy {i}",
                circle(chance.uniform(35, width - 35), chance.uniform(35, height - 35), 2.5),
                BLACK,
            )
            for i in range(3)
        ]
        cut = cut_line("Edge", rectangle(30, 30, width - 30, height - 30), "#cc79a7")
        everything = [
            Layer("Art", (Group("", tuple(art), matrix=whole),)),
            Layer("Kiss cut", (Group("", (cut,), matrix=whole),)),
            Layer("Corners", (Group("", tuple(marks), matrix=whole),)),
        ]
        chance.shuffle(everything)
        self.sheet = Sheet("Marks", "Random marks", side, side, tuple(everything))

    def mark(self, kind: str, corner: Point, x: int, y: int) -> tuple[Shape | Group, ...]:
        """The mark in groups whose matrices undo each other's work."""
        chance = self.chance
        outer = turn(
            chance.uniform(0, 360), chance.uniform(0.2, 5), chance.uniform(-50, 50), 7, chance.random() < 0.5
        )
        inner = turn(chance.uniform(0, 360), chance.uniform(0.2, 5), 3, chance.uniform(-50, 50))
        both = times(outer, inner)
        back = inverse(both)
        shrink = math.hypot(back[0], back[1])
        parts: list[Shape | Group] = []
        for number, (path, solid) in enumerate(MARKS[kind]):
            here = path.mapped(lambda u, v: mapped(back, (corner[0] + u * x, corner[1] + v * y)))
            name = f"Part {number}"
            parts.append(
                filled(name, here, BLACK)
                if solid
                else stroked(name, here, BLACK, 0.4 * shrink, round_ends=False)
            )
        return (Group("", (Group("", tuple(parts), matrix=inner),), matrix=outer),)


def job_of(sheet: Sheet, suffix: str) -> Job:
    data = svg_text(sheet).encode() if suffix == "svg" else pdf_bytes(sheet)
    _, (job,) = ENGINE.read_bytes(data, f"sheet.{suffix}")
    return job


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
@pytest.mark.parametrize("kind", MARKS)
@pytest.mark.parametrize("upright", [True, False], ids=["upright", "leaning"])
def test_marks_are_found_by_their_shape_where_they_are(kind: str, suffix: str, upright: bool) -> None:
    for number in range(6):
        drawn = Drawn(kind, number, upright)
        job = job_of(drawn.sheet, suffix)
        (one,) = job.marks.sets
        assert one.shape == kind.split()[0], number
        assert len(one.marks) == 4
        for true in drawn.centres:
            assert min(math.dist(true, mark.centre) for mark in one.marks) < NEAR
        marked = [item for item in job.items if item.assignment.role is Role.MARK]
        assert len(marked) == 4 * len(MARKS[kind])
        assert {item.assignment.route for item in marked} == {Route.SHAPE}
        assert not any(item.object.kind == "path" and item.layers[-1:] != ("Corners",) for item in marked)
        assert all(off.distance < NEAR for off in one.offsets)


@pytest.mark.parametrize("suffix", ["svg", "pdf"])
@pytest.mark.parametrize("gap", [0.5, 2.0, 4.9])
def test_distance_to_art_and_cut_is_that_of_the_plane(gap: float, suffix: str) -> None:
    """A dot of radius 2.5 and a square turned by 45°: the corner of the square is nearest."""
    corners = [(10.0, 10.0), (150.0, 10.0), (150.0, 110.0), (10.0, 110.0)]
    dots = tuple(filled(f"Dot {i}", circle(x, y, 2.5), BLACK) for i, (x, y) in enumerate(corners))
    reach = 2.5 + gap
    square = rectangle(0, 0, 10, 10).turned(45).moved(10, 10 + reach)
    cut = rectangle(10 + reach, 40, 30, 80)
    layers = (
        Layer(
            "Art", (filled("Sea", rectangle(60, 40, 110, 80), "#2a7593"), filled("Sail", square, "#e2603f"))
        ),
        Layer(
            "Kiss cut",
            (
                cut_line("Edge", rectangle(10 + reach, 3, 60, 15), "#cc79a7"),
                cut_line("Other", cut, "#cc79a7"),
            ),
        ),
        Layer("Marks by shape", dots),
    )
    job = job_of(Sheet("Distances", "Closed forms", 160, 120, layers), suffix)
    art, cut_found = job.marks.crowding(5.0)
    assert art.distance == pytest.approx(gap, abs=NEAR)
    assert art.art is not None
    assert art.art.object.fill.color is not None
    assert art.art.object.fill.color.rgb == pytest.approx((0xE2 / 255, 0x60 / 255, 0x3F / 255), abs=0.005)
    assert art.points[0] == pytest.approx((10, 12.5), abs=0.1)
    assert art.points[1] == pytest.approx((10, 10 + reach), abs=NEAR)
    assert cut_found.item is not None
    assert cut_found.distance == pytest.approx(gap, abs=NEAR)
    assert cut_found.points[1] == pytest.approx((10 + reach, 10), abs=0.1)
