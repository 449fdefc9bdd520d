"""SVG's own figures for path data, arcs and strokes, through the whole reader.

The source stands beside each. What a stroke's joins cover is no part of the reader: it hands on width, join and limit.
"""

from __future__ import annotations

import numpy as np
import pytest

from preflight.artwork.model import Artwork, NoteKind
from preflight.geometry.cubics import points_at
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

SCALE = 25.4 / 96


def drawn(data: str, attributes: str = "") -> Artwork:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="1200" height="400"><path d="{data}" {attributes}/></svg>'
    return read(text.encode(), "published.svg", Limits(), None)[0]


def ends(artwork: Artwork) -> list[list[float]]:
    """Start of each contour and end of each segment, in user units."""
    outlines = artwork.outlines
    places: list[list[float]] = []
    for contour, start in enumerate(outlines.starts):
        first, last = outlines.contour_offsets[contour], outlines.contour_offsets[contour + 1]
        places += [start.tolist(), *outlines.segments[first:last, 3].tolist()]
    rounded: list[list[float]] = (np.array(places) / SCALE).round(6).tolist()
    return rounded


# The grammar of SVG 2, 9.3.9 (paths.html): separators may fall away where two numbers cannot be one, a flag is one
# digit and needs none after it, further pairs of a moveto are linetos, an exponent belongs to its number.
@pytest.mark.parametrize(
    ("data", "expected"),
    [
        ("M10 20L30 40", [[10, 20], [30, 40]]),
        ("M10,20 30,40", [[10, 20], [30, 40]]),
        ("m10-20.5.5-.5", [[10, -20.5], [10.5, -21]]),
        ("M1e1+2E1h.5e+1v-5e-1", [[10, 20], [15, 20], [15, 19.5]]),
        ("M0 0a0,25 0 01 50,0", [[0, 0], [50, 0]]),
        ("M0 0a0 25 0 0150 0", [[0, 0], [50, 0]]),
        ("M 0 0 l 10 0 10 10", [[0, 0], [10, 0], [20, 10]]),
        ("  \n M0\t0\rL 9\n9 ", [[0, 0], [9, 9]]),
    ],
)
def test_the_grammar(data: str, expected: list[list[float]]) -> None:
    artwork = drawn(data)
    assert ends(artwork) == expected
    assert artwork.objects[0].broken is None


# SVG 2, 9.5.4 (paths.html, "Error handling in path data"): the first is the standard's own example.
@pytest.mark.parametrize(
    ("data", "expected"),
    [
        ("M 10,10 L 20,20,30", [[10, 10], [20, 20]]),
        ("M10 10L20 20X30 30L40 40", [[10, 10], [20, 20]]),
        ("M10 10L20 20L30", [[10, 10], [20, 20]]),
        ("M10 10H20 30 V", [[10, 10], [20, 10], [30, 10]]),
    ],
)
def test_a_path_is_drawn_up_to_its_first_error(data: str, expected: list[list[float]]) -> None:
    artwork = drawn(data)
    assert ends(artwork) == expected
    assert artwork.objects[0].broken
    assert [note.kind for note in artwork.notes if note.what == "path"] == [NoteKind.FAULT]


def test_only_closepath_closes() -> None:
    # paths.html, the "closepath" command: a line back to the start leaves two caps, z joins the ends.
    assert drawn("M0 0H9V9L0 0").outlines.closed.tolist() == [False]
    assert drawn("M0 0H9V9z").outlines.closed.tolist() == [True]
    assert drawn("M0 0H9V9L0 0z").outlines.closed.tolist() == [True]


def test_after_closepath_the_next_contour_starts_where_the_last_did() -> None:
    # paths.html, the "closepath" command.
    artwork = drawn("M5 6h9v9zl1 1")
    assert (artwork.outlines.starts / SCALE).round(6).tolist() == [[5, 6], [5, 6]]


