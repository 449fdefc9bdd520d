"""Objects of one look: told apart by all that a look is made of, whatever is added to the model."""

from __future__ import annotations

import msgspec
import pytest

from preflight.artwork import NO_PAINT, Color, Kind, Object, Origin, Paint, PaintKind, Raster, Stroke
from preflight.job.looks import Looks

RED = Paint(PaintKind.COLOR, Color((1.0, 0.0, 0.0)))
PLAIN = Object(Kind.PATH, Origin("a"), fill=RED)

NO_PART_OF_IT = {
    "origin": Origin("b"),
    "name": "Ferry",
    "clip": 0,
    "placed_size": (1.0, 2.0),
    "linked": "quay.png",
    "text": "Tea",
    "font_size": 3.0,
    "font": "Quay Sans",
    "font_held": True,
}
PART_OF_IT = {
    "kind": Kind.IMAGE,
    "layer": 2,
    "classes": ("blue",),
    "fill": NO_PAINT,
    "fill_rule": "evenodd",
    "fill_opacity": 0.5,
    "stroke": Stroke(RED, 1.0),
    "opacity": 0.5,
    "blend": "multiply",
    "overprint": True,
    "overprint_mode": 1,
    "clipped_away": True,
    "effect": "mask",
    "groups": (1,),
    "boxed": True,
    "hidden": "display",
    "broken": "path error",
    "pixel_size": (4, 4),
    "raster": Raster("srgb", 8),
    "waive": ("line-thin: meant",),
    "absent": "It is not there.",
}


def test_each_field_of_an_object_is_part_of_its_look_or_not() -> None:
    assert {field.name for field in msgspec.structs.fields(Object)} == {*NO_PART_OF_IT, *PART_OF_IT}


@pytest.mark.parametrize("name", NO_PART_OF_IT)
def test_what_is_no_part_of_a_look_tells_no_objects_apart(name: str) -> None:
    other = msgspec.structs.replace(PLAIN, **{name: NO_PART_OF_IT[name]})
    assert Looks.among([PLAIN, other]).of.tolist() == [0, 0]


@pytest.mark.parametrize("name", PART_OF_IT)
def test_what_is_part_of_a_look_tells_objects_apart(name: str) -> None:
    other = msgspec.structs.replace(PLAIN, **{name: PART_OF_IT[name]})
    looks = Looks.among([PLAIN, other, PLAIN])
    assert looks.of.tolist() == [0, 1, 0]
    assert looks.samples == (PLAIN, other)


def test_what_is_asked_of_a_look_is_told_of_each_of_its_objects() -> None:
    line = msgspec.structs.replace(PLAIN, fill=NO_PAINT, stroke=Stroke(RED, 0.5))
    looks = Looks.among([line, PLAIN, PLAIN, line])
    asked: list[Object] = []

    def filled(drawn: Object) -> bool:
        asked.append(drawn)
        return drawn.fill.paints

    assert looks.flags(filled).tolist() == [False, True, True, False]
    assert asked == [line, PLAIN]
    assert looks.numbers(lambda drawn: drawn.stroke.width).tolist() == [0.5, 0.0, 0.0, 0.5]


def _filled(rgb: tuple[float, float, float], **other: object) -> Object:
    paint = msgspec.structs.replace(Paint(PaintKind.COLOR, Color(rgb)), **other)
    return msgspec.structs.replace(PLAIN, fill=paint)


def test_looks_that_differ_in_the_colour_of_a_fill_are_of_one_shade() -> None:
    blue, green = _filled((0.0, 0.1, 0.9)), _filled((0.2, 0.8, 0.1))
    looks = Looks.among([PLAIN, blue, green, PLAIN])
    assert looks.of.tolist() == [0, 1, 2, 0]
    assert looks.shade_of.tolist() == [0, 0, 0, 0]
    assert looks.shades == (PLAIN,)
    named = looks.with_names([PLAIN, blue, green, msgspec.structs.replace(PLAIN, name="Ferry")])
    assert named.of.tolist() == [0, 1, 2, 3]
    assert named.shade_of.tolist() == [0, 0, 0, 0]


@pytest.mark.parametrize(
    "other",
    [
        _filled((1.0, 1.0, 0.999)),
        _filled((0.0, 0.0, 0.0), spot="Quay"),
        _filled((0.0, 0.0, 0.0), inks=(("Quay", 1.0),)),
        _filled((0.0, 0.0, 0.0), color=Color((0.0, 0.0, 0.0), 0.5)),
        _filled((0.0, 0.0, 0.0), color=Color((0.0, 0.0, 0.0), 1.0, "device-cmyk", (0.0, 0.0, 0.0, 1.0))),
        _filled((0.0, 0.0, 0.0), kind=PaintKind.PATTERN),
        msgspec.structs.replace(PLAIN, fill=Paint(PaintKind.COLOR)),
        msgspec.structs.replace(PLAIN, fill=NO_PAINT),
        *(
            msgspec.structs.replace(PLAIN, **{name: value})
            for name, value in PART_OF_IT.items()
            if name != "fill"
        ),
    ],
)
def test_whatever_else_differs_tells_shades_apart(other: Object) -> None:
    assert Looks.among([PLAIN, other]).shade_of.tolist() == [0, 1]


def test_a_stroke_keeps_the_colour_of_the_fill_it_goes_round() -> None:
    objects = [
        msgspec.structs.replace(drawn, stroke=PART_OF_IT["stroke"])
        for drawn in (PLAIN, _filled((0.0, 0.1, 0.9)))
    ]
    assert Looks.among(objects).shade_of.tolist() == [0, 1]


def test_names_tell_objects_of_one_look_apart_where_that_is_asked() -> None:
    named, other = (msgspec.structs.replace(PLAIN, name=name) for name in ("Ferry", "Quay"))
    objects = [PLAIN, named, other, named, PLAIN]
    assert Looks.among(objects).of.tolist() == [0, 0, 0, 0, 0]
    looks = Looks.among(objects).with_names(objects)
    assert looks.of.tolist() == [0, 1, 2, 1, 0]
    assert looks.samples == (PLAIN, named, other)


def test_a_page_without_objects_has_no_looks() -> None:
    looks = Looks.among([])
    assert looks.samples == looks.shades == ()
    assert looks.flags(lambda drawn: True).tolist() == []
    assert looks.with_names([]).samples == ()
