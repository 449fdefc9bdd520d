"""Distances between cuts against shapely's on points of the curves' own equations, and how far cuts leave the page in closed form.

shapely.distance: https://shapely.readthedocs.io/en/stable/reference/shapely.distance.html. Extents of an ellipse: each coordinate is
a sum of a cosine and a sine, whose greatest value is the root of the sum of their squares. Extents of a cubic: the ends and the
places where its derivative, a quadratic, is zero.
"""

from __future__ import annotations

import itertools
import math
from random import Random

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from preflight.engine import Engine
from preflight.profile import Profile
from preflight.rule import Finding

Points = NDArray[np.float64]

NEAR = 0.02
"""mm: the promise of issue 4."""
LEAST_GAP = 3.0
T = np.linspace(0.0, 1.0, 501)[:, None]
PAGE = 120.0


def found(rule: str, paths: list[str]) -> tuple[Finding, ...]:
    """What a rule finds on a page of cut lines."""
    drawn = "".join(
        f'<path id="c{number}" d="{path}" fill="none" stroke="#000" stroke-width="0.1"/>'
        for number, path in enumerate(paths)
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{PAGE}mm" height="{PAGE}mm" viewBox="0 0 {PAGE} {PAGE}">'
        f'<g id="Cutting">{drawn}</g></svg>'
    )
    report = Engine(Profile.default(), select=(rule,)).check_bytes(svg.encode(), "cuts.svg").report
    (page,) = report.pages
    assert [note for note in page.not_checked if note.kind != "assumed"] == []
    return page.findings


def cubics(chance: Random, x: float, y: float, size: float) -> list[Points]:
    """The control points (4, 2) of the cubics of a closed curve round a place: wavy, smooth or cornered."""
    count = chance.randrange(3, 8)
    angles = [math.tau * (index + chance.uniform(-0.2, 0.2)) / count for index in range(count)]
    nodes = [
        np.array([x, y]) + size * chance.uniform(0.6, 1) * np.array([math.cos(angle), math.sin(angle)])
        for angle in angles
    ]
    pull = [size * np.array([chance.uniform(-0.3, 0.3), chance.uniform(-0.3, 0.3)]) for _ in nodes]
    smooth = chance.random() < 0.5
    other = pull if smooth else [size * np.array([chance.uniform(-0.3, 0.3), 0.1]) for _ in nodes]
    return [
        np.round(
            np.stack([nodes[one - 1], nodes[one - 1] + pull[one - 1], nodes[one] - other[one], nodes[one]]), 4
        )
        for one in range(count)
    ]


def written(segments: list[Points]) -> str:
    ends = "".join(f"C{' '.join(repr(float(value)) for value in one[1:].ravel())}" for one in segments)
    return f"M{float(segments[0][0, 0])!r} {float(segments[0][0, 1])!r}{ends}Z"


def dense(segments: list[Points]) -> Points:
    """Points of the curve by Bernstein's polynomials, 501 to the segment."""
    weights = np.hstack([(1 - T) ** 3, 3 * T * (1 - T) ** 2, 3 * T**2 * (1 - T), T**3])
    return np.concatenate([weights @ one for one in segments])


@pytest.mark.parametrize("number", range(24))
def test_spacing_is_the_distance_of_dense_points(number: int) -> None:
    chance = Random(31 * number + 5)  # noqa: S311 -- shapes, not secrets
    shapes = [
        cubics(chance, 20 + 26 * column + chance.uniform(-2, 2), 20 + 26 * row + chance.uniform(-2, 2), 14.5)
        for row in range(4)
        for column in range(4)
    ]
    lines = [shapely.linestrings(dense(one)) for one in shapes]
    shapely.prepare(lines)
    truth = {
        frozenset((f"c{first}", f"c{second}")): float(shapely.distance(lines[first], lines[second]))
        for first, second in itertools.combinations(range(len(lines)), 2)
        if abs(first - second) <= 5
    }
    told = {
        frozenset(one.ref for one in finding.objects): finding
        for finding in found("cut-spacing", list(map(written, shapes)))
    }
    assert told
    for pair, distance in truth.items():
        # What crosses is another rule's; within 0.05 mm of each other they may count as running along each other.
        if 0.06 < distance < LEAST_GAP - NEAR:
            measured = told[pair].measured
            assert measured is not None
            assert measured.value == pytest.approx(distance, abs=NEAR), pair
            assert math.dist(*told[pair].points_mm) == pytest.approx(distance, abs=NEAR), pair
        elif distance == 0.0 or distance > LEAST_GAP + NEAR:
            assert pair not in told
    assert set(told) <= set(truth)


@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize("number", range(8))
def test_an_ellipse_leaves_the_page_by_its_extent(number: int, side: int) -> None:
    chance = Random(97 * number + side)  # noqa: S311 -- shapes, not secrets
    a, b, turn, out = (
        chance.uniform(8, 25),
        chance.uniform(3, 8),
        chance.uniform(0, 180),
        chance.uniform(0.03, 5),
    )
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    reach = (math.hypot(a * c, b * s), math.hypot(a * s, b * c))
    middle = [60.0, 60.0]
    middle[side % 2] = reach[side] - out if side < 2 else PAGE - reach[side - 2] + out
    (x, y), e, f = middle, a * c, a * s
    path = f"M{x + e!r} {y + f!r}A{a!r} {b!r} {turn!r} 1 1 {x - e!r} {y - f!r}A{a!r} {b!r} {turn!r} 1 1 {x + e!r} {y + f!r}Z"
    (finding,) = found("cut-off-page", [path])
    assert finding.measured is not None
    assert finding.measured.value == pytest.approx(out, abs=0.002)
    here, there = finding.points_mm
    assert here[side % 2] == (0.0 if side < 2 else PAGE)
    assert here[1 - side % 2] == there[1 - side % 2]
    angles = np.linspace(0.0, math.tau, 20_001)
    cos, sin = a * np.cos(angles), b * np.sin(angles)
    off = np.hypot(x + c * cos - s * sin - there[0], y + s * cos + c * sin - there[1])
    # On a flat end many places are as far out but for a few micrometres; whichever is told lies on the curve.
    assert off.min() < 0.01
    assert math.dist(*finding.points_mm) == pytest.approx(finding.measured.value, abs=0.0003)


@pytest.mark.parametrize("number", range(12))
def test_a_cubic_leaves_the_page_where_its_derivative_is_zero(number: int) -> None:
    chance = Random(13 * number)  # noqa: S311 -- shapes, not secrets
    bulge = -chance.uniform(1, 30)
    first, last = chance.uniform(0.5, 10), chance.uniform(0.5, 10)
    p = np.array([first, bulge, chance.uniform(-20, 10), last])
    # x(t) of the left side; the other three sides stay on the page.
    roots = np.roots(
        [3 * (p[3] - 3 * p[2] + 3 * p[1] - p[0]), 6 * (p[2] - 2 * p[1] + p[0]), 3 * (p[1] - p[0])]
    )
    inside = [float(t.real) for t in roots if abs(t.imag) < 1e-12 and 0 < t.real < 1]
    least = min(
        float((1 - t) ** 3 * p[0] + 3 * t * (1 - t) ** 2 * p[1] + 3 * t**2 * (1 - t) * p[2] + t**3 * p[3])
        for t in inside
    )
    path = f"M{first!r} 80C{bulge!r} 60 {float(p[2])!r} 50 {last!r} 30L60 30L60 80Z"
    findings = found("cut-off-page", [path])
    assert least < -0.01
    (finding,) = findings
    assert finding.measured is not None
    assert finding.measured.value == pytest.approx(-least, abs=0.001)
