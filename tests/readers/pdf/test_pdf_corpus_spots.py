"""Real files with named colours: every name is found, every definition read or its damage said."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from preflight.artwork.model import NoteKind
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.colours.shadings import pattern_paint, shading_of
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.streams import Streams

CORPUS = Path(__file__).parents[4] / "shared" / "corpus" / "pdf"
FILES = (
    sorted(CORPUS.glob("spot/*")) + sorted(CORPUS.glob("general/*.pdf")) + sorted(CORPUS.glob("layers/*.pdf"))
)
FAMILIES = {"/Separation", "/DeviceN", "/ICCBased", "/Indexed", "/Lab", "/CalRGB", "/CalGray"}
UNREAD = {
    # Its tint transform's program leaves two numbers where four belong, and has no colorant but Black.
    "pdfium-in__bug_981347.pdf": {"tint transform"},
    # An exponential function, which takes one number, for 3277 inks.
    "pdfium__bug_555784.pdf": {"tint transform"},
    # Programs that leave three numbers for DeviceCMYK's four.
    "veraPDF-corpus__veraPDF_test_suite_6-2-4-4-t01-fail-a.pdf": {"tint transform"},
    "veraPDF-corpus__veraPDF_test_suite_6-2-4-4-t01-fail-b.pdf": {"tint transform"},
}

pytestmark = pytest.mark.skipif(not FILES, reason="the corpus is not beside the project")


def parts(value: Any) -> Iterator[Any]:
    """An object and the direct objects inside it."""
    yield value
    if isinstance(value, pikepdf.Array):
        inside = list(value)
    elif isinstance(value, pikepdf.Stream):
        inside = list(value.stream_dict.as_dict().values())
    elif isinstance(value, pikepdf.Dictionary):
        inside = list(value.as_dict().values())
    else:
        return
    for item in inside:
        if isinstance(item, (pikepdf.Array, pikepdf.Dictionary)) and not item.is_indirect:
            yield from parts(item)


def family(value: Any) -> str:
    named = isinstance(value, pikepdf.Array) and len(value) > 1 and isinstance(value[0], pikepdf.Name)
    return str(value[0]) if named else ""


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_named_colour_is_found(path):
    with pikepdf.open(path) as pdf:
        limits, deadline = Limits(), Deadline(60)
        context = Context(pdf, 1, limits, deadline, Streams(limits, deadline))
        colours = Colours(context)
        names: set[str] = set()
        for value in (part for whole in pdf.objects for part in parts(whole)):
            kind = family(value)
            if kind in FAMILIES and len(value) >= (
                4 if kind in ("/Separation", "/DeviceN", "/Indexed") else 2
            ):
                space = colours.space_of(value, None)
                assert len(space.initial) == space.components
                space.paint(space.initial)
                inks = [value[1]] if kind == "/Separation" else list(value[1]) if kind == "/DeviceN" else []
                names |= {str(ink)[1:] for ink in inks}
            elif isinstance(value, (pikepdf.Dictionary, pikepdf.Stream)):
                if "/ShadingType" in value:
                    shading_of(value, None, colours)
                if "/PatternType" in value:
                    pattern_paint(value, None, colours)
        assert {spot.name for spot in colours.spots} == names - {"None"}
        faults = {note.what for note in context.notes if note.kind is NoteKind.FAULT}
        assert faults == UNREAD.get(path.name, set())
