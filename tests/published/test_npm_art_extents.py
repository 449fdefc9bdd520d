"""Extents of real art against Chromium: the flags of the npm package flag-icons 7.5.0 (MIT), installed, not committed.

Source of the expected values: `getBBox` and `getScreenCTM` of every shape, asked of headless Chromium in this run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from preflight.engine import Engine
from preflight.profile import Profile

MEASURE = """() => {
  const root = document.documentElement, ns = 'http://www.w3.org/2000/svg';
  const view = root.viewBox.baseVal;
  root.setAttribute('width', view.width); root.setAttribute('height', view.height);
  // SVG 2, "The use element": it draws as a group with the copy in it, moved by x and y. Written out, so that
  // each shape drawn through it can be asked; a copy of a copy is written out in its turn.
  for (let uses, rounds = 0; (uses = root.querySelectorAll('use')).length && rounds < 50; rounds++)
    for (const use of uses) {
      const target = document.getElementById((use.href.baseVal || '').replace('#', ''));
      const group = document.createElementNS(ns, 'g');
      for (const {name, value} of use.attributes)
        if (!['href', 'xlink:href', 'x', 'y', 'width', 'height', 'id'].includes(name)) group.setAttribute(name, value);
      const move = `translate(${use.x.baseVal.value} ${use.y.baseVal.value})`;
      group.setAttribute('transform', `${use.getAttribute('transform') || ''} ${move}`);
      if (target) group.append(target.cloneNode(true));
      use.replaceWith(group);
    }
  const shapes = [];
  for (const shape of root.querySelectorAll('path,rect,circle,ellipse,line,polyline,polygon')) {
    if (shape.closest('defs,clipPath,mask,pattern,marker,symbol') || !shape.checkVisibility()) continue;
    const box = shape.getBBox(), m = shape.getScreenCTM(), base = root.getBoundingClientRect();
    shapes.push([box.x, box.y, box.width, box.height, m.a, m.b, m.c, m.d, m.e - base.left, m.f - base.top]);
  }
  return {width: view.width, shapes};
}"""

Box = tuple[float, ...]

EXPLAINED = {"eac.svg": 1}
"""Shapes that differ, by file. eac.svg: a path ends in a moveto with nothing after it (``…zm8 81.9``). Chromium counts
that lone point into the box; here, as in `svgpathtools`, a contour without a segment has no extent."""


@pytest.fixture(scope="module")
def flags(npm_package: Callable[[str], Path]) -> Path:
    return npm_package("flag-icons") / "flags" / "4x3"


@pytest.fixture(scope="module")
def page(chromium: Any, flags: Path) -> Any:
    return chromium.new_page()


def _in_chromium(page: Any, svg: Path) -> tuple[float, list[Box]]:
    """Width of the view box and the box of each shape that is not turned or skewed, in its units."""
    page.goto(svg.as_uri())
    answer = page.evaluate(MEASURE)
    boxes = []
    for x, y, width, height, a, b, c, d, e, f in answer["shapes"]:
        # The box of a turned shape is the box of its turned box, which says little about the curve.
        if abs(b) + abs(c) > 1e-9 or (width == 0 and height == 0):
            continue
        xs, ys = sorted((a * x + e, a * (x + width) + e)), sorted((d * y + f, d * (y + height) + f))
        boxes.append((xs[0], ys[0], xs[1], ys[1]))
    return answer["width"], boxes


def _unmatched(wanted: list[Box], read: list[Box], tolerance: float) -> list[Box]:
    """Boxes of Chromium's without a partner of their own among those read."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for index, box in enumerate(read):
        cells[round(box[0] / tolerance / 4), round(box[1] / tolerance / 4)].append(index)
    taken: set[int] = set()
    lost = []
    for box in wanted:
        column, row = round(box[0] / tolerance / 4), round(box[1] / tolerance / 4)
        near = (i for u in (-1, 0, 1) for v in (-1, 0, 1) for i in cells[column + u, row + v])
        apart = {
            i: max(abs(p - q) for p, q in zip(box, read[i], strict=True)) for i in near if i not in taken
        }
        found = min((i for i in apart if apart[i] <= tolerance), key=apart.__getitem__, default=None)
        if found is None:
            lost.append(box)
        else:
            taken.add(found)
    return lost


@pytest.mark.browser
def test_the_reader_sees_every_shape_where_chromium_draws_it(page: Any, flags: Path) -> None:
    engine = Engine(Profile.default())
    files = shapes = 0
    faults = {}
    for svg in sorted(flags.glob("*.svg")):
        width, wanted = _in_chromium(page, svg)
        if not wanted:
            continue
        _, (job,) = engine.read(svg)
        size = job.artwork.page
        scale = size.width / width
        tolerance = 0.01 + 1e-4 * max(size.width, size.height)
        read = [item.box for item in job.items if item.box is not None and item.object.hidden is None]
        lost = _unmatched([tuple(scale * edge for edge in box) for box in wanted], read, tolerance)
        files += 1
        shapes += len(wanted)
        if len(lost) != EXPLAINED.get(svg.name, 0):
            faults[svg.name] = (len(lost), len(wanted), [round(edge, 3) for edge in lost[0]])
    assert not faults
    assert files >= 200
    assert shapes >= 3000
