"""Real files against what headless Chromium measured; skipped where the corpus is not beside the project.

The measurements are those of the corpus's reference-svg.json.gz and the comparison is its own extents.py.
"""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from lxml import etree

from preflight.artwork.model import Artwork
from preflight.geometry.extents import object_boxes
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.svg.document import parse
from preflight.readers.svg.read import read

SHARED = Path(__file__).parents[4] / "shared"
REFERENCE = SHARED / "corpus" / "reference-svg.json.gz"

pytestmark = pytest.mark.skipif(not REFERENCE.exists(), reason="the corpus is not beside the project")

Box = tuple[float, ...]


def as_get_ctm_sees_it(data: bytes, reasons: tuple[str, ...]) -> bytes:
    """The file without what the reference's matrices leave out."""
    root = parse(data, Limits()).root
    for use in root.iter("{*}use") if USE_OFFSET in reasons else ():
        for name in ("x", "y"):
            use.attrib.pop(name, None)
    for symbol in root.iter("{*}symbol") if SYMBOL_BOX in reasons else ():
        symbol.attrib.pop("viewBox", None)
    for kept in list(root.iter("{*}defs", "{*}symbol")) if FROM_DEFS in reasons else ():
        kept.tag = kept.tag.rpartition("}")[0] + "}g"
    return etree.tostring(root)


def drawn(artwork: Artwork, hidden: bool = False, lone_points: bool = False) -> list[Box]:
    """Boxes of the paths that show, in mm; of all paths where ``hidden``; with lone movetos where asked."""
    outlines = artwork.outlines
    boxes = object_boxes(outlines)
    if lone_points:
        for index, start in zip(outlines.object_of_contour.tolist(), outlines.starts, strict=True):
            boxes[index, :2] = np.fmin(boxes[index, :2], start)
            boxes[index, 2:] = np.fmax(boxes[index, 2:], start)
    return [
        tuple(box)
        for box, one in zip(boxes.tolist(), artwork.objects, strict=True)
        if one.kind == "path" and (hidden or not one.hidden) and box[0] == box[0]
    ]


def as_the_reference_has_it(
    reasons: tuple[str, ...], data: bytes, name: str, wanted: list[Box]
) -> tuple[list[Box], list[Box]]:
    """What the reference says and what was read, with what sets them apart undone."""
    artwork = _read(as_get_ctm_sees_it(data, reasons), name)
    have = drawn(artwork, hidden=NOT_DISPLAYED in reasons, lone_points=LONE_MOVE in reasons)
    if FITTED in reasons:
        # In the file's own units nothing has to be fitted.
        view = [float(side) for side in REFERENCES[name]["vb"].split()]
        scale = view[2] / artwork.page.width
        have = [tuple(edge * scale + view[at % 2] for at, edge in enumerate(box)) for box in have]
        wanted = [tuple(shape["bbox"]) for shape in REFERENCES[name]["shapes"] if _counted(shape)]
    if ANIMATED in reasons:
        assert any(note.what.startswith("animate") for note in artwork.notes)
        return [_size(box) for box in wanted], [_size(box) for box in have]
    return wanted, have


def _counted(shape: dict[str, Any]) -> bool:
    """As in extents.py."""
    x0, y0, x1, y1 = shape["bbox"]
    return shape["exact"] is True and shape["tag"] not in ("image", "text") and (x1, y1) != (x0, y0)


def _size(box: Box) -> Box:
    return 0.0, 0.0, box[2] - box[0], box[3] - box[1]


def _read(data: bytes, name: str) -> Artwork:
    return read(data, name, Limits(), None)[0]


