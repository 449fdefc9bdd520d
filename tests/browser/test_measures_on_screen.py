"""What a finding measured, as the report draws it in headless Chromium: dimension lines, missing bleed, quiet zones."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from drawn_samples import drawings_of, sheet_drawing
from report_samples import gap, report_of

from preflight.engine import Engine
from preflight.profile import Profile
from preflight.reports.html import HtmlRenderer
from preflight.reports.report import FileReport, PageReport
from preflight.rule import Finding, Measured

pytestmark = pytest.mark.browser

FIXTURES = Path(__file__).parents[2] / "fixtures"

MILLIMETRES = """(path, ends) => {
    const paper = document.querySelector('.sheet.shown .paper').getBoundingClientRect();
    const scale = Number(document.querySelector('.sheet.shown .viewport').dataset.scale);
    const [, from, to] = path.getAttribute('d').match(/^M([-\\d.e]+,[-\\d.e]+)L([-\\d.e]+,[-\\d.e]+)/);
    return [from, to].map((end) => {
        const at = new DOMPoint(...end.split(',').map(Number)).matrixTransform(path.getScreenCTM());
        return [(at.x - paper.left) / scale, (at.y - paper.top) / scale];
    });
}"""
"""Where the dimension line's ends lie on the paper as it is on the screen, mm."""


def checked(name: str) -> bytes:
    path = FIXTURES / name
    engine = Engine(Profile.default())
    done = engine.check_bytes(path.read_bytes(), path.name, path.parent)
    return HtmlRenderer(engine.plugins.rules).render(engine.report([done]), lambda _: done.drawings())


def rendered(*findings: Finding) -> bytes:
    page = PageReport(number=1, size_mm=(270.0, 205.0), findings=findings)
    file = FileReport(path="ferry.svg", sha256=None, format="svg", status="checked", pages=(page,))
    return HtmlRenderer().render(report_of(file), drawings_of(ferry=sheet_drawing()))


def distance(x: float, y: float, to_x: float, to_y: float, limit: float = 3.0, **changes: Any) -> Finding:
    value = round(math.hypot(to_x - x, to_y - y), 4)
    box = (min(x, to_x), min(y, to_y), max(x, to_x), max(y, to_y))
    return gap(
        bounds_mm=box, points_mm=((x, y), (to_x, to_y)), measured=Measured(value, limit, "mm"), **changes
    )


def flat(places: list[list[float]]) -> list[float]:
    return [value for place in places for value in place]


def choose(page: Any, rule: str) -> None:
    page.locator(f'.entry[data-rule="{rule}"] .row').first.click()


def drawn(page: Any, kind: str) -> Any:
    return page.locator(f".measures path.{kind}:not(.under)")


@pytest.mark.parametrize(
    ("name", "rule", "ends", "words"),
    [
        ("bleed-short/fail-one-side.svg", "bleed-short", [[40, 20], [41.2, 20]], ["1.2 mm", "at least 3 mm"]),
        ("art-near-cut/fail-inside.svg", "art-near-cut", [[10, 18], [10.8, 18]], ["0.8 mm", "at least 2 mm"]),
        ("cut-spacing/fail.svg", "cut-spacing", [[25, 10], [26.5, 10]], ["1.5 mm", "at least 3 mm"]),
        ("mark-crowded/fail-art.svg", "mark-crowded", None, None),
        ("contour-open/fail-gap.svg", "contour-open", [[10, 10], [10, 12]], ["2 mm", "at most 0.01 mm"]),
    ],
)
def test_the_dimension_line_ends_where_it_was_measured(
    opened: Callable[..., Any], name: str, rule: str, ends: list[list[float]] | None, words: list[str] | None
) -> None:
    page = opened(checked(f"rules/{name}")).page
    assert drawn(page, "dimension").count() == 0
    choose(page, rule)
    found = drawn(page, "dimension").evaluate(MILLIMETRES)
    told = page.locator(".measures .value text").all_text_contents()
    if ends is not None:
        assert flat(found) == pytest.approx(flat(ends), abs=0.02)
        assert told == words
    assert told[0] == f"{math.dist(*found):.3g} mm"
    for _ in range(9):
        page.keyboard.press("+")
    assert flat(drawn(page, "dimension").evaluate(MILLIMETRES)) == pytest.approx(flat(found), abs=0.02)


