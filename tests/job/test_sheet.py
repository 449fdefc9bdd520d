"""Copies in rows and columns on the roll, and how far the content of a page reaches."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from preflight.engine import Engine
from preflight.job import Job
from preflight.job.making.sheet import Layout, lay_out
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.profile.tables import Cutter, JobTable, Media

PLUGINS = Plugins()


def page(*drawn: str, width: float = 100, height: float = 60) -> bytes:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">'
    return "".join((head, *drawn, "</svg>")).encode()


def cuts(*paths: str, step: str = "Cutting") -> str:
    drawn = "".join(f'<path d="{path}" fill="none" stroke="#000" stroke-width="0.1"/>' for path in paths)
    return f'<g id="{step}">{drawn}</g>'


def job_of(
    data: bytes, media: float | None = None, cutter: float | None = None, margin: float = 25.0, **job: Any
) -> Job:
    profile = msgspec.structs.replace(
        Profile.default(),
        media=Media(width=media, side_margin=margin),
        cutter=Cutter(width=cutter),
        job=JobTable(**job),
    )
    return Engine(profile, PLUGINS).read_bytes(data, "sheet.svg")[1][0]


def layout_of(data: bytes, *machines: float | None, **job: Any) -> Layout:
    found = job_of(data, *machines, **job).sheet.layout
    assert found is not None
    return found


ART = '<rect x="10" y="10" width="80" height="40" fill="#f4a261"/>'


@pytest.mark.parametrize(
    ("copies", "rotate", "columns", "rows", "length"),
    [
        # 1370 mm less twice 25 mm leave 1320 mm: 12 of 100 mm with 11 spaces of 3 mm take 1233 mm, 13 would take 1336 mm.
        (1, 0, 1, 1, 50 + 60 + 50),
        (12, 0, 12, 1, 50 + 60 + 50),
        (13, 0, 12, 2, 50 + 2 * 60 + 3 + 50),
        (500, 0, 12, 42, 50 + 42 * 60 + 41 * 3 + 50),
        # Turned by a quarter they are 60 mm wide: 21 with 20 spaces take exactly 1320 mm.
        (500, 90, 21, 24, 50 + 24 * 100 + 23 * 3 + 50),
        (500, -90, 21, 24, 50 + 24 * 100 + 23 * 3 + 50),
        (500, 180, 12, 42, 50 + 42 * 60 + 41 * 3 + 50),
    ],
)
def test_copies_lie_in_rows_and_columns(
    copies: int, rotate: float, columns: int, rows: int, length: float
) -> None:
    found = layout_of(page(ART), 1370.0, copies=copies, rotate=rotate)
    assert (found.columns, found.rows) == (columns, rows)
    assert found.length == pytest.approx(length)
    assert found.area == pytest.approx(1370 * length)


def test_a_page_turned_by_any_angle_takes_the_box_round_it() -> None:
    found = layout_of(page(ART), 1370.0, rotate=30.0)
    half, root = 0.5, math.sqrt(3) / 2  # sine and cosine of 30°
    assert found.frame == pytest.approx((100 * root + 60 * half, 100 * half + 60 * root))


def test_the_cutter_may_be_narrower_than_the_media() -> None:
    # 49 in, 1244.6 mm: working width of a mid-size cutter; common practice, no source. 12 copies take 1233 mm.
    assert layout_of(page(ART), 1600.0, copies=100).columns == 15
    assert layout_of(page(ART), 1600.0, 1244.6, copies=100).columns == 12
    assert (
        layout_of(page(ART, width=101.0), 1600.0, 1244.6, copies=100).columns == 11
    )  # 12 would take 1245 mm


def test_without_a_media_width_there_is_no_layout() -> None:
    assert job_of(page(ART)).sheet.layout is None
    sheet = job_of(page(ART), None, 1244.6).sheet
    assert sheet.layout is None
    assert sheet.room is not None
    assert sheet.room.width == 1244.6


def test_a_page_wider_than_its_room_is_laid_by_its_content() -> None:
    wide = page(ART, width=1370.0, height=500.0)
    assert layout_of(wide, 1370.0, copies=30).frame == pytest.approx((80, 40))
    assert (
        layout_of(wide, 1370.0, copies=30).columns == 15
    )  # 15 of 80 and 14 of 3 take 1242 mm, 16 take 1325 mm
    across = page('<rect x="10" y="10" width="1321" height="40" fill="#f4a261"/>', width=1370.0, height=500.0)
    assert job_of(across, 1370.0).sheet.layout is None
    assert job_of(page(width=1370.0), 1370.0).sheet.layout is None


SIZES = st.floats(0.5, 900)


@given(SIZES, SIZES, st.integers(1, 5000), st.floats(0, 50), st.floats(1, 2000))
def test_copies_always_fit_and_no_fewer_rows_would_do(
    width: float, height: float, copies: int, spacing: float, room: float
) -> None:
    found = lay_out((width, height), room, room + 50, copies, spacing, (40.0, 60.0))
    if found is None:
        assert width > room
        return
    assert found.columns * width + (found.columns - 1) * spacing <= room + 1e-5
    assert (found.columns + 1) * width + found.columns * spacing > room or found.columns == copies
    assert found.rows * found.columns >= copies
    assert (found.rows - 1) * found.columns < copies
    assert found.length == pytest.approx(found.rows * height + (found.rows - 1) * spacing + 100)


@given(st.floats(0.1, 20), st.sampled_from((0.0, 90.0, 180.0, 270.0, 30.0)), st.integers(1, 300))
def test_a_layout_grows_with_all_its_measures(factor: float, rotate: float, copies: int) -> None:
    """Everything k times as large, the media and its margins too: the same rows and columns, k times the length."""
    frame = (100 * factor, 60 * factor)
    one = lay_out((100, 60), 1320, 1370, copies, 3, (50, 50))
    other = lay_out(frame, 1320 * factor, 1370 * factor, copies, 3 * factor, (50 * factor, 50 * factor))
    assert one is not None
    assert other is not None
    assert (one.columns, one.rows) == (other.columns, other.rows)
    assert other.length == pytest.approx(factor * one.length)


@pytest.mark.parametrize(
    ("drawn", "box"),
    [
        ((ART,), (10, 10, 90, 50)),
        # The page's white ground prints nothing; what lies outside the page is not printed.
        (('<rect width="100" height="60" fill="#fff"/>', ART), (10, 10, 90, 50)),
        ((ART, '<rect x="-20" y="20" width="60" height="10" fill="#123"/>'), (0, 10, 90, 50)),
        # A stroke prints half its width either side, a cut line has none; a cut outside the page is cut.
        (('<path d="M20 20H60" fill="none" stroke="#123" stroke-width="8"/>',), (20, 16, 60, 24)),
        ((ART, cuts("M-5 20H30V30H-5Z")), (-5, 10, 90, 50)),
        ((cuts("M20 20H30V30H20Z"),), (20, 20, 30, 30)),
        # The miter of a right angle reaches half the width past the corner on both axes.
        (('<path d="M20 50V20H60" fill="none" stroke="#123" stroke-width="4"/>',), (18, 18, 60, 50)),
        # A miter at an angle of 60°: 1 / sin 30° half widths from the corner, straight up.
        (('<path d="M40 50L50 32.67949192L60 50" fill="none" stroke="#123" stroke-width="4"/>',), None),
        ((ART, '<g id="Registration_marks"><circle cx="5" cy="5" r="2" fill="#000"/></g>'), (3, 3, 90, 50)),
        ((ART, '<g id="White"><rect x="5" y="5" width="90" height="50" fill="#eee"/></g>'), (5, 5, 95, 55)),
        ((ART, '<g id="Legend"><rect x="1" y="1" width="9" height="9" fill="#000"/></g>'), (10, 10, 90, 50)),
        ((ART, '<g display="none"><rect width="100" height="60" fill="#000"/></g>'), (10, 10, 90, 50)),
        (
            (
                '<clipPath id="c"><circle cx="50" cy="30" r="10"/></clipPath><g clip-path="url(#c)">',
                ART,
                "</g>",
            ),
            (40, 20, 60, 40),
        ),
    ],
)
def test_content_is_what_prints_cuts_or_marks(drawn: tuple[str, ...], box: tuple[float, ...] | None) -> None:
    reach = job_of(page(*drawn)).sheet.content
    assert reach is not None
    if box is None:
        assert reach.box[1] == pytest.approx(32.67949192 - 2 / math.sin(math.radians(30)), abs=0.01)
    else:
        assert reach.box == pytest.approx(box, abs=0.01)


def test_nothing_made_has_no_content() -> None:
    assert job_of(page()).sheet.content is None
    assert job_of(page('<rect width="100" height="60" fill="#fff"/>')).sheet.content is None


ELLIPSES = st.lists(
    st.tuples(
        st.floats(5, 95),
        st.floats(5, 55),
        st.floats(1, 12),
        st.floats(1, 12),
        st.floats(0, 180),
        st.booleans(),
    ),
    min_size=1,
    max_size=12,
)


@given(ELLIPSES, st.floats(-360, 360))
def test_the_content_of_a_turned_page_is_that_of_its_shapes_turned(
    ellipses: list[tuple[float, float, float, float, float, bool]], rotate: float
) -> None:
    drawn, shapes = [], []
    for x, y, across, down, angle, cut in ellipses:
        turned = (
            f'<ellipse cx="{x}" cy="{y}" rx="{across}" ry="{down}" transform="rotate({angle} {x} {y})" {{}}/>'
        )
        look = 'fill="none" stroke="#000" stroke-width="0.1"' if cut else 'fill="#f4a261"'
        drawn.append(f'<g id="{"Cutting" if cut else "Art"}">{turned.format(look)}</g>')
        shape = shapely.affinity.scale(shapely.Point(0, 0).buffer(1, quad_segs=256), across, down)
        shape = shapely.affinity.translate(shapely.affinity.rotate(shape, angle, origin=(0, 0)), x, y)
        shapes.append(shape if cut else shapely.intersection(shape, shapely.box(0, 0, 100, 60)))
    size = job_of(page(*drawn), rotate=rotate).sheet.content_size()
    # shapely turns from x to y, which is clockwise with y down.
    x0, y0, x1, y1 = shapely.affinity.rotate(shapely.union_all(shapes), rotate, origin=(0, 0)).bounds
    assert size == pytest.approx((x1 - x0, y1 - y0), abs=0.03)


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 60)), min_size=1, max_size=200), st.floats(0, 360))
def test_the_farthest_of_many_are_found(places: list[tuple[float, float]], rotate: float) -> None:
    squares = [f"M{x} {y}h1v1h-1z" for x, y in places]
    reach = job_of(page(cuts(*squares)), rotate=rotate).sheet.content_size()
    corners = np.array([(x + a, y + b) for x, y in places for a in (0, 1) for b in (0, 1)])
    cosine, sine = math.cos(math.radians(rotate)), math.sin(math.radians(rotate))
    turned = corners @ np.array([[cosine, sine], [-sine, cosine]])
    assert reach == pytest.approx(tuple(np.ptp(turned, axis=0)), abs=1e-6)