USE_OFFSET = (
    "the reference leaves out x and y of <use>: getCTM does; SVG 2, 5.6 adds them, and Chromium's screen too"
)
SYMBOL_BOX = "the reference leaves out what a symbol's viewBox does: getCTM does; SVG 2, 5.5 and Chromium's screen do not"
FROM_DEFS = "the reference lists, besides, what a <use> inside <defs> would draw if it were drawn"
FITTED = "no stated size: the comparison fits one scale to all shapes, and one that the reference leaves out moves it"
LONE_MOVE = "a path ends with a lone moveto, which Chromium takes into its box; it draws nothing"
NOT_DISPLAYED = "the reference lists shapes inside display='none'"
ANIMATED = "an animation had moved the shapes; ours is the drawing without it, with a note"
# Chromium's screen sides with ours in all of them: photographs in tests/published/test_corpus_on_screen.py, element by element,
# and in test_chromium_ink.py.

EXPLAINED = {
    "svg/art/bybas-weather-icons__dust.svg": (ANIMATED,),
    "svg/art/devicon__blender-original-wordmark.svg": (USE_OFFSET,),
    "svg/art/flag-icons__eac.svg": (LONE_MOVE,),
    "svg/art/openclipart-svg__blokken_arjen_meijer_01.svg": (USE_OFFSET, FROM_DEFS),
    "svg/art/openclipart-svg__shield_matt_todd_02.svg": (NOT_DISPLAYED,),
    "svg/art/openmoji__E347.svg": (FITTED,),
    "svg/art/pathfinder__julius-caesar.svg": (USE_OFFSET,),
    "svg/art/svg-country-flags__br.svg": (USE_OFFSET, FROM_DEFS, FITTED),
    "svg/resvg/line__no-coordinates.svg": (FITTED,),
    "svg/resvg/svg__elements-via-ENTITY-reference-3.svg": (USE_OFFSET,),
    "svg/resvg/symbol__with-transform.svg": (FITTED,),
    "svg/resvg/symbol__with-viewBox-and-custom-use-size.svg": (SYMBOL_BOX, FITTED),
    "svg/resvg/use__simple-case.svg": (USE_OFFSET,),
    "svg/resvg/use__xlink-to-svg-element-with-x-y-on-use.svg": (USE_OFFSET,),
    "svg/w3c/solidColor2.svg": (USE_OFFSET,),
    "svg/w3c/struct-cond-overview-02-f.svg": (USE_OFFSET,),
    "svg/w3c/struct-use-01-t.svg": (USE_OFFSET,),
}


def measured() -> dict[str, Any]:
    if not REFERENCE.exists():
        return {}
    found: dict[str, Any] = json.loads(gzip.decompress(REFERENCE.read_bytes()))
    return found


REFERENCES = measured()


def _refused_or_noted(path: Path) -> bool:
    try:
        return bool(read(path.read_bytes(), path.name, Limits(), path.parent)[0].notes)
    except Unreadable:
        return True


@pytest.mark.parametrize("name", sorted(REFERENCES))
def test_extents(name: str, extents_tool: ModuleType) -> None:
    reference = REFERENCES[name]
    path = SHARED / "corpus" / name
    if "shapes" not in reference:
        # A browser shows nothing of it, so it is refused or something is said.
        assert _refused_or_noted(path)
        return
    data = path.read_bytes()
    artwork = read(data, name, Limits(), path.parent)[0]
    wanted = extents_tool.expected_svg(reference)
    have = drawn(artwork)
    tolerance = 0.01 + 1e-4 * max(artwork.page.width, artwork.page.height)
    met, lost = extents_tool.match(wanted, have, tolerance)
    if lost and have and not extents_tool.stated_size(path):
        met = max(met, extents_tool.match(extents_tool.rescaled(wanted, have), have, tolerance)[0])
    if name not in EXPLAINED:
        assert met == len(wanted)
        return
    assert met < len(wanted), "explained, but it agrees: take it off the list"
    wanted, have = as_the_reference_has_it(EXPLAINED[name], data, name, wanted)
    assert wanted
    met, lost = extents_tool.match(wanted, have, tolerance)
    if lost and have and not extents_tool.stated_size(path):
        met = max(met, extents_tool.match(extents_tool.rescaled(wanted, have), have, tolerance)[0])
    assert met == len(wanted), "the reason given does not explain it"
