"""Path data against the grammar, the published arc table and svgpathtools as an independent reader."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.geometry import pathdata
from preflight.geometry.cubics import points_at
from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse

CORPUS = Path(__file__).parents[3] / "shared" / "corpus" / "svg"


def nodes(text: str) -> list[tuple[float, float]]:
    """Start and segment ends of the only contour."""
    outlines = parse([text]).outlines
    assert outlines.contour_count == 1
    return [tuple(outlines.starts[0].tolist())] + [tuple(p) for p in outlines.segments[:, 3].tolist()]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("M1.5.5L1-2", [(1.5, 0.5), (1, -2)]),
        ("M1e3-1e-1L+.5+5.", [(1000, -0.1), (0.5, 5)]),
        ("M0 0 1 1 2 0", [(0, 0), (1, 1), (2, 0)]),
        ("m1 1 1 1 2 0", [(1, 1), (2, 2), (4, 2)]),
        ("M1,1h2v3H0V0", [(1, 1), (3, 1), (3, 4), (0, 4), (0, 0)]),
        ("M1 1h1 2 3", [(1, 1), (2, 1), (4, 1), (7, 1)]),
        ("M0,0l1e1,1E0-1.5e0.5", [(0, 0), (10, 1), (8.5, 1.5)]),
        ("\n M 0\t0 \r\n L 1 , 2", [(0, 0), (1, 2)]),
        ("M0 0L1 0 1 1z", [(0, 0), (1, 0), (1, 1), (0, 0)]),
        ("M0 0L1 0 0 0z", [(0, 0), (1, 0), (0, 0)]),
        ("M3 3L3 3", [(3, 3), (3, 3)]),
    ],
)
def test_nodes(text: str, expected: list[tuple[float, float]]) -> None:
    assert parse([text]).errors == ()
    np.testing.assert_allclose(nodes(text), expected, atol=1e-12)


def test_arc_flags_need_no_separator() -> None:
    result = parse(["M0 0a1 1 0 0110 10", "M0 0a1 1 0 0 1 10 10"])
    assert result.errors == ()
    tight, loose = (result.outlines.of_objects([index]).segments for index in (0, 1))
    assert tight[-1, 3].tolist() == [10, 10]
    np.testing.assert_array_equal(tight, loose)


@pytest.mark.parametrize(
    ("text", "segments", "offset"),
    [
        ("M0 0L1 1L2", 1, 10),
        ("M0 0L1 1 x", 1, 9),
        ("M0 0L1 1 2 2 3", 2, 14),
        ("L1 1", 0, 0),
        ("M0 0L1 1LNaN 1", 1, 9),
        ("M0 0L1 1L1e400 1", 1, 9),
        ("M0 0L1 1L1 inf", 1, 11),
        ("M0 0L1 1,,2 2", 1, 9),
        ("M0 0A1 1 0 2 1 3 3", 0, 11),
        ("M0 0C1 1 2 2 3", 0, 14),
        ("M0 0L1 1#", 1, 8),
        ("M0 0L1 1é", 1, 8),
        ("M0 0L1 1 ٣ 3", 1, 9),
        ("M0 0L1 1\0L2 2", 1, 8),
        ("M0 0L1 1\u20acL2 2", 1, 8),
        ("M1e308 0l1 1 1 , 1 1e308 3", 2, 19),
        ("M1e308 0h1h1e308", 1, 11),
        ("m1e308 0z1e308 0", 0, 9),
        ("M0 0L9 9A1e-300 1e-300 0 0 1 1e308 9", 1, 9),
    ],
)
def test_an_error_keeps_what_stands_before(text: str, segments: int, offset: int) -> None:
    # SVG 2, paths.html, Error handling: the path is drawn up to the first error.
    result = parse(["M9 9L8 8", text, "M7 7L6 6"])
    assert [e.path for e in result.errors] == [1]
    assert result.errors[0].offset == offset
    assert result.errors[0].message
    assert len(result.outlines.of_objects([1]).segments) == segments
    assert result.outlines.of_objects([0]).segments[0, 3].tolist() == [8, 8]
    assert result.outlines.of_objects([2]).segments[0, 3].tolist() == [6, 6]


@pytest.mark.parametrize("texts", [[], [""], ["none"], ["", " ", "none"]])
def test_nothing_to_draw(texts: list[str]) -> None:
    result = parse(texts)
    assert result.errors == ()
    assert result.outlines.object_count == len(texts)
    assert result.outlines.contour_count == 0


def test_after_closing_the_next_contour_starts_at_the_same_point() -> None:
    outlines = parse(["M1 2l3 0l0 3zl1 1m1 1l1 0"]).outlines
    assert outlines.starts.tolist() == [[1, 2], [1, 2], [3, 4]]
    assert outlines.closed.tolist() == [True, False, False]
    assert outlines.ends.tolist() == [[1, 2], [2, 3], [4, 4]]


def test_closing_twice_adds_no_contour() -> None:
    outlines = parse(["M0 0L1 0 1 1zzZ", "M2 2z z"]).outlines
    assert outlines.object_of_contour.tolist() == [0, 1]
    assert outlines.closed.all()


def test_a_return_that_only_rounding_spoils_is_a_return() -> None:
    outlines = parse(["m.1 .7l.3.1.3.1-.3.1-.3-.3z", "M0 0l.1 0 .1 0 .1 0-.3 0z"]).outlines
    assert outlines.gaps.tolist() == [0, 0]
    assert outlines.segment_counts.tolist() == [4, 4]
    assert outlines.ends.tolist() == outlines.starts.tolist()


def test_closing_and_gaps() -> None:
    outlines = parse(["M0 0L3 0L3 4z", "M0 0L3 0L3 4L0 0z", "M0 0L3 0L3 4L0 0", "M0 0L3 4", "M5 5"]).outlines
    assert outlines.closed.tolist() == [True, True, False, False, False]
    assert outlines.gaps.tolist() == [5, 0, 0, 5, 0]
    assert outlines.segment_counts.tolist() == [3, 3, 3, 1, 0]
    assert outlines.straight.all()
    assert outlines.starts[4].tolist() == [5, 5]


def test_relative_moves_start_anew_in_each_path() -> None:
    outlines = parse(["m1 1l1 1", "m1 1l1 1m1 1l1 1", "M5 5zm1 1z"]).outlines
    assert outlines.starts.tolist() == [[1, 1], [1, 1], [3, 3], [5, 5], [6, 6]]


def test_smooth_commands_mirror_only_their_own_kind() -> None:
    outlines = parse(["M0 0C0 1 1 1 1 0S2-1 2 0L3 0S4 1 4 0", "M0 0Q1 2 2 0T4 0T6 0L7 0T8 1"]).outlines
    assert outlines.segments[1, 1].tolist() == [1, -1]
    assert outlines.segments[3, 1].tolist() == [3, 0]
    # Quadratic control points are mirrored: 1,2 then 3,-2 then 5,2; raised to cubics by thirds.
    expected = [[2 / 3, 4 / 3], [8 / 3, -4 / 3], [14 / 3, 4 / 3]]
    np.testing.assert_allclose(outlines.segments[4:7, 1], expected, atol=1e-12)
    np.testing.assert_allclose(outlines.segments[8, 1], [7, 0], atol=1e-12)


def test_sums_of_small_steps_far_from_the_origin_keep_their_digits() -> None:
    texts = ["M123456.789,-98765.4321" + "l0.001,0.002" * 2000] * 50
    outlines = parse(texts).outlines
    # Adding 2000 doubles of this size in the order of the file costs up to 1.5e-8 by itself.
    np.testing.assert_allclose(outlines.ends, [[123458.789, -98761.4321]] * 50, rtol=0, atol=5e-8)
    # A giant path before must not cost the small one after it any digit.
    outlines = parse(["m1e15 1e15l1e15 0", "m0.1 0.1l0.1 0.1l0.1 0.1"]).outlines
    np.testing.assert_allclose(outlines.ends[1], [0.3, 0.3], rtol=0, atol=1e-15)


# Reader by reader: svgpathtools 1.7 is the independent one.


def compare_with_svgpathtools(text: str, outlines: Outlines) -> None:
    from svgpathtools import Arc, Line, parse_path

    theirs = parse_path(text)
    size = max(1.0, float(np.abs(outlines.segments).max(initial=0.0)))
    place = 0
    for segment in theirs:
        # Ends that rounding alone parts are joined by a line of no length there, and by none here.
        vanishing = abs(segment.end - segment.start) < 1e-9 * size and isinstance(segment, Line)
        if vanishing and (
            place == len(outlines.segments) or outlines.segments[place].std(axis=0).max() > 1e-9
        ):
            continue
        start = complex(*outlines.segments[place, 0])
        if isinstance(segment, Arc):
            first = place
            while abs(complex(*outlines.segments[place, 3]) - segment.end) > 1e-6 * size:
                place += 1
            points = points_at(outlines.segments[first : place + 1, None], np.linspace(0, 1, 9)[None])
            off = _distances_from(segment, points.reshape(-1, 2))
            assert off.max() <= 1e-5 * max(segment.radius.real, segment.radius.imag) + 1e-6 * size
        else:
            t = np.linspace(0, 1, 7)
            ours = points_at(outlines.segments[place][None], t) @ [1, 1j]
            expected = np.array([segment.point(x) for x in t])
            assert np.abs(ours - expected).max() <= 1e-6 * size, (text[:200], place)
            assert isinstance(segment, Line) == bool(outlines.straight[place])
        assert abs(start - segment.start) <= 1e-6 * size
        place += 1
    assert place == len(outlines.segments)


def _distances_from(arc: object, points: np.ndarray) -> np.ndarray:
    """How far points stand from the ellipse of an arc, to first order."""
    radius, centre, turn = arc.radius, arc.center, np.radians(arc.rotation)  # type: ignore[attr-defined]
    local = (points @ np.array([1, 1j]) - centre) * np.exp(-1j * turn)
    level = np.hypot(local.real / radius.real, local.imag / radius.imag)
    return np.abs(level - 1) * min(radius.real, radius.imag)


COMMITTED = [
    "M10 10C20 20 40 20 50 10s20-30 40 5 10 10 5 5z",
    "m10 10q20 20 40 0t20 5 10-10T7 7l3 3h9v-4z m5 5 3 3",
    "M0 0A30 50 0 0 1 162.55 162.45L172.55 152.45A30 50-45 0 1 215.1 109.9L315 10",
    "M600,350 l 50,-25 a25,25 -30 0,1 50,-25 l 50,-25 a25,50 -30 0,1 50,-25 l 50,-25 a25,75 -30 0,1 50,-25",
    "M300,200h-150a150,150 0 1,0 150,-150zM275,175v-150a150,150 0 0,0 -150,150z",
    "M1 1l2 2l-1 4zl5 5q1 1 2 0t3 3zm2 2h3",
]


@pytest.mark.parametrize("text", COMMITTED)
def test_agrees_with_svgpathtools(text: str) -> None:
    result = parse([text])
    assert result.errors == ()
    compare_with_svgpathtools(text, result.outlines)


numbers = st.floats(-999, 999).map(lambda x: round(x, 3)) | st.integers(-50, 50)
TAKES = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "M": 2}
COMMANDS = [(case, count) for name, count in TAKES.items() for case in (name, name.lower())]
steps = st.sampled_from([*COMMANDS, ("z", 0)]).flatmap(
    lambda c: st.tuples(st.just(c[0]), st.lists(numbers, min_size=c[1], max_size=c[1]))
)


@settings(max_examples=80, deadline=None)
@given(st.lists(st.lists(steps, min_size=1, max_size=9), min_size=1, max_size=4))
def test_whole_documents_agree_with_a_plain_reader(document: list[list[tuple[str, list[float]]]]) -> None:
    paths = [[("M", [1.0, 2.0]), *path] for path in document]
    texts = ["".join(name + " ".join(map(str, n)) for name, n in path) for path in paths]
    result = parse(texts)
    assert result.errors == ()
    for index, path in enumerate(paths):
        expected = plain_reading(path)
        ours = result.outlines.of_objects([index])
        np.testing.assert_allclose(ours.segments, np.array(expected).reshape(-1, 4, 2), rtol=1e-9, atol=1e-8)


def plain_reading(path: list[tuple[str, list[float]]]) -> list[list[tuple[float, float]]]:
    """Control points of a path read step by step, straight from the standard's prose."""
    at = start = 0j
    handle, before = 0j, ""
    curves: list[list[complex]] = []

    def line(to: complex) -> None:
        curves.append([at, at + (to - at) / 3, at + (to - at) * 2 / 3, to])

    for letter, numbers in path:
        base, name = (at if letter.islower() else 0j), letter.upper()
        points = [base + complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]
        old = at
        if name == "M":
            at = start = points[0]
        elif name == "Z":
            if at != start:
                line(start)
            at = start
        elif name in "LHV":
            if name == "L":
                to = points[0]
            elif name == "H":
                to = complex(base.real + numbers[0], at.imag)
            else:
                to = complex(at.real, base.imag + numbers[0])
            line(to)
            at = to
        elif name in "CS":
            first = points[0] if name == "C" else (2 * at - handle if before in ("C", "S") else at)
            handle, at = points[-2], points[-1]
            curves.append([old, first, handle, at])
        else:
            handle = points[0] if name == "Q" else (2 * at - handle if before in ("Q", "T") else at)
            at = points[-1]
            curves.append([old, old + (handle - old) * 2 / 3, at + (handle - at) * 2 / 3, at])
        before = name
    return [[(p.real, p.imag) for p in curve] for curve in curves]


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text("MmLlHhCcAazZ0123456789.,-+eE \n#", max_size=25), min_size=1, max_size=4))
def test_any_text_is_read_or_refused_without_harm_to_its_neighbours(texts: list[str]) -> None:
    together = parse(texts)
    assert np.isfinite(together.outlines.segments).all()
    for index, text in enumerate(texts):
        alone = parse([text])
        assert [(e.offset, e.message) for e in alone.errors] == [
            (e.offset, e.message) for e in together.errors if e.path == index
        ]
        ours = together.outlines.of_objects([index])
        np.testing.assert_allclose(alone.outlines.segments, ours.segments, rtol=1e-9, atol=1e-9)
        assert all(0 <= e.offset <= len(text) for e in alone.errors)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("room", [1, 30, 80])
