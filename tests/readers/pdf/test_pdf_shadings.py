"""PDF shadings and patterns as paints: stops, extents, what is not modelled, damage."""

from __future__ import annotations

import math

import numpy as np
import pytest
from colour_bench import TINT_TO_CMYK, Bench

from preflight.artwork.model import NoteKind, PaintKind

INF = math.inf
RED_TO_BLUE = "<< /FunctionType 2 /Domain [0 1] /C0 [1 0 0] /C1 [0 0 1] /N 1 >>"
AXIAL = f"<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [10 0 30 0] /Function {RED_TO_BLUE} >>"
SPOT = f"[/Separation /Ferry#20Red /DeviceCMYK {TINT_TO_CMYK}]"


@pytest.fixture
def bench() -> Bench:
    return Bench()


def test_a_straight_gradient_has_two_stops(bench):
    paint = bench.shading(AXIAL).paint
    assert paint.kind is PaintKind.GRADIENT
    assert [stop.rgb for stop in paint.stops] == [(1, 0, 0), (0, 0, 1)]
    assert bench.context.notes == []


def test_a_bent_gradient_has_stops_between(bench):
    paint = bench.shading(AXIAL.replace("/N 1", "/N 3")).paint
    assert len(paint.stops) == 9
    assert paint.stops[4].rgb == pytest.approx((0.875, 0, 0.125))


def test_a_stitched_gradient_has_a_stop_on_each_side_of_a_jump(bench):
    step = "<< /FunctionType 2 /Domain [0 1] /C0 [{0}] /C1 [{0}] /N 1 >>"
    function = (
        f"<< /FunctionType 3 /Domain [0 1] /Bounds [0.5] /Encode [0 1 0 1] "
        f"/Functions [{step.format('1 0 0')} {step.format('0 1 0')}] >>"
    )
    paint = bench.shading(AXIAL.replace(RED_TO_BLUE, function)).paint
    assert [stop.rgb for stop in paint.stops] == [(1, 0, 0), (1, 0, 0), (0, 1, 0), (0, 1, 0)]


def test_one_function_for_each_component(bench):
    up, down = (f"<< /FunctionType 2 /Domain [0 1] /C0 [{a}] /C1 [{b}] /N 1 >>" for a, b in ((0, 1), (1, 0)))
    paint = bench.shading(AXIAL.replace(RED_TO_BLUE, f"[{up} {down} {up}]")).paint
    assert [stop.rgb for stop in paint.stops] == [(0, 1, 0), (1, 0, 1)]


def test_the_domain_of_a_gradient(bench):
    paint = bench.shading(AXIAL.replace("/ShadingType 2", "/ShadingType 2 /Domain [0.25 0.5]")).paint
    assert [stop.rgb for stop in paint.stops] == [(0.75, 0, 0.25), (0.5, 0, 0.5)]


def test_a_gradient_of_a_named_colour(bench):
    tints = "<< /FunctionType 2 /Domain [0 1] /C0 [0] /C1 [0.6] /N 1 >>"
    paint = bench.shading(
        f"<< /ShadingType 2 /ColorSpace {SPOT} /Coords [0 0 1 1] /Function {tints} >>"
    ).paint
    assert (paint.spot, paint.tint, paint.inks) == ("Ferry Red", 0.6, (("Ferry Red", 0.6),))
    assert paint.stops[1].components == pytest.approx((0, 0.48, 0.36, 0))
    none = f"<< /ShadingType 2 /ColorSpace [/Separation /None /DeviceGray 0] /Coords [0 0 1 1] /Function {tints} >>"
    assert bench.shading(none).paint.kind is PaintKind.NONE


@pytest.mark.parametrize(
    ("coords", "extend", "box"),
    [
        ("10 5 30 5", "", (10, -INF, 30, INF)),
        ("30 5 10 5", "/Extend [true false]", (10, -INF, INF, INF)),
        ("30 5 10 5", "/Extend [false true]", (-INF, -INF, 30, INF)),
        ("10 5 30 5", "/Extend [true true]", (-INF, -INF, INF, INF)),
        ("5 10 5 30", "", (-INF, 10, INF, 30)),
        ("0 0 10 10", "", (-INF, -INF, INF, INF)),
        ("10 5 30 5", "/BBox [20 0 40 8]", (20, 0, 30, 8)),
        ("10 5 30 5", "/BBox [50 0 40 8]", (40, 0, 40, 8)),
    ],
)
def test_extents_of_axial_shadings(bench, coords, extend, box):
    text = AXIAL.replace("/Coords [10 0 30 0]", f"/Coords [{coords}] {extend}")
    assert bench.shading(text).box == box