def test_the_line_goes_on_to_the_distance_asked_for_only_where_one_falls_short(
    opened: Callable[..., Any],
) -> None:
    page = opened(rendered(distance(50, 50, 51, 50), distance(90, 50, 94, 50))).page
    for entry, asked in (("s1-e1", True), ("s1-e2", False)):
        page.locator(f"#{entry} .row").click()
        path = drawn(page, "asked").get_attribute("d")
        assert bool(path) is asked
        assert page.locator('.legend [data-for="asked"]').is_visible() is asked
        if asked:
            (_, x0), (_, x1) = (
                (part[0], float(part[1:].split(",")[0])) for part in path.replace("L", " L").split()
            )
            assert (x1 - x0) / float(page.locator(".viewport").get_attribute("data-scale")) == pytest.approx(
                2.0
            )


def inked(page: Any, kind: str, x: float, y: float) -> bool:
    """Whether a place of the page, in mm, lies in the filled path of a kind."""
    return bool(
        drawn(page, kind).evaluate(
            """(path, [x, y]) => {
                const paper = document.querySelector('.sheet.shown .paper').getBoundingClientRect();
                const scale = Number(document.querySelector('.sheet.shown .viewport').dataset.scale);
                const screen = new DOMPoint(paper.left + x * scale, paper.top + y * scale);
                return path.isPointInFill(screen.matrixTransform(path.getScreenCTM().inverse()));
            }""",
            [x, y],
        )
    )


def test_missing_bleed_is_hatched_and_the_legend_says_so(opened: Callable[..., Any]) -> None:
    page = opened(checked("rules/bleed-short/fail-one-side.svg")).page
    assert not page.locator(".legend").is_visible()
    choose(page, "bleed-short")
    # The art ends at x = 41.2 and should reach 43.
    places = [(41.3, 20), (42.9, 12), (42.9, 29), (41.1, 20), (43.1, 20)]
    assert [inked(page, "area", *place) for place in places] == [True, True, True, False, False]
    assert drawn(page, "hatch").get_attribute("d").count("M") > 5
    assert page.locator('.legend [data-for="area"]').inner_text() == "missing bleed"
    more = page.locator(".entry.open .more").inner_text()
    assert "missing bleed" in more
    assert "from x 40.00 mm, y 20.00 mm to x 41.20 mm, y 20.00 mm" in more


def test_every_stroke_of_the_hatching_lies_in_the_area(opened: Callable[..., Any]) -> None:
    page = opened(checked("rules/mark-crowded/fail-both.svg")).page
    choose(page, "mark-crowded")
    for presses in (0, 5, 8):
        for _ in range(presses):
            page.keyboard.press("+")
        outside = drawn(page, "hatch").evaluate(
            """(hatch) => {
                const area = document.querySelector('.measures path.area');
                const strokes = hatch.getAttribute('d').match(/M[^M]+/g) || [];
                const middles = strokes.map((stroke) => stroke.match(/[-\\d.]+/g).map(Number))
                    .map(([x0, y0, x1, y1]) => new DOMPoint((x0 + x1) / 2, (y0 + y1) / 2));
                return [middles.length, middles.filter((at) => !area.isPointInFill(at)).length];
            }"""
        )
        assert outside[1] == 0
        if not presses:
            assert outside[0] > 20


def test_the_quiet_zone_lies_round_the_mark(opened: Callable[..., Any]) -> None:
    page = opened(checked("rules/mark-crowded/fail-both.svg")).page
    choose(page, "mark-crowded")
    # A dot of radius 2.5 at (10, 10) with 5 mm around it.
    for turn in range(12):
        way = math.cos(turn), math.sin(turn)
        seen = [
            inked(page, "area", 10 + reach * way[0], 10 + reach * way[1]) for reach in (2.4, 2.6, 7.4, 7.6)
        ]
        assert seen == [False, True, True, False]
    assert page.locator('.legend [data-for="area"]').inner_text() == "quiet zone of the mark"