def test_what_is_read_in_batches_is_what_is_read_at_once(monkeypatch: pytest.MonkeyPatch, room: int) -> None:
    texts = [
        "M0 0L1 1C2 2 3 3 4 5z",
        "",
        "M0 0L1 1L2",
        "m1e308 0h1e308 1e308",
        "M0 0A2 3 0 0 1 4 4",
        "none",
    ] * 7
    whole = parse(texts)
    monkeypatch.setattr(pathdata, "_BATCH", room)
    parts = parse(texts)
    assert parts.errors == whole.errors
    assert [error.path % 6 for error in parts.errors] == [2, 3] * 7
    for name in Outlines.__struct_fields__:
        np.testing.assert_array_equal(getattr(parts.outlines, name), getattr(whole.outlines, name))
    with pytest.raises(pathdata.TooManySegmentsError, match=r"^42 segments"):
        parse(texts, 41)
    assert parse(texts, 42).errors == whole.errors


@pytest.mark.skipif(not CORPUS.is_dir(), reason="the corpus lies outside the repository")
def test_agrees_with_svgpathtools_on_every_path_of_the_corpus() -> None:
    from lxml import etree

    texts: list[str] = []
    for file in sorted(CORPUS.rglob("*.svg")):
        try:
            root = etree.fromstring(
                file.read_bytes(), etree.XMLParser(resolve_entities=False, huge_tree=True)
            )
        except etree.XMLSyntaxError:
            continue
        texts += [e.get("d") for e in root.iter("{*}path") if e.get("d")]
    assert len(texts) > 500
    result = parse(texts)
    broken = {error.path for error in result.errors}
    whole = [i for i, text in enumerate(texts) if i not in broken and re.search(r"\d", text)]
    assert len(broken) < 40
    for index in whole:
        compare_with_svgpathtools(texts[index], result.outlines.of_objects([index]))


