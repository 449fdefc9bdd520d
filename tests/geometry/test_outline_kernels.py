"""Flattening, extents, lengths, areas, maps and shapes against closed forms and dense sampling."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from preflight.geometry import extents, flatten, measure, rings, shapes, transform
from preflight.geometry.cubics import points_at
from preflight.geometry.outlines import Outlines
from preflight.geometry.pathdata import parse

DENSE = np.linspace(0, 1, 2001)
coordinates = st.floats(-100, 100, allow_subnormal=False)
curves = st.integers(1, 6).flatmap(lambda n: arrays(float, (3 * n + 1, 2), elements=coordinates))


def chain(points: np.ndarray) -> Outlines:
    """One open contour of cubics that share their ends."""
    numbers = [
        " ".join(f"{x!r},{y!r}" for x, y in points[k : k + 3].tolist()) for k in range(1, len(points), 3)
    ]
    x, y = points[0].tolist()
    return parse([f"M{x!r},{y!r}C" + " ".join(numbers)]).outlines


def quarter(radius: float) -> Outlines:
    k = 0.5522847498307935 * radius
    return parse([f"M{radius} 0C{radius} {k} {k} {radius} 0 {radius}"]).outlines


def bare() -> dict[str, Outlines]:
    lone = shapes.polygon([(3, 4)])
    return {
        "no objects": Outlines.empty(),
        "objects without contours": Outlines.empty(3),
        "contours without segments": Outlines.joined([lone, Outlines.empty(1), lone]),
        "closed without segments": parse(["M3 4z"]).outlines,
    }


@pytest.mark.parametrize("name", bare())
def test_every_kernel_takes_outlines_without_segments(name: str) -> None:
    outlines = bare()[name]
    contours, objects = outlines.contour_count, outlines.object_count
    assert extents.segment_boxes(outlines).shape == (0, 4)
    for boxes, count in ((extents.contour_boxes, contours), (extents.object_boxes, objects)):
        assert boxes(outlines).shape == (count, 4)
        assert np.isnan(boxes(outlines)).all()
    assert measure.segment_lengths(outlines).shape == (0,)
    assert measure.contour_lengths(outlines).tolist() == [0.0] * contours
    assert measure.contour_areas(outlines).tolist() == [0.0] * contours
    chains = flatten.flatten(outlines, 0.1)
    assert np.diff(chains.offsets).tolist() == [1] * contours
    assert chains.points.tolist() == outlines.starts.tolist()
    assert chains.segment.tolist() == [-1] * contours
    regions = rings.polygons(outlines, ["nonzero"] * objects, 0.1)
    assert [region.is_empty for region in regions] == [True] * objects
    moved = transform.apply(outlines, np.array([1, 0, 0, 1, 10, 0.0]))
    assert moved.starts.tolist() == (outlines.starts + np.array([10, 0])).tolist()
    assert moved.object_count == objects
    assert transform.apply(outlines, np.ones((objects, 6))).contour_count == contours


@pytest.mark.parametrize(
    ("radius", "tolerance", "pieces"),
    # Wang's formula (G. Wang 1984) on a quarter circle, computed from its second differences, 0.459765 of the radius.
    [(10, 0.1, 6), (10, 0.01, 19), (10, 0.001, 59), (100, 0.1, 19), (100, 0.01, 59), (100, 0.001, 186)],
)
def test_published_piece_counts(radius: float, tolerance: float, pieces: int) -> None:
    chains = flatten.flatten(quarter(radius), tolerance)
    assert len(chains.points) == pieces + 1
    middles = (chains.parameter[1:] + chains.parameter[:-1]) / 2
    on_curve = points_at(quarter(radius).segments, middles)
    off = np.hypot(*(on_curve - (chains.points[1:] + chains.points[:-1]) / 2).T)
    assert 0.8 * tolerance < off.max() <= tolerance


def test_drift_of_a_circle() -> None:
    # 2.725300074e-4 of the radius at t = 1/2 ± √3/6 with four cubics (computed).
    radii = np.hypot(*points_at(quarter(1).segments, np.array([0.2113249, 0.5])).T)
    assert radii - 1 == pytest.approx([2.725300074e-4, 0], abs=1e-12)
    radii = np.hypot(*points_at(shapes.ellipse(0, 0, 1, 1).segments[:, None], DENSE[None]).reshape(-1, 2).T)
    assert np.abs(radii - 1).max() < 1e-5


@settings(max_examples=100, deadline=None)
@given(curves, st.sampled_from([10.0, 0.5, 0.01]))
def test_no_curve_leaves_its_chain_by_more_than_the_tolerance(points: np.ndarray, tolerance: float) -> None:
    outlines = chain(points)
    chains = flatten.flatten(outlines, tolerance)
    assert len(chains.inexact) == 0
    assert chains.points[0].tolist() == outlines.starts[0].tolist()
    for index, curve in enumerate(outlines.segments):
        place = np.flatnonzero((chains.segment == index) & (chains.parameter > 0))
        t = np.concatenate([[0], chains.parameter[place]])
        nodes = np.concatenate([curve[:1], chains.points[place]])
        assert t[-1] == 1
        assert nodes[-1].tolist() == curve[3].tolist()
        # The bound holds parameter by parameter, which is stronger than by distance.
        along = np.stack([np.interp(DENSE, t, nodes[:, axis]) for axis in (0, 1)], axis=1)
        assert np.hypot(*(points_at(curve, DENSE) - along).T).max() <= tolerance * (1 + 1e-9) + 1e-12


def test_chains_close_and_lines_stay_whole() -> None:
    outlines = parse(["M0 0L9 0C9 5 4 9 0 9z", "M1 1L2 2", "M5 5"]).outlines
    chains = flatten.flatten(outlines, 0.01)
    first = chains.points[: chains.offsets[1]]
    assert first[0].tolist() == first[-1].tolist() == [0, 0]
    assert first[1].tolist() == [9, 0]
    assert chains.segment[:2].tolist() == [0, 0]
    assert chains.parameter[:2].tolist() == [0, 1]
    assert np.diff(chains.offsets).tolist()[1:] == [2, 1]


@pytest.mark.parametrize("reach", ["1e30", "1e200"])
def test_absurd_handles_are_capped_and_said(reach: str) -> None:
    chains = flatten.flatten(parse([f"M0 0C{reach} 0 0 {reach} 1 1", "M0 0C0 1 1 1 1 0"]).outlines, 0.001)
    assert chains.inexact.tolist() == [0]
    assert chains.offsets[1] == flatten.MOST_PIECES + 1


def test_many_absurd_curves_share_what_memory_bears(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(flatten, "MOST_PIECES_IN_ALL", 5_000)
    outlines = parse(["M0 0" + "C1e9 0 0 1e9 1 1" * 10, "M0 0C0 1 1 1 1 0"]).outlines
    chains = flatten.flatten(outlines, 0.01)
    assert chains.inexact.tolist() == list(range(10))
    assert 4_900 < len(chains.points) <= 5_002
    # What needs few pieces keeps them.
    alone = flatten.flatten(outlines.of_objects([1]), 0.01)
    assert chains.points[chains.offsets[1] :].tolist() == alone.points.tolist()


@pytest.mark.parametrize("tolerance", [0.0, -1.0, float("nan")])
def test_a_tolerance_must_be_above_zero(tolerance: float) -> None:
    with pytest.raises(ValueError, match="tolerance"):
        flatten.flatten(quarter(1), tolerance)


@settings(max_examples=150, deadline=None)
@given(curves)
def test_extents_against_dense_sampling(points: np.ndarray) -> None:
    outlines = chain(points)
    samples = points_at(outlines.segments[:, None], DENSE[None])
    inner = np.concatenate([samples.min(axis=1), samples.max(axis=1)], axis=1)
    boxes = extents.segment_boxes(outlines)
    # Between two samples a curve of this size moves at most |P''| dt²/8 past an extreme.
    slack = 6 * 400 * (1 / 2000) ** 2 / 8
    assert (boxes[:, :2] <= inner[:, :2] + 1e-9).all()
    assert (boxes[:, 2:] >= inner[:, 2:] - 1e-9).all()
    assert (np.abs(boxes - inner) <= slack).all()
    whole = np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])
    assert (
        extents.contour_boxes(outlines).tolist()
        == extents.object_boxes(outlines).tolist()
        == [whole.tolist()]
    )


def test_extents_of_groups() -> None:
    outlines = parse(["M0 0L1 1M5 5L6 7", "", "M9 9", "M2 2C2 6 4 6 4 2M-1 0L0 0"]).outlines
    assert extents.object_boxes(outlines)[[0, 3]].tolist() == [[0, 0, 6, 7], [-1, 0, 4, 5]]
    assert np.isnan(extents.object_boxes(outlines)[[1, 2]]).all()
    np.testing.assert_array_equal(extents.contour_boxes(outlines)[1], [5, 5, 6, 7])


@pytest.mark.parametrize(
    ("a", "b", "perimeter"),
    # 4aE(e), computed with scipy's elliptic integral.
    [
        (10, 5, 48.44224110273838),
        (3, 2, 15.865439589290588),
        (2, 1, 9.688448220547675),
        (50, 1, 200.19195799071534),
    ],
)
def test_ellipses(a: float, b: float, perimeter: float) -> None:
    ellipse = shapes.ellipse(7, -3, a, b)
    assert measure.contour_lengths(ellipse)[0] == pytest.approx(perimeter, rel=1e-5)
    assert measure.contour_areas(ellipse)[0] == pytest.approx(np.pi * a * b, rel=1e-5)
    np.testing.assert_allclose(extents.object_boxes(ellipse), [[7 - a, -3 - b, 7 + a, -3 + b]], atol=1e-12)


def test_quarter_circle() -> None:
    # Length and area of the quarter drawn as one cubic, by numerical integration and Green's theorem.
    assert measure.segment_lengths(quarter(1))[0] == pytest.approx(1.571016698074, abs=1e-11)
    # The area there is about the centre; the contour is joined by its chord, half a unit square less.
    assert measure.contour_areas(quarter(1))[0] == pytest.approx(0.785618083164 - 0.5, abs=1e-11)


def test_regular_polygon() -> None:
    # Area of the 64-gon: n/2 sin(2π/n).
    turns = np.arange(64) * 2 * np.pi / 64
    polygon = shapes.polygon(np.column_stack([np.cos(turns), np.sin(turns)]))
    assert measure.contour_areas(polygon)[0] == pytest.approx(3.1365484905459393, abs=1e-13)
    assert measure.contour_lengths(polygon)[0] == pytest.approx(128 * np.sin(np.pi / 64), abs=1e-12)


def test_areas_are_signed_and_keep_their_digits_far_out() -> None:
    texts = ["M0 0H4V4H0z", "M0 0V4H4V0z", "M0 0L2 2L2 0L0 2z", "M1e7 1e7h.01v.01h-.01z", "M0 0H4V4"]
    np.testing.assert_allclose(
        measure.contour_areas(parse(texts).outlines), [16, -16, 0, 1e-4, 8], rtol=1e-6, atol=1e-12
    )


def test_lengths_with_cusps_and_reversals() -> None:
    texts = ["M0 0C1 1 0 1 1 0", "M0 0C3 0-2 0 1 0", "M0 0C1 0 1 0 1 0", "M2 2C2 2 2 2 2 2", "M0 0L3 4z"]
    outlines = parse(texts).outlines
    expected = [np.hypot(*np.diff(points_at(curve, np.linspace(0, 1, 400_001)), axis=0).T).sum()
                for curve in outlines.segments]  # fmt: skip
    np.testing.assert_allclose(measure.segment_lengths(outlines), expected, rtol=1e-8, atol=1e-9)
    assert measure.contour_lengths(outlines)[4] == 10


def test_tiny_curves_far_out_are_measured_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[int] = []
    quadrature = measure._quadrature

    def counted(x: np.ndarray, y: np.ndarray, nodes: int) -> np.ndarray:
        made.append(x.shape[1])
        return quadrature(x, y, nodes)

    monkeypatch.setattr(measure, "_quadrature", counted)
    small = transform.apply(quarter(1), np.array([1e-4, 0, 0, 1e-4, 1e9, -1e9]))
    smallest = transform.apply(quarter(1), np.array([1e-320, 0, 0, 1e-320, 0, 0]))
    lengths = measure.segment_lengths(Outlines.joined([small, smallest]))
    # Coordinates near 1e9 stand 1.2e-7 apart: that much, no more, is lost.
    assert lengths[0] == pytest.approx(1.571016698e-4, abs=1e-6)
    assert lengths[1] == pytest.approx(1.571e-320, rel=0.01)
    assert sum(made) < 500


@settings(max_examples=60, deadline=None)
@given(curves)
def test_lengths_and_areas_against_dense_chains(points: np.ndarray) -> None:
    outlines = chain(points)
    t = np.linspace(0, 1, 20_001)
    samples = [points_at(curve, t) for curve in outlines.segments]
    lengths = [np.hypot(*np.diff(s, axis=0).T).sum() for s in samples]
    np.testing.assert_allclose(measure.segment_lengths(outlines), lengths, rtol=1e-6, atol=1e-6)
    x, y = (np.concatenate(samples) - outlines.starts[0]).T
    shoelace = (x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2
    assert measure.contour_areas(outlines)[0] == pytest.approx(shoelace, rel=1e-5, abs=1e-3)


def test_maps_one_for_all_and_one_an_object() -> None:
    outlines = parse(["M0 0L1 0L1 1z", "", "M1 2C1 3 2 3 2 2M4 4"]).outlines
    each = np.array([[2, 0, 0, 3, 0, 0], [1, 0, 0, 1, 0, 0], [0, 1, -1, 0, 10, 0.0]])
    moved = transform.apply(outlines, each)
    assert moved.segments[1, 3].tolist() == [2, 3]
    assert moved.gaps[0] == pytest.approx(np.hypot(2, 3))
    assert moved.segments[3, 1].tolist() == [7, 1]
    assert moved.starts[2].tolist() == [6, 4]
    same = transform.apply(outlines, each[0])
    alike = transform.apply(outlines, np.tile(each[0], (outlines.object_count, 1)))
    np.testing.assert_array_equal(alike.segments, same.segments)
    np.testing.assert_array_equal(alike.gaps, same.gaps)
    np.testing.assert_allclose(same.segments, outlines.segments * (2, 3))
    assert same.closed.tolist() == outlines.closed.tolist()
    with pytest.raises(ValueError, match="matrices"):
        transform.apply(outlines, np.ones((2, 6)))


def test_ends_that_coincide_still_do_after_any_map() -> None:
    outlines = parse(["M.1 .7L3 1L.1 .7z", "M.1 .7L3 1L.1 .7"]).outlines
    assert transform.apply(outlines, np.array([0.3, 1.7, -0.9, 0.11, 1e3, 7])).gaps.tolist() == [0, 0]


def test_products_of_maps() -> None:
    outer, inner = np.array([1, 2, 3, 4, 5, 6.0]), np.array([[7, 8, 9, 1, 2, 3], [1, 0, 0, 1, 0, 0.0]])
    outlines = Outlines.joined([quarter(3), quarter(2)])
    once = transform.apply(outlines, transform.product(outer, inner))
    twice = transform.apply(transform.apply(outlines, inner), outer)
    np.testing.assert_allclose(once.segments, twice.segments)


def test_rectangles() -> None:
    plain = shapes.rectangle(1, 2, 30, 20)
    assert plain.segments[:, 0].tolist() == [[1, 2], [31, 2], [31, 22], [1, 22]]
    assert plain.closed.tolist() == [True]
    assert plain.straight.all()
    round_all = shapes.rectangle(0, 0, 30, 20, 99, 99)
    assert len(round_all.segments) == 4
    assert not round_all.straight.any()
    soft = shapes.rectangle(0, 0, 30, 20, 5, 3)
    assert soft.straight.tolist() == [True, False] * 4
    assert measure.contour_areas(soft)[0] == pytest.approx(600 - 60 + np.pi * 15, rel=1e-4)
    joints = soft.segments[1:, 0] - soft.segments[:-1, 3]
    assert np.abs(joints).max() == 0
    assert soft.segments[-1, 3].tolist() == soft.starts[0].tolist()
    assert extents.object_boxes(soft).tolist() == [[0, 0, 30, 20]]


@pytest.mark.parametrize(
    "shape",
    [
        shapes.rectangle(0, 0, 0, 5),
        shapes.rectangle(0, 0, 5, -1),
        shapes.ellipse(0, 0, 0, 5),
        shapes.polygon([]),
    ],
)
def test_shapes_that_draw_nothing(shape: Outlines) -> None:
    assert shape.object_count == 1
    assert shape.contour_count == 0


def test_lines_and_polylines() -> None:
    assert shapes.line(1, 2, 1, 2).segment_counts.tolist() == [1]
    chain_open = shapes.polygon([(0, 0), (3, 0), (3, 4)], closed=False)
    assert (len(chain_open.segments), chain_open.gaps[0], chain_open.closed[0]) == (2, 5, False)
    both = shapes.polygon([(0, 0), (3, 0), (3, 4), (0, 0)], closed=True)
    assert (len(both.segments), both.gaps[0], both.closed[0]) == (3, 0, True)
    same = msgspec.structs.replace(both, closed=np.array([False]))
    assert measure.contour_lengths(same)[0] == 12