# implnote.html B.2 (SVG 1.1 F.6.5, F.6.6), figures arcs01 and arcs02: inputs from the figures, radii, centres and
# angles worked out from the equations there.
@pytest.mark.parametrize(
    ("data", "radii", "turn", "centre", "first", "swept"),
    [
        ("M150 200A150 150 0 1,0 300 50", (150, 150), 0, (300, 200), 180, -270),
        ("M650 325A25 25 -30 0,1 700 300", (27.95085, 27.95085), -30, (675, 312.5), -176.5651, 180),
        ("M750 275A25 50 -30 0,1 800 250", (27.913197, 55.826394), -30, (775, 262.5), -178.2810, 180),
        ("M850 225A25 75 -30 0,1 900 200", (27.906219, 83.718657), -30, (875, 212.5), -178.8538, 180),
        ("M950 175A25 100 -30 0,1 1000 150", (27.903776, 111.615105), -30, (975, 162.5), -179.1403, 180),
        ("M125 75A100 50 0 0,0 225 125", (100, 50), 0, (225, 75), 180, -90),
        ("M125 75A100 50 0 0,1 225 125", (100, 50), 0, (125, 125), -90, 90),
        ("M125 75A100 50 0 1,0 225 125", (100, 50), 0, (125, 125), -90, -270),
        ("M125 75A100 50 0 1,1 225 125", (100, 50), 0, (225, 75), 180, 270),
    ],
)
def test_arcs(
    data: str,
    radii: tuple[float, float],
    turn: float,
    centre: tuple[float, float],
    first: float,
    swept: float,
) -> None:
    segments = drawn(data).outlines.segments / SCALE
    points = points_at(segments[:, None], np.linspace(0, 1, 33)[None]).reshape(-1, 2)
    local = (points @ [1, 1j] - complex(*centre)) * np.exp(-1j * np.radians(turn))
    unit = local.real / radii[0] + 1j * local.imag / radii[1]
    # The model promises 1e-4 of the radius; the table is rounded to seven digits.
    assert np.abs(unit) == pytest.approx(np.ones(len(unit)), abs=1e-4)
    angles = np.degrees(np.unwrap(np.angle(unit)))
    assert (angles[0] - first + 180) % 360 - 180 == pytest.approx(0, abs=1e-3)
    assert angles[-1] - angles[0] == pytest.approx(swept, abs=1e-3)


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        # A radius of nothing is a straight line, a negative one loses its sign (B.2.5).
        ("M0 0A0 50 0 0 1 90 40", [[0, 0], [90, 40]]),
        ("M0 0A50 0 30 1 1 90 40", [[0, 0], [90, 40]]),
        # Ends that coincide leave the arc out (SVG 1.1 F.6.2).
        ("M7 7A50 50 0 1 1 7 7h1", [[7, 7], [8, 7]]),
    ],
)
def test_arcs_that_are_none(data: str, expected: list[list[float]]) -> None:
    assert ends(drawn(data)) == expected


def test_the_sign_of_a_radius_means_nothing() -> None:
    plain, signed = drawn("M0 0A50 40 10 0 1 60 0"), drawn("M0 0A-50 -40 10 0 1 60 0")
    assert np.array_equal(plain.outlines.segments, signed.outlines.segments)


def test_strokes() -> None:
    # painting.html: the initial limit of a miter is 4 stroke widths, the initial join a miter, the initial width 1.
    initial = drawn("M0 0h9v9", 'stroke="black"').objects[0].stroke
    assert (initial.miter_limit, initial.join, initial.cap) == (4, "miter", "butt")
    assert initial.width == pytest.approx(SCALE)
    given = drawn(
        "M0 0h9v9", 'stroke="black" stroke-miterlimit="10" stroke-linejoin="bevel" stroke-linecap="square"'
    )
    assert [(s.miter_limit, s.join, s.cap) for s in (given.objects[0].stroke,)] == [(10, "bevel", "square")]
    # A negative limit is no value at all, and the initial one stays.
    assert drawn("M0 0h9", 'stroke="black" stroke-miterlimit="-1"').objects[0].stroke.miter_limit == 4