def test_nothing_is_drawn_where_nothing_was_measured(opened: Callable[..., Any]) -> None:
    found = gap(100, 100, measured=Measured(2, 0, "places"), rule="contour-self-crossing")
    page = opened(rendered(found, gap(measured=None, bounds_mm=None, points_mm=()))).page
    for entry in ("s1-e1", "s1-e2"):
        page.locator(f"#{entry} .row").click()
        assert page.locator(".measures *").count() == 0
        assert not page.locator(".legend").is_visible()
        assert page.locator(f"#{entry} dt").filter(has_text="Measured").count() == 0


def test_choosing_again_escape_and_filters_take_it_away(opened: Callable[..., Any]) -> None:
    page = opened(rendered(distance(50, 50, 51, 50), distance(90, 50, 91, 50, rule="cut-spacing"))).page
    row = page.locator("#s1-e1 .row")
    leave: list[Callable[[], Any]] = [
        row.click,
        lambda: page.keyboard.press("Escape"),
        lambda: page.locator("#s1 select").select_option("cut-spacing"),
    ]
    for away in leave:
        row.click()
        assert drawn(page, "dimension").count() == 1
        away()
        assert page.locator(".measures *").count() == 0
        assert not page.locator(".legend").is_visible()
    page.locator("#s1-e2 .row").click()
    assert drawn(page, "dimension").count() == 1  # of the chosen one alone


def boxes(page: Any) -> tuple[dict[str, float], dict[str, float], list[list[float]]]:
    line = drawn(page, "dimension").evaluate(
        """(path) => {
            const [, from, to] = path.getAttribute('d').match(/^M([-\\d.e]+,[-\\d.e]+)L([-\\d.e]+,[-\\d.e]+)/);
            return [from, to].map((end) => {
                const at = new DOMPoint(...end.split(',').map(Number)).matrixTransform(path.getScreenCTM());
                return [at.x, at.y];
            });
        }"""
    )
    return (
        page.locator(".viewport").bounding_box(),
        page.locator(".measures .value rect").bounding_box(),
        line,
    )


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (400, 760)])
def test_the_value_is_whole_in_the_picture_and_off_the_line(
    opened: Callable[..., Any], width: int, height: int
) -> None:
    place = random.Random(5)  # noqa: S311 -- places on a page, no secrets
    findings = [distance(0, 0, 0.5, 0), distance(270, 205, 269, 205), distance(100, 0, 100, 204, limit=10)]
    for _ in range(6):
        x, y, turn = place.uniform(2, 268), place.uniform(2, 203), place.uniform(0, math.tau)
        reach = place.choice((0.02, 0.4, 2.5))
        findings.append(distance(x, y, x + reach * math.cos(turn), y + reach * math.sin(turn)))
    page = opened(rendered(*findings), width=width, height=height).page
    for index in range(len(findings)):
        page.locator(f"#s1-e{index + 1} .row").click()
        for key in ("", "+", "-", "-", "-"):
            if key:
                page.keyboard.press(key)
            picture, plate, line = boxes(page)
            assert plate["x"] >= picture["x"]
            assert plate["y"] >= picture["y"]
            assert plate["x"] + plate["width"] <= picture["x"] + picture["width"]
            assert plate["y"] + plate["height"] <= picture["y"] + picture["height"]
            for step in range(21):
                x, y = (a + (b - a) * step / 20 for a, b in zip(*line, strict=True))
                on = (
                    plate["x"] < x < plate["x"] + plate["width"]
                    and plate["y"] < y < plate["y"] + plate["height"]
                )
                assert not on, (index, key)
            size = page.locator(".value .found").evaluate("text => text.getBoundingClientRect().height")
            assert 12 < size < 24


