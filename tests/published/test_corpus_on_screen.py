"""Where the corpus's reference and our reading part: what Chromium paints on its screen, element by element.

The reference was made from `getBBox` and `getCTM`, which leave out x and y of `<use>` and what a symbol's viewBox does. Here each
element of these files that draws is left alone on its page, in plain red, with a hairline for what has no area, without clip and
animation, and photographed. Source of the expected values: the photograph taken in this run. Skipped where the corpus is not beside
the project.
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from lxml import etree
from photographs import photographed

from preflight.geometry.extents import object_boxes
from preflight.readers.limits import Limits
from preflight.readers.svg.document import parse
from preflight.readers.svg.read import read

CORPUS = Path(__file__).parents[3] / "shared" / "corpus"
PX = 96 / 25.4
LONGEST = 900
"""Pixels of the longer side of a photograph."""
TOLERANCE = 1.5
"""Pixels: a pixel is ink as soon as any of it is, on either side."""
MOST = 12, 60
"""`<use>` and other elements of one file that are looked at, from all over it."""
SVG = "{http://www.w3.org/2000/svg}"
APART = {"defs", "symbol", "clipPath", "mask", "marker", "pattern"}
DRAWS = {
    "use",
    "path",
    "rect",
    "circle",
    "ellipse",
    "line",
    "polyline",
    "polygon",
    "text",
    "image",
    "foreignObject",
}
PLAIN = (
    "*{fill:#f00!important;fill-opacity:1!important;stroke:#f00!important;stroke-opacity:1!important;stroke-dasharray:none!important;"
    "stroke-linecap:butt!important;vector-effect:non-scaling-stroke!important;opacity:1!important;clip-path:none!important;"
    "mask:none!important;filter:none!important;mix-blend-mode:normal!important;overflow:visible!important}text,image{display:none!important}"
)
FILES = {
    # How many of the elements looked at the screen shows elsewhere than without x and y of <use> and viewBox of <symbol>.
    "art/bybas-weather-icons__dust.svg": 0,
    "art/devicon__blender-original-wordmark.svg": 1,
    "art/flag-icons__eac.svg": 0,
    "art/openclipart-svg__blokken_arjen_meijer_01.svg": 11,
    "art/openclipart-svg__shield_matt_todd_02.svg": 0,
    "art/openmoji__E347.svg": 0,
    "art/pathfinder__julius-caesar.svg": 12,
    "art/svg-country-flags__br.svg": 12,
    "resvg/line__no-coordinates.svg": 0,
    "resvg/svg__elements-via-ENTITY-reference-3.svg": 2,
    "resvg/symbol__with-transform.svg": 0,
    "resvg/symbol__with-viewBox-and-custom-use-size.svg": 1,
    "resvg/use__simple-case.svg": 1,
    "resvg/use__xlink-to-svg-element-with-x-y-on-use.svg": 1,
    "w3c/solidColor2.svg": 3,
    "w3c/struct-cond-overview-02-f.svg": 1,
    "w3c/struct-use-01-t.svg": 8,
}

Box = tuple[float, ...]


def _name(element: Any) -> str:
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _drawing(root: Any) -> list[Any]:
    """Elements on the page that draw by themselves."""
    return [
        one
        for one in root.iter()
        if _name(one) in DRAWS and not any(_name(above) in APART for above in one.iterancestors())
    ]


def _targets(root: Any) -> set[Any]:
    """Elements that a `<use>` draws."""
    named = {
        address.removeprefix("#")
        for use in root.iter("{*}use")
        for address in (use.get("href"), use.get("{http://www.w3.org/1999/xlink}href"))
        if address
    }
    return {one for one in root.iter() if one.get("id") in named}


def _alone(root: Any, number: int, size: tuple[float, float], density: float) -> bytes:
    """The document with one of its drawing elements left on the page; the others stay where a `<use>` finds them."""
    copy = deepcopy(root)
    drawing, targets = _drawing(copy), _targets(copy)
    wanted = set(drawing[number].iterancestors()) | {drawing[number]}
    for one in drawing:
        # What a <use> draws goes as a whole, or there would be nothing left in it to draw.
        whole = next((above for above in reversed([one, *one.iterancestors()]) if above in targets), one)
        for gone in (whole, one):
            if gone not in wanted and not any(_name(above) in APART for above in gone.iterancestors()):
                home = gone.getparent()
                at = home.index(gone)
                home[at] = kept = etree.Element(f"{SVG}defs")
                kept.append(gone)
    style = etree.SubElement(copy, f"{SVG}style")
    style.text = f"{PLAIN}*{{stroke-width:{0.2 / density}px!important}}"
    for moving in [one for one in copy.iter() if _name(one).startswith(("animate", "set"))]:
        moving.getparent().remove(moving)
    copy.set("width", repr(size[0]))
    copy.set("height", repr(size[1]))
    return etree.tostring(copy)


def _box_seen(page: Any, file: Path, density: float) -> Box | None:
    page.goto(file.as_uri())
    pixels = photographed(page)
    rows, columns = np.nonzero(pixels[..., 1] < 250)
    if not len(rows):
        return None
    return tuple(
        (np.array([columns.min(), rows.min(), columns.max() + 1, rows.max() + 1]) / density).tolist()
    )


def _ours(data: bytes, size: tuple[float, float]) -> Box | None:
    artwork = read(data, "a.svg", Limits(), None)[0]
    boxes = [
        box
        for box, one in zip(object_boxes(artwork.outlines) * PX, artwork.objects, strict=True)
        if one.drawn and one.fill.paints and one.kind == "path" and np.isfinite(box).all()
    ]
    if not boxes:
        return None
    low = np.maximum(np.min(boxes, axis=0)[:2], 0.0)
    high = np.minimum(np.max(boxes, axis=0)[2:], size)
    return (*low.tolist(), *high.tolist()) if (high >= low).all() and (high > low).any() else None


def _without_offsets(data: bytes) -> bytes:
    """The same as `getCTM` sees it."""
    root = parse(data, Limits()).root
    for use in root.iter("{*}use"):
        for name in ("x", "y"):
            use.attrib.pop(name, None)
    for symbol in root.iter("{*}symbol"):
        symbol.attrib.pop("viewBox", None)
    return etree.tostring(root)


@pytest.fixture(scope="module")
def pages(chromium: Any) -> Iterator[Any]:
    def opened(size: tuple[float, float], density: float) -> Any:
        viewport = {"width": int(np.ceil(size[0])), "height": int(np.ceil(size[1]))}
        made.append(chromium.new_page(viewport=viewport, device_scale_factor=density))
        return made[-1]

    made: list[Any] = []
    yield opened
    for page in made:
        page.close()


def figures(name: str, pages: Any, folder: Path) -> list[tuple[Box | None, Box | None, Box | None]]:
    """For each element looked at: the photograph's box, ours, and ours as `getCTM` has it; pixels of the page."""
    data = (CORPUS / "svg" / name).read_bytes()
    root = parse(data, Limits()).root
    page = read(data, name, Limits(), None)[0].page
    size = round(page.width * PX, 6), round(page.height * PX, 6)
    density = LONGEST / max(size)
    browser = pages(size, density)
    elements = _drawing(root)
    uses = [number for number, one in enumerate(elements) if _name(one) == "use"]
    others = [number for number in range(len(elements)) if number not in uses]
    chosen = [
        asked[int(at)]
        for asked, most in zip((uses, others), MOST, strict=True)
        for at in np.linspace(0, len(asked) - 1, min(most, len(asked)))
    ]
    found = []
    for number in chosen:
        alone = _alone(root, number, size, density)
        file = folder / "alone.svg"
        file.write_bytes(alone)
        photograph = _box_seen(browser, file, density)
        found.append((photograph, _ours(alone, size), _ours(_without_offsets(alone), size)))
    return [tuple(None if box is None else tuple(np.array(box) * density) for box in row) for row in found]


@pytest.mark.browser
@pytest.mark.skipif(not CORPUS.exists(), reason="the corpus is not beside the project")
@pytest.mark.parametrize(("name", "left_out"), FILES.items())
def test_ours_is_what_the_screen_shows(name: str, left_out: int, pages: Any, tmp_path: Path) -> None:
    found = figures(name, pages, tmp_path)
    assert any(photograph is not None for photograph, _, _ in found)
    for photograph, ours, _ in found:
        assert (photograph is None) == (ours is None)
        if photograph is not None:
            assert ours == pytest.approx(photograph, abs=TOLERANCE)
    assert sum(_apart(photograph, other) for photograph, _, other in found) == left_out


def _apart(photograph: Box | None, other: Box | None) -> bool:
    if photograph is None or other is None:
        return photograph is not other
    return bool(np.abs(np.array(photograph) - other).max() > TOLERANCE)