FORMS = st.tuples(
    st.sampled_from(["", "-", "+"]),
    st.sampled_from(["0", "7", "007", "12345678901234567890123", "1" * 40, ""]),
    st.sampled_from(["", ".", ".5", ".0", ".00000000000000000000000123456789", ".1" + "0" * 40]),
    st.sampled_from(["", "e0", "E+2", "e-3", "e-400"]),
).filter(lambda parts: any(character.isdigit() for character in parts[1] + parts[2]))


@given(st.lists(FORMS, min_size=1, max_size=12), st.sampled_from([" ", ",", " , ", "\n"]))
def test_every_form_of_number_is_read_as_python_reads_it(forms: list[tuple[str, ...]], between: str) -> None:
    numbers = ["".join(form) for form in forms]
    parsed = parse(["M0 0H" + between.join(numbers)])
    assert not parsed.errors
    assert parsed.outlines.segments[:, 3, 0].tolist() == [float(number) for number in numbers]


@pytest.mark.parametrize("number", [".5", "+1", "5.", "00", "-.5e-2"])
def test_a_form_that_json_lacks_does_not_touch_its_neighbours(number: str) -> None:
    texts = ["M0 0H1 2 3", f"M0 0H{number} 4", "M0 0H1e308"]
    ends = parse(texts).outlines.segments[:, 3, 0].tolist()
    assert ends == [1.0, 2.0, 3.0, float(number), 4.0, 1e308]
