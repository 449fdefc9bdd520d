"""Named colours in the HTML report, as Chromium shows them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from preflight.engine import Engine
from preflight.profile import load
from preflight.reports.html import HtmlRenderer

DEMO = Path(__file__).parents[2] / "fixtures" / "demo" / "colours"

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def report() -> bytes:
    engine = Engine(load(DEMO, None))
    checked = engine.check_file(DEMO / "colours-faulty.svg")
    renderer = HtmlRenderer(engine.plugins.rules)
    return renderer.render(engine.report([checked]), lambda _: checked.drawings())


@pytest.mark.parametrize("width", [1200, 480])
def test_each_colour_has_its_row_and_the_one_out_of_reach_its_drawing(
    opened: Callable[..., Any], report: bytes, width: int
) -> None:
    page = opened(report, width=width).page
    rows = page.locator(".colours tbody tr")
    names = [text.split("\n")[0].strip() for text in rows.locator("th span > span").all_inner_texts()]
    assert names == ["Deep Water", "Lantern Yellow", "Beacon Orange", "Jam Red", "JAM-RED"]
    assert page.locator(".slice").count() == 1
    orange = rows.filter(has_text="Beacon Orange")
    # Both circles lie in the drawing, that of the colour asked for farther from its middle than the nearest.
    far, near = (
        orange.locator(f".slice .{kind}").evaluate(
            "one => Math.hypot(one.cx.baseVal.value, one.cy.baseVal.value)"
        )
        for kind in ("wanted", "near")
    )
    assert 70 < near < far < 125
    fills = orange.locator(".swatch rect[fill]").evaluate_all(
        "all => all.map(one => getComputedStyle(one).fill)"
    )
    assert len(set(fills)) == 2
    assert "out of reach" in orange.inner_text()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