@pytest.mark.parametrize(
    ("coords", "extend", "box"),
    [
        ("0 0 1 10 0 3", "", (-1, -3, 13, 3)),
        ("0 0 1 10 0 3", "/Extend [true false]", (-5, -3, 13, 3)),
        ("10 0 3 0 0 1", "/Extend [false true]", (-5, -3, 13, 3)),
        ("0 0 1 10 0 3", "/Extend [false true]", (-INF, -INF, INF, INF)),
        ("0 0 2 10 0 2", "/Extend [true false]", (-INF, -INF, INF, INF)),
        ("0 0 0 0 0 5", "", (-5, -5, 5, 5)),
        ("0 0 0 0 0 5", "/Extend [true false]", (-5, -5, 5, 5)),
    ],
)
def test_extents_of_radial_shadings(bench, coords, extend, box):
    text = AXIAL.replace("/ShadingType 2", "/ShadingType 3").replace("[10 0 30 0]", f"[{coords}] {extend}")
    assert bench.shading(text).box == pytest.approx(box)


@pytest.mark.parametrize(("kind", "coords"), [(2, "5 5 5 5"), (3, "5 5 2 5 5 2"), (3, "0 0 0 9 0 0")])
def test_shadings_without_extent_paint_nothing(bench, kind, coords):
    text = AXIAL.replace("/ShadingType 2", f"/ShadingType {kind}").replace("[10 0 30 0]", f"[{coords}]")
    assert bench.shading(text).paint.kind is PaintKind.NONE


def test_a_shading_by_function(bench):
    program = bench.add(b"{ 0 }", "/FunctionType 4 /Domain [0 2 0 1] /Range [0 1 0 1 0 1]")
    shading = bench.shading(
        f"<< /ShadingType 1 /ColorSpace /DeviceRGB /Domain [0 2 0 1] /Matrix [0 10 -10 0 50 0] /Function {program} >>"
    )
    assert shading.box == (40, 0, 50, 20)
    assert {stop.rgb for stop in shading.paint.stops} >= {(0, 0, 0), (1, 1, 0), (1, 0, 0), (0, 1, 0)}
    assert bench.said(NoteKind.NOT_MODELLED) == ["shading"]


MESH = "/ColorSpace /DeviceRGB /BitsPerCoordinate 8 /BitsPerComponent 8 /BitsPerFlag 8 /Decode [0 255 0 255 0 1 0 1 0 1]"


def test_a_mesh_of_free_triangles(bench):
    data = bytes([0, 10, 20, 255, 0, 0, 0, 110, 20, 0, 255, 0, 0, 60, 90, 0, 0, 255])
    shading = bench.shading(bench.add(data, f"/ShadingType 4 {MESH}"))
    assert shading.box == (10, 20, 110, 90)
    assert {stop.rgb for stop in shading.paint.stops} == {(1, 0, 0), (0, 1, 0), (0, 0, 1)}
    assert bench.said(NoteKind.NOT_MODELLED) == ["shading"]
    assert bench.said(NoteKind.FAULT) == []


def test_a_mesh_of_unaligned_bits(bench):
    # Flag 2 bits, coordinates 12 bits, one component of 4 bits: 30 bits, padded to 32.
    def vertex(x: int, y: int, shade: int) -> bytes:
        return (((x << 16) | (y << 4) | shade) << 2).to_bytes(4, "big")

    entries = (
        "/ShadingType 4 /ColorSpace /DeviceGray /BitsPerCoordinate 12 /BitsPerComponent 4 /BitsPerFlag 2"
    )
    data = vertex(0, 4095, 15) + vertex(4095, 0, 0) + vertex(2048, 2048, 5)
    shading = bench.shading(bench.add(data, f"{entries} /Decode [-1 1 0 100 0 1]"))
    assert shading.box == pytest.approx((-1, 0, 1, 100))
    assert sorted({round(stop.rgb[0], 4) for stop in shading.paint.stops}) == [0, 0.3333, 1]


def test_a_lattice_with_a_function(bench):
    data = bytes([10, 20, 0, 110, 20, 255, 10, 90, 0, 110, 90, 255])
    entries = MESH.replace("0 255 0 1 0 1 0 1]", "0 255 0 1]")
    function = bench.add(b"{ dup 0 exch }", "/FunctionType 4 /Domain [0 1] /Range [0 1 0 1 0 1]")
    shading = bench.shading(
        bench.add(data, f"/ShadingType 5 /VerticesPerRow 2 /Function {function} {entries}")
    )
    assert shading.box == (10, 20, 110, 90)
    assert {stop.rgb for stop in shading.paint.stops} == {(0, 0, 0), (1, 0, 1)}
    assert bench.said(NoteKind.FAULT) == []


@pytest.mark.parametrize(("kind", "whole", "joined"), [(6, 12, 8), (7, 16, 12)])
def test_patches_that_take_an_edge_from_the_one_before(bench, kind, whole, joined):
    first = [0] + [50, 60] * (whole - 1) + [10, 20] + [255, 0, 0] * 4
    second = [1] + [50, 60] * (joined - 1) + [200, 90] + [0, 255, 0] * 2
    shading = bench.shading(bench.add(bytes(first + second), f"/ShadingType {kind} {MESH}"))
    assert shading.box == (10, 20, 200, 90)
    assert {stop.rgb for stop in shading.paint.stops} == {(1, 0, 0), (0, 1, 0)}
    assert bench.said(NoteKind.FAULT) == []


