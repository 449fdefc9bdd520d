"""Where ink lands, against headless Chromium: markers, viewports, `<use>`, clips, styles, transforms by CSS.

Neither `getBBox` nor `getCTM` answers for a marker or for what a `<use>` draws, so each case is drawn in its own
colours, photographed at eight pixels to the unit, and the box of each colour is compared with ours.
Source of the expected values: the photograph taken in this run. Left out, because Chromium leaves the standard:
percentages for refX (SVG 2, 13.7.1), a marker of no width that is to show all the same, both markers on a path of one
point, and the box of a `<use>`, which Chromium takes without its x and y.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from photographs import photographed

from preflight.artwork.model import Artwork
from preflight.geometry.extents import object_boxes
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read

pytestmark = pytest.mark.browser

SIDE, DENSITY = 100, 8
"""User units along each side of a case, and pixels to the unit."""
TOLERANCE = 2 / DENSITY
"""A pixel is ink from half cover on, and the corner of a turned square loses one more."""

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100" viewBox="0 0 100 100"{}>'
# A bar off its middle, so that a wrong turn shows; one for each position, side by side where they meet.
ARROWS = "".join(
    f'<marker id="{name}" orient="auto" overflow="visible"><path fill="{color}" d="M-1 {y}h6v2h-6z"/></marker>'
    for name, color, y in (("s", "red", -4), ("m", "lime", -1), ("e", "blue", 2))
)
ALL = 'marker-start="url(#s)" marker-mid="url(#m)" marker-end="url(#e)" fill="none"'


def marker(attributes: str, inside: str = '<path fill="red" d="M0 0h4v2h-4z"/>') -> str:
    return f'<marker id="k" {attributes}>{inside}</marker><path d="M50 50h10" marker-start="url(#k)"/>'


MARKERS = {
    "open polyline": f'{ARROWS}<polyline points="20 20 50 20 50 60" {ALL}/>',
    "polygon": f'{ARROWS}<polygon points="20 20 70 20 70 60" {ALL}/>',
    "line": f'{ARROWS}<line x1="20" y1="30" x2="70" y2="60" {ALL}/>',
    "curves": f'{ARROWS}<path d="M20 20C20 50 50 50 50 30" {ALL}/>',
    "quadratic": f'{ARROWS}<path d="M20 20Q30 70 70 50T90 80" {ALL}/>',
    "handle on its end": f'{ARROWS}<path d="M20 20C20 20 50 50 50 20" {ALL}/>',
    "handle on its other end": f'{ARROWS}<path d="M20 20C40 60 60 30 60 30" {ALL}/>',
    "arc": f'{ARROWS}<path d="M20 50A30 20 30 0 1 80 50" {ALL}/>',
    "arc of no radius": f'{ARROWS}<path d="M20 50A0 20 30 0 1 80 50h5" {ALL}/>',
    "closed": f'{ARROWS}<path d="M20 20H70V70z" {ALL}/>',
    "closed and on": f'{ARROWS}<path d="M20 20H50V50zL20 80" {ALL}/>',
    "closed, then another": f'{ARROWS}<path d="M20 20H50V50zM70 60h20v20" {ALL}/>',
    "two open": f'{ARROWS}<path d="M20 20H50M60 70v20" {ALL}/>',
    "right back": f'{ARROWS}<path d="M20 50H60H40" {ALL}/>',
    "left back": f'{ARROWS}<path d="M80 50H40H60" {ALL}/>',
    "down and back": f'{ARROWS}<path d="M50 80V40V60" {ALL}/>',
    "aslant and back": f'{ARROWS}<path d="M20 60L60 20L40 40" {ALL}/>',
    "up and back": f'{ARROWS}<path d="M50 20V60V40" {ALL}/>',
    # Which way a lone moveto runs the standard leaves open, so its marker here keeps to a fixed angle.
    "ends on a moveto": ARROWS.replace("auto", "0") + f'<path d="M20 20L50 50M80 20" {ALL}/>',
    "breaks off": f'{ARROWS}<path d="M20 20L50 50L80" {ALL}/>',
    "in a scaled group": f'{ARROWS}<g transform="scale(2 1)"><path d="M10 20L25 50" {ALL}/></g>',
    "stroke width": f'{ARROWS}<path stroke-width="2" d="M20 20L60 50" {ALL}/>',
    "inherited from a group": f'{ARROWS}<g {ALL}><path d="M20 20h30"/></g>',
    "by style": f'{ARROWS}<path style="marker:url(#m)" fill="none" d="M20 20h30v30"/>',
    "not on a rectangle": f'{ARROWS}<rect x="20" y="20" width="30" height="20" {ALL}/>',
    "turned round at the start": ARROWS.replace('"auto"', '"auto-start-reverse"')
    + f'<path d="M20 50H60V80" {ALL}/>',
    "fixed angle": marker('orient="30" overflow="visible"'),
    "angle with unit": marker('orient="0.25turn" overflow="visible"'),
    "no angle": marker('overflow="visible"'),
    "clipped": marker('markerWidth="2" markerHeight="1"'),
    "clipped with reference": marker('markerWidth="3" markerHeight="4" refX="1" refY="-1"'),
    "user space": marker('markerUnits="userSpaceOnUse" overflow="visible"').replace(
        "<path d=", '<path stroke-width="5" d='
    ),
    "view box": marker('markerWidth="20" markerHeight="10" viewBox="0 0 4 4"'),
    "view box, right": marker(
        'markerWidth="20" markerHeight="10" viewBox="-1 -1 5 5" preserveAspectRatio="xMaxYMin" refX="1" refY="1"'
    ),
    "view box, slice": marker(
        'markerWidth="20" markerHeight="8" viewBox="0 0 4 4" preserveAspectRatio="xMidYMax slice" refX="2" refY="3"'
    ),
    "view box, stretched": marker(
        'markerWidth="20" markerHeight="8" viewBox="0 0 4 4" preserveAspectRatio="none" refX="2" refY="1"'
    ),
    "colours of the line": '<marker id="k" overflow="visible"><path fill="context-stroke" d="M0 0h4v2h-4z"/>'
    '<path fill="context-fill" d="M0 5h4v2h-4z"/></marker>'
    '<path fill="lime" stroke="blue" stroke-opacity="0" fill-opacity="0" d="M30 30h10" marker-end="url(#k)"/>',
    "colour of the marker's own surroundings": '<g fill="red"><marker id="k" overflow="visible">'
    '<path d="M0 0h4v2h-4z"/></marker></g><path fill="blue" d="M30 30h10" marker-end="url(#k)"/>',
    "in a group that is not displayed": '<g display="none"><marker id="k" overflow="visible">'
    '<path fill="red" d="M0 0h4v2h-4z"/></marker></g><path d="M30 30h10" marker-end="url(#k)"/>',
    "not displayed itself": marker('display="none" overflow="visible"'),
    "on a hidden line": marker('overflow="visible"').replace("<path d=", '<path visibility="hidden" d='),
    "through use": f'{ARROWS}<defs><path id="p" d="M10 10h20v20" {ALL}/></defs><use href="#p" x="30" y="20"/>',
    "on a line in a marker": f'{ARROWS}<marker id="k" overflow="visible"><path fill="none" d="M0 0h20v20" '
    'marker-end="url(#e)"/></marker><path d="M30 30h10" marker-start="url(#k)"/>',
    "in a circle": '<marker id="k" overflow="visible"><path fill="red" d="M0 0h4v2h-4z" marker-end="url(#k)"/>'
    '</marker><path d="M30 30h10" marker-start="url(#k)"/>',
}
SQUARE = '<rect width="10" height="10" fill="red"/>'
VIEWPORTS = {
    "nested": f'<svg x="10" y="20" width="50" height="30" viewBox="0 0 10 10">{SQUARE}</svg>',
    "nested, right, bottom": f'<svg x="10" y="20" width="50" height="30" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMax">{SQUARE}</svg>',
    "nested, slice": f'<svg x="10" y="20" width="50" height="30" viewBox="0 0 10 10" preserveAspectRatio="xMidYMax slice">{SQUARE}</svg>',
    "nested, slice, visible": f'<svg x="10" y="20" width="50" height="30" viewBox="0 0 10 10" overflow="visible" preserveAspectRatio="xMidYMax slice">{SQUARE}</svg>',
    "nested, stretched": f'<svg x="10" y="20" width="50" height="30" viewBox="2 2 10 10" preserveAspectRatio="none">{SQUARE}</svg>',
    "nested, clips": f'<svg x="10" y="20" width="5" height="30">{SQUARE}</svg>',
    "nested, clips turned": f'<g transform="rotate(90 50 50)"><svg x="10" y="20" width="5" height="30">{SQUARE}</svg></g>',
    "nested, no viewBox, percent": '<svg x="10%" y="10%" width="50%" height="20%"><rect x="50%" width="50%" height="100%" fill="red"/></svg>',
    "nested, with transform": f'<svg transform="translate(20 5) scale(2)" width="20" height="20">{SQUARE}</svg>',
    "symbol": f'<symbol id="a" viewBox="0 0 10 10">{SQUARE}</symbol><use href="#a" x="10" y="5" width="40" height="20"/>',
    "symbol, slice": f'<symbol id="a" viewBox="0 0 10 10" preserveAspectRatio="xMinYMin slice">{SQUARE}</symbol><use href="#a" x="10" y="5" width="40" height="20"/>',
    "symbol, no viewBox": f'<symbol id="a">{SQUARE}</symbol><use href="#a" x="10" y="5" width="40" height="5"/>',
    "symbol, no size": f'<symbol id="a" viewBox="0 0 20 10">{SQUARE}</symbol><use href="#a" x="10"/>',
    "symbol, visible": f'<symbol id="a" overflow="visible">{SQUARE}</symbol><use href="#a" x="10" y="5" width="40" height="5"/>',
    "symbol with transform": f'<symbol id="a" transform="scale(2)">{SQUARE}</symbol><use href="#a" x="10" y="5"/>',
    "symbol with a place of its own": f'<symbol id="a" x="20" y="30" width="5" height="5">{SQUARE}</symbol><use href="#a"/>',
    "symbol with a size of its own": f'<symbol id="a" width="20" height="8" viewBox="0 0 10 10">{SQUARE}</symbol><use href="#a" x="5" width="50"/>',
    "symbol of automatic size": f'<symbol id="a" width="auto" height="50%" viewBox="0 0 10 10">{SQUARE}</symbol><use href="#a" x="5"/>',
    "symbol with a reference point": f'<symbol id="a" viewBox="0 0 10 10" refX="5" refY="center">{SQUARE}</symbol><use href="#a" x="30" y="30" width="20" height="20"/>',
    "use": f'<defs><g id="a">{SQUARE}</g></defs><use href="#a" x="10" y="5" transform="rotate(90 30 30)"/>',
    "use of use": f'<defs><g id="a">{SQUARE}</g><use id="b" href="#a" x="7"/></defs><use href="#b" x="10" y="5"/>',
    "use of svg": f'<defs><svg id="a" x="3" y="4" width="10" height="10" viewBox="0 0 10 10">{SQUARE}</svg></defs><use href="#a" x="10" y="5" width="40" height="40"/>',
    "use moves what it shows": f'<g id="a">{SQUARE}</g><use href="#a" y="60"/>',
}
BAR = '<rect x="10" y="10" width="60" height="20" fill="red" clip-path="url(#c)"/>'
CLIPS = {
    "in user space": f'<clipPath id="c"><rect x="20" y="5" width="10" height="15"/></clipPath>{BAR}',
    "in the object's box": f'<clipPath id="c" clipPathUnits="objectBoundingBox"><rect x=".5" width=".25" height="1"/></clipPath>{BAR}',
    "in a group's box": '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect x=".5" width=".25" height="1"/></clipPath>'
    f'<g clip-path="url(#c)">{SQUARE}<rect x="80" y="20" width="10" height="10" fill="red"/><rect x="40" width="60" height="5" fill="lime"/></g>',
    "with a transform": f'<clipPath id="c" transform="translate(5 5)"><rect x="20" y="5" width="10" height="15" transform="scale(2 1)"/></clipPath>{BAR}',
    "clipped itself": f'<clipPath id="d"><rect width="25" height="99"/></clipPath><clipPath id="c" clip-path="url(#d)"><rect x="20" y="5" width="10" height="15"/></clipPath>{BAR}',
    "of clipped shapes": f'<clipPath id="d"><rect width="25" height="99"/></clipPath><clipPath id="c"><rect clip-path="url(#d)" x="20" y="5" width="10" height="15"/></clipPath>{BAR}',
    "of two shapes": f'<clipPath id="c"><rect x="20" y="5" width="5" height="15"/><rect x="40" y="15" width="5" height="5"/></clipPath>{BAR}',
    "by use": f'<defs><rect id="r" x="20" y="5" width="10" height="15"/></defs><clipPath id="c"><use href="#r" x="7"/></clipPath>{BAR}',
    "empty": f'<clipPath id="c"/>{BAR}',
    "hidden shape": f'<clipPath id="c"><rect visibility="hidden" width="99" height="99"/></clipPath>{BAR}',
    "in a moved group": f'<clipPath id="c"><rect x="20" y="5" width="10" height="15"/></clipPath><g transform="translate(10 20)">{BAR}</g>',
}
STYLES = {
    "geometry": '<circle style="cx:30px;cy:40px;r:10px" fill="red"/>',
    "path": "<path style=\"d:path('M10 10h20v20z')\" fill='red'/>",
    "percent": '<rect width="50%" height="25%" fill="red"/>',
    "of the font": '<g font-size="10"><rect width="2em" height="1em" fill="red"/></g>',
    "rounded beyond half": '<rect x="10" y="10" width="20" height="10" rx="50" fill="red"/>',
    "one radius": '<rect x="10" y="10" width="40" height="20" ry="5" fill="red"/>',
    "one radius of an ellipse": '<ellipse cx="40" cy="40" ry="10" fill="red"/>',
    "negative size": '<rect x="10" y="10" width="-20" height="10" fill="red"/>',
    "odd points": '<polygon points="10 10 30 10 30 30 5" fill="red"/>',
    "switch": f'<switch><g systemLanguage="fr"><rect width="50" height="50" fill="blue"/></g><g>{SQUARE}</g></switch>',
    "not displayed": f'<g display="none"><g display="inline">{SQUARE}</g></g>',
    "shown in the hidden": '<g visibility="hidden"><rect width="50" height="50" fill="blue"/><rect visibility="visible" width="9" height="9" fill="red"/></g>',
    "selectors": f'<style>g>rect:not(.b){{fill:lime}} .b{{fill:blue!important}}</style><g>{SQUARE}<rect class="b" x="30" width="9" height="9" style="fill:red"/></g>',
}
ROUND = '<rect x="20" y="30" width="20" height="10" fill="red" style="{}"/>'
TRANSFORMS = {
    "about the view box": ROUND.format("transform:rotate(90deg);transform-origin:50% 50%"),
    "about a corner by name": ROUND.format("transform:rotate(90deg);transform-origin:right 20px"),
    "about its own middle": ROUND.format(
        "transform:rotate(90deg);transform-box:fill-box;transform-origin:center"
    ),
    "about its own corner": ROUND.format("transform:rotate(90deg);transform-box:fill-box"),
    "percent of its own box": ROUND.format("transform:translate(50%,100%);transform-box:fill-box"),
    "group about its own middle": '<g style="transform:rotate(90deg);transform-box:fill-box;transform-origin:center">'
    '<rect x="20" y="30" width="20" height="10" fill="red"/><circle cx="70" cy="30" r="5" fill="lime"/></g>',
    "attribute about an attribute": '<rect x="20" y="30" width="20" height="10" fill="red" transform="rotate(90)" transform-origin="30 30"/>',
    "property before attribute": '<rect transform="scale(9)" style="transform:scale(2)" width="20" height="10" fill="red"/>',
    "single properties": ROUND.format("translate:10px 5px;rotate:90deg;scale:1.5;transform-origin:30px 35px"),
}
ROOTS = {
    "attribute": ' transform="rotate(90)"',
    "property": ' style="transform:scale(.5)"',
    "property about a corner": ' style="transform:scale(.5);transform-origin:0 0"',
    "moved": ' transform="translate(10 20)"',
}
CASES: list[tuple[str, str]] = [
    *((f"marker: {name}", HEAD.format("") + body) for name, body in MARKERS.items()),
    *((f"viewport: {name}", HEAD.format("") + body) for name, body in VIEWPORTS.items()),
    *((f"clip: {name}", HEAD.format("") + body) for name, body in CLIPS.items()),
    *((f"style: {name}", HEAD.format("") + body) for name, body in STYLES.items()),
    *((f"transform: {name}", HEAD.format("") + body) for name, body in TRANSFORMS.items()),
    *((f"root: {name}", HEAD.format(root) + ROUND.format("")) for name, root in ROOTS.items()),
]

Box = tuple[float, ...]
COLORS = {"red": (255, 0, 0), "lime": (0, 255, 0), "blue": (0, 0, 255)}


@pytest.fixture(scope="module")
def page(chromium: Any) -> Iterator[Any]:
    opened = chromium.new_page(viewport={"width": SIDE, "height": SIDE}, device_scale_factor=DENSITY)
    yield opened
    opened.close()


def _boxes_seen(page: Any, file: Path) -> dict[str, Box]:
    """Box of each colour in user units."""
    page.goto(file.as_uri())
    pixels = photographed(page)
    boxes = {}
    for name, color in COLORS.items():
        # Nearer to the colour than to white: half covered and more.
        off = np.abs(pixels - np.array(color)).sum(axis=2)
        rows, columns = np.nonzero((off < 255) & (off < np.abs(pixels - 255).sum(axis=2)))
        if len(rows):
            sides = columns.min(), rows.min(), columns.max() + 1, rows.max() + 1
            boxes[name] = tuple(float(side) / DENSITY for side in sides)
    return boxes


def _read(artwork: Artwork) -> dict[str, Box]:
    """The same of what was read: filled objects, cut off by their clips and the page."""
    found: dict[str, list[Box]] = {}
    clips = [object_boxes(clip) for clip in artwork.clips]
    for one, box in zip(artwork.objects, object_boxes(artwork.outlines), strict=True):
        color = one.fill.color
        if not one.drawn or color is None or one.fill_opacity == 0 or np.isnan(box).any():
            continue
        held = [
            box,
            *(clips[one.clip] if one.clip is not None else ()),
            np.array([0, 0, SIDE, SIDE]) * 25.4 / 96,
        ]
        x0, y0 = np.max([row[:2] for row in held], axis=0)
        x1, y1 = np.min([row[2:] for row in held], axis=0)
        name = next((name for name, rgb in COLORS.items() if np.allclose(np.array(rgb) / 255, color.rgb)), "")
        if x1 - x0 > 1e-6 and y1 - y0 > 1e-6 and name:
            found.setdefault(name, []).append((x0, y0, x1, y1))
    return {
        name: tuple((np.array([*np.min(boxes, axis=0)[:2], *np.max(boxes, axis=0)[2:]]) * 96 / 25.4).tolist())
        for name, boxes in found.items()
    }


@pytest.mark.parametrize(("name", "text"), CASES, ids=[name for name, _ in CASES])
def test_ink_lands_where_chromium_puts_it(name: str, text: str, page: Any, tmp_path: Path) -> None:
    file = tmp_path / "case.svg"
    file.write_text(f"{text}</svg>")
    wanted = _boxes_seen(page, file)
    found = _read(read(file.read_bytes(), file.name, Limits(), None)[0])
    assert set(found) == set(wanted)
    for color, box in wanted.items():
        assert found[color] == pytest.approx(box, abs=TOLERANCE), color
