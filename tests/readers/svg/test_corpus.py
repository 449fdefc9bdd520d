"""Real files against what headless Chromium measured; skipped where the corpus is not beside the project.

The measurements are those of the corpus's reference-svg.json.gz and the comparison is its own extents.py.
"""

from __future__ import annotations

import gzip
import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from preflight.geometry.extents import object_boxes
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.svg import read

SHARED = Path(__file__).parents[4] / "shared"
REFERENCE = SHARED / "corpus" / "reference-svg.json.gz"

pytestmark = pytest.mark.skipif(not REFERENCE.exists(), reason="the corpus is not beside the project")

USE_OFFSET = "the reference leaves out x and y of <use> (its matrices are getCTM's); SVG 2, 5.6 adds them"
FITTED = "no stated size: the comparison fits one scale to all shapes, and one that the reference leaves out moves it"
LONE_MOVE = "a path ends with a lone moveto, which Chromium takes into its box; it draws nothing"

EXPLAINED = {
    "svg/art/bybas-weather-icons__dust.svg": "an animation had moved the shapes; ours is the first state, with a note",
    "svg/art/devicon__blender-original-wordmark.svg": USE_OFFSET,
    "svg/art/flag-icons__eac.svg": LONE_MOVE,
    "svg/art/openclipart-svg__blokken_arjen_meijer_01.svg": USE_OFFSET,
    "svg/art/openclipart-svg__shield_matt_todd_02.svg": "the reference lists shapes inside display='none'",
    "svg/art/openmoji__E347.svg": FITTED,
    "svg/art/pathfinder__julius-caesar.svg": USE_OFFSET,
    "svg/art/svg-country-flags__br.svg": USE_OFFSET,
    "svg/resvg/line__no-coordinates.svg": FITTED,
    "svg/resvg/svg__elements-via-ENTITY-reference-3.svg": USE_OFFSET,
    "svg/resvg/symbol__with-transform.svg": FITTED,
    "svg/resvg/symbol__with-viewBox-and-custom-use-size.svg": USE_OFFSET,
    "svg/resvg/use__simple-case.svg": USE_OFFSET,
    "svg/resvg/use__xlink-to-svg-element-with-x-y-on-use.svg": USE_OFFSET,
    "svg/w3c/solidColor2.svg": USE_OFFSET,
    "svg/w3c/struct-cond-overview-02-f.svg": USE_OFFSET,
    "svg/w3c/struct-use-01-t.svg": USE_OFFSET,
}


def comparison() -> ModuleType:
    spec = importlib.util.spec_from_file_location("extents_tool", SHARED / "tools" / "extents.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


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
def test_extents(name: str) -> None:
    reference = REFERENCES[name]
    path = SHARED / "corpus" / name
    if "shapes" not in reference:
        # A browser shows nothing of it, so it is refused or something is said.
        assert _refused_or_noted(path)
        return
    artwork = read(path.read_bytes(), name, Limits(), path.parent)[0]
    tool = comparison()
    wanted = tool.expected_svg(reference)
    boxes = object_boxes(artwork.outlines).tolist()
    have = [box for box, one in zip(boxes, artwork.objects, strict=True) if one.kind == "path" and not one.hidden and box[0] == box[0]]  # fmt: skip
    tolerance = 0.01 + 1e-4 * max(artwork.page.width, artwork.page.height)
    met, lost = tool.match(wanted, have, tolerance)
    if lost and have and not tool.stated_size(path):
        met = max(met, tool.match(tool.rescaled(wanted, have), have, tolerance)[0])
    if name in EXPLAINED:
        assert met < len(wanted), "explained, but it agrees: take it off the list"
    else:
        assert met == len(wanted)