def test_short_distances_have_their_arrows_outside(opened: Callable[..., Any]) -> None:
    page = opened(rendered(distance(50, 50, 50.04, 50), distance(90, 50, 92.9, 50))).page
    for entry, outside in (("s1-e1", True), ("s1-e2", False)):
        page.locator(f"#{entry} .row").click()
        line = drawn(page, "dimension").evaluate(
            "path => path.getAttribute('d').match(/-?[\\d.]+/g).map(Number).slice(0, 4)"
        )
        box = drawn(page, "heads").evaluate(
            "path => { const b = path.getBBox(); return [b.x, b.x + b.width]; }"
        )
        assert (box[0] < line[0] - 5 and box[1] > line[2] + 5) is outside


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_stands_out_on_any_art_in_light_and_dark(opened: Callable[..., Any], scheme: str) -> None:
    page = opened(rendered(distance(50, 50, 51, 50)), color_scheme=scheme).page
    page.keyboard.press("j")
    shades = page.evaluate(
        """() => {
            const of = (selector, name) => getComputedStyle(document.querySelector('.measures ' + selector))[name];
            return [of('.dimension', 'stroke'), of('.under', 'stroke'), of('.value rect', 'fill'), of('.found', 'fill'), of('.limit', 'fill')];
        }"""
    )
    assert shades[:2] == ["rgb(27, 28, 29)", "rgb(255, 255, 255)"]  # the paper is white in the dark, too

    def light(text: str) -> float:
        parts = [int(part) / 255 for part in text.removeprefix("rgb(").removesuffix(")").split(",")]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    plate, *texts = map(light, shades[2:])
    assert (plate > 0.5) is (scheme == "light")
    for text in texts:
        assert (max(plate, text) + 0.05) / (min(plate, text) + 0.05) >= 4.5  # WCAG 2.2, 1.4.3, level AA


def test_paper_shows_the_chosen_one_on_the_whole_page(opened: Callable[..., Any]) -> None:
    page = opened(checked("rules/bleed-short/fail-one-side.svg"), width=700, height=1000).page
    choose(page, "bleed-short")
    page.emulate_media(media="print")
    page.wait_for_selector('.overlay[viewBox="0 0 60 40"]', state="attached")
    assert drawn(page, "dimension").is_visible()
    assert page.locator(".legend").is_visible()
    paper = page.locator(".paper").bounding_box()
    per_mm = paper["width"] / 60
    rim = drawn(page, "rim").evaluate(
        """path => {
            const box = path.getBBox(), at = path.getScreenCTM();
            return [[box.x, box.y], [box.x + box.width, box.y + box.height]].map(([x, y]) => {
                const end = new DOMPoint(x, y).matrixTransform(at);
                return [end.x, end.y];
            });
        }"""
    )
    # The missing band: x from 41.2 to 43 mm, y from 10 to 30 mm.
    wanted = [41.2, 10, 43, 30]
    found = [(value - paper["xy"[axis % 2]]) / per_mm for axis, value in enumerate(flat(rim))]
    assert found == pytest.approx(wanted, abs=0.1)
    legend, table = page.locator(".legend").bounding_box(), page.locator(".production").bounding_box()
    assert legend["y"] >= paper["y"] + paper["height"] - 1
    assert legend["y"] + legend["height"] <= table["y"] + 1
    page.emulate_media(media="screen")
    page.wait_for_selector('.overlay:not([viewBox="0 0 60 40"])', state="attached")
    page.wait_for_function("document.querySelector('.paper').style.width")
    assert flat(drawn(page, "dimension").evaluate(MILLIMETRES)) == pytest.approx([40, 20, 41.2, 20], abs=0.02)


def test_hostile_words_stay_words(opened: Callable[..., Any]) -> None:
    words = '</script><img src=x onerror="alert(1)">'
    ring = ((50.0, 50.0), (53.0, 50.0), (53.0, 60.0), (50.0, 60.0), (50.0, 50.0))
    page = opened(rendered(distance(50, 50, 51, 50, area_mm=(ring,), area_shows=words))).page
    page.keyboard.press("j")
    assert page.locator('.legend [data-for="area"]').inner_text() == words
    assert words in page.locator(".entry.open .more").inner_text()


def test_two_thousand_measures_are_drawn_one_at_a_time(opened: Callable[..., Any]) -> None:
    place = random.Random(7)  # noqa: S311 -- places on a page, no secrets
    findings = []
    for _ in range(2000):
        x, y = place.uniform(5, 260), place.uniform(5, 200)
        ring = tuple(
            (
                round(x + 5 * math.cos(math.tau * step / 240), 4),
                round(y + 5 * math.sin(math.tau * step / 240), 4),
            )
            for step in range(241)
        )
        findings.append(distance(x, y, x + 1, y, area_mm=(ring,), area_shows="quiet zone of the mark"))
    html = rendered(*findings)
    assert len(html) < 7_000_000
    page = opened(html).page
    assert page.locator(".measures *").count() == 0
    page.keyboard.press("j")
    page.keyboard.press("j")
    assert drawn(page, "dimension").count() == drawn(page, "area").count() == 1