def test_a_mesh_that_breaks_off_is_noted(bench):
    data = bytes([0, 10, 20, 255, 0, 0] * 3 + [0, 10, 20, 255])
    assert bench.shading(bench.add(data, f"/ShadingType 4 {MESH}")).paint.kind is PaintKind.GRADIENT
    assert bench.said(NoteKind.FAULT) == ["shading"]


def test_the_colours_of_a_large_mesh(bench):
    vertices = np.zeros((50_000, 6), dtype=np.uint8)
    vertices[:, 3] = 100
    vertices[31_234] = [0, 255, 255, 0, 0, 0]
    spot = MESH.replace("/DeviceRGB", "[/DeviceN [/Tea /Ferry /Kiss] /DeviceRGB 0]")
    shading = bench.shading(bench.add(vertices.tobytes(), f"/ShadingType 4 {spot}"))
    assert shading.box == (0, 0, 255, 255)
    assert len(shading.paint.stops) == 64
    assert shading.paint.spot == "Tea"
    assert shading.paint.tint == pytest.approx(100 / 255)


@pytest.mark.parametrize(
    "text",
    [
        "<< >>",
        "7",
        "<< /ShadingType 9 /ColorSpace /DeviceRGB >>",
        "<< /ShadingType 2 /ColorSpace /Pattern >>",
        "<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 1 1] >>",
        f"<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 1] /Function {RED_TO_BLUE} >>",
        f"<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 1 1] /Function {RED_TO_BLUE} >>",
        f"<< /ShadingType 3 /ColorSpace /DeviceRGB /Coords [0 0 -1 1 1 1] /Function {RED_TO_BLUE} >>",
        f"<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 1 1] /Domain [1] /Function {RED_TO_BLUE} >>",
        f"<< /ShadingType 1 /ColorSpace /DeviceRGB /Function {RED_TO_BLUE} >>",
        "<< /ShadingType 4 /ColorSpace /DeviceRGB >>",
    ],
)
def test_broken_shadings_are_noted_and_paint_in_an_unknown_colour(bench, text):
    assert bench.shading(text).paint.kind is PaintKind.UNKNOWN
    assert "shading" in bench.said(NoteKind.FAULT)


@pytest.mark.parametrize(
    "entries",
    [
        MESH.replace("/BitsPerCoordinate 8", "/BitsPerCoordinate 7"),
        MESH.replace("/BitsPerFlag 8", ""),
        MESH.replace("0 1]", "]"),
    ],
)
def test_broken_meshes(bench, entries):
    assert bench.shading(bench.add(bytes(60), f"/ShadingType 4 {entries}")).paint.kind is PaintKind.UNKNOWN
    assert bench.said(NoteKind.FAULT) == ["shading"]


def test_an_empty_mesh(bench):
    assert bench.shading(bench.add(b"", f"/ShadingType 6 {MESH}")).paint.kind is PaintKind.UNKNOWN
    assert bench.said(NoteKind.FAULT) == ["shading"]


def test_a_shading_pattern_shows_its_background_too(bench):
    shading = AXIAL.replace("/ShadingType 2", "/ShadingType 2 /Background [0 1 0]")
    paint = bench.pattern(f"<< /PatternType 2 /Shading {shading} >>")
    assert [stop.rgb for stop in paint.stops] == [(1, 0, 0), (0, 0, 1), (0, 1, 0)]
    assert [stop.rgb for stop in bench.shading(shading).paint.stops] == [(1, 0, 0), (0, 0, 1)]
    assert bench.context.notes == []


def test_a_shading_pattern_with_a_graphics_state_is_noted(bench):
    bench.pattern(f"<< /PatternType 2 /Shading {AXIAL} /ExtGState << >> >>")
    assert bench.said(NoteKind.NOT_MODELLED) == ["pattern"]


def test_a_tiling_pattern(bench):
    entries = f"/PatternType 1 /PaintType 1 /Resources << /ColorSpace << /CS0 {SPOT} >> >>"
    paint = bench.pattern(bench.add(b"", entries))
    assert (paint.kind, paint.color) == (PaintKind.PATTERN, None)
    assert bench.said(NoteKind.NOT_MODELLED) == ["pattern"]
    assert bench.spots == [("Ferry Red", "separation")]


def test_an_uncoloured_tiling_pattern_is_painted_in_the_colour_given(bench):
    tile = bench.add(b"", "/PatternType 1 /PaintType 2")
    paint = bench.pattern(tile, bench.space(SPOT), 0.5)
    assert (paint.kind, paint.spot, paint.tint) == (PaintKind.PATTERN, "Ferry Red", 0.5)
    none = bench.pattern(tile, bench.space("[/Separation /None /DeviceGray 0]"), 1.0)
    assert none.kind is PaintKind.NONE


@pytest.mark.parametrize("text", ["<< /PatternType 3 >>", "7", "null"])
def test_broken_patterns(bench, text):
    assert bench.pattern(text).kind is PaintKind.UNKNOWN
    assert bench.said(NoteKind.FAULT) == ["pattern"]
