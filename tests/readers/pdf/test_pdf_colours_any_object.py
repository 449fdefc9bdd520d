"""Whatever objects stand where colours, shadings and functions belong: an answer, and no exception but the one promised."""

from __future__ import annotations

import pikepdf
from colour_bench import Bench
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.artwork.model import PaintKind
from preflight.readers.pdf.document.values import entry
from preflight.readers.pdf.functions.reading import FunctionError, function_of

EXAMPLES = 60
NAMES = [
    *(
        "DeviceGray",
        "DeviceRGB",
        "DeviceCMYK",
        "CalGray",
        "CalRGB",
        "Lab",
        "ICCBased",
        "Indexed",
        "I",
        "Pattern",
    ),
    *("Separation", "DeviceN", "NChannel", "All", "None", "Black", "Tea", "CalCMYK", "CS0", "CS1", "G"),
]
KEYS = [
    *("FunctionType", "Domain", "Range", "C0", "C1", "N", "Functions", "Bounds", "Encode", "Decode", "Size"),
    *(
        "BitsPerSample",
        "Order",
        "WhitePoint",
        "Gamma",
        "Matrix",
        "Alternate",
        "Colorants",
        "Process",
        "Components",
    ),
    *(
        "Subtype",
        "MixingHints",
        "Solidities",
        "PrintingOrder",
        "ShadingType",
        "ColorSpace",
        "Coords",
        "Extend",
    ),
    *(
        "Function",
        "BBox",
        "Background",
        "PatternType",
        "PaintType",
        "Shading",
        "Resources",
        "BitsPerCoordinate",
    ),
    *("BitsPerComponent", "BitsPerFlag", "VerticesPerRow", "ExtGState", "Tea", "Black"),
]
numbers = st.sampled_from(
    ["-1", "0", "0.5", *map(str, range(1, 9)), "12", "16", "255", "1000000000", "-0.000001"]
)
words = st.sampled_from(NAMES).map(lambda name: f"/{name}")
simple = numbers | words
simple |= st.sampled_from(
    ["true", "null", "(table)", "[0 1]", "[0 1 0 1]", "[0 1 0 1 0 1]", "[0.9642 1 0.8249]", "/STREAM0"]
)


def arrays(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.lists(inner, max_size=6).map(lambda items: f"[{' '.join(items)}]")


def entries(inner: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, str]]:
    return st.dictionaries(st.sampled_from(KEYS), inner, max_size=8)


def written(found: dict[str, str], **fixed: str) -> str:
    return "<< " + " ".join(f"/{key} {value}" for key, value in {**found, **fixed}.items()) + " >>"


objects = st.recursive(simple, lambda inner: arrays(inner) | entries(inner).map(written), max_leaves=25)
functions = objects | st.builds(
    lambda kind, rest: written(rest, FunctionType=str(kind), Domain="[0 1]", Range="[0 1 0 1 0 1]"),
    st.integers(0, 4),
    entries(objects),
)
spaces = st.one_of(
    objects,
    st.builds(
        lambda family, parts: f"[/{family} {' '.join(parts)}]",
        st.sampled_from(NAMES),
        st.lists(objects | functions | arrays(words), max_size=4),
    ),
    st.builds(
        lambda names, transform, tail: f"[/DeviceN {names} /DeviceRGB {transform} {written(tail)}]",
        arrays(words),
        functions,
        entries(objects),
    ),
)
shadings = objects | st.builds(
    lambda kind, space, function, coords, rest: written(
        rest, ShadingType=str(kind), ColorSpace=space, Function=function, Coords=coords
    ),
    st.integers(0, 8),
    spaces,
    functions,
    arrays(numbers),
    entries(objects),
)
data = st.one_of(st.binary(max_size=200), st.sampled_from([b"{ dup dup }", b"{ 0 div }", b"{ pop 1 1 1 }"]))
values = st.lists(st.floats(-2, 300), max_size=5)


def fill(bench: Bench, raw: bytes, text: str) -> object:
    """Give the bench its one stream: these bytes, and the entries of a dictionary."""
    bench.add(raw, "")
    value = bench.object(text)
    if isinstance(value, pikepdf.Dictionary):
        for key, item in value.items():
            if item is not None:
                bench.streams[0][key] = item
    return value


@settings(max_examples=EXAMPLES)
@given(spaces, functions, data, values)
def test_any_colour_space(text, function, raw, colour):
    bench = Bench()
    fill(bench, raw, function)
    space = bench.space(text, bench.resources(f"/CS0 {text} /CS1 /CS0 /DefaultRGB {text}"))
    assert len(space.initial) == space.components
    for paint in (space.paint(space.initial), space.paint(colour)):
        assert isinstance(paint.kind, PaintKind)
        assert all(0 <= tint <= 1 for _, tint in paint.inks)
    assert all(spot.name != "None" for spot in space.spots())
    bench.pattern("<< /PatternType 1 /PaintType 2 >>", space, *colour)


@settings(max_examples=EXAMPLES)
@given(shadings, functions, data)
def test_any_shading(text, function, raw):
    bench = Bench()
    fill(bench, raw, function)
    shading = bench.shading(text)
    assert shading.box[0] <= shading.box[2]
    assert shading.box[1] <= shading.box[3]
    bench.pattern(f"<< /PatternType 2 /Shading {text} >>")


@settings(max_examples=EXAMPLES)
@given(functions, data, st.lists(st.floats(-2, 2), min_size=1, max_size=2))
def test_any_function(text, raw, given_):
    bench = Bench()
    target = fill(bench, raw, text)
    if entry(target, "/FunctionType") in (0, 4):
        target = bench.streams[0]
    try:
        function = function_of(target, bench.context.streams)
        found = function([given_] if len(given_) == function.inputs else [[0.5] * function.inputs])
    except FunctionError:
        return
    assert found.shape == (1, function.outputs)
