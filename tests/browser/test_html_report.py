"""The HTML report as a person meets it: in headless Chromium."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import msgspec
import pytest
from drawn_samples import RULES, drawings_of, sheet_drawing
from report_samples import gap, report_of

from preflight.reports.html import HtmlRenderer
from preflight.reports.report import (
    BaselineUse,
    Drawing,
    FileReport,
    NotChecked,
    PageReport,
    Production,
    RuleOff,
    StepDrawing,
    StepProduction,
)
from preflight.rule import Finding, Level, Measured, ObjectReference

pytestmark = pytest.mark.browser

DRAWING = sheet_drawing()
PRODUCTION = Production(
    (
        StepProduction(step="Cutting", pieces=1, contours=1, cut_length_mm=910.0),
        StepProduction(step="PartialCutting", pieces=12, contours=12, cut_length_mm=1903.4),
    )
)
FINDINGS = (
    gap(70.2, 37.5, message="The ends are 0.3 mm apart."),
    gap(100.0, 100.0, rule="contour-self-crossing", message="It crosses itself."),
    gap(230.0, 60.0, rule="corner-tight", level=Level.WARNING, measured=Measured(14.2, 20, "degrees")),
    gap(rule="step-misspelt", level=Level.WARNING, bounds_mm=None, points_mm=(), measured=None),
    gap(150.0, 160.0, rule="node-excess", level=Level.NOTE, measured=Measured(40, 12, "nodes")),
    gap(200.0, 160.0, waived="the tea room wants it"),
)
NOT_CHECKED = (
    NotChecked(
        what="filter", message="A blur is not modelled.", object=ObjectReference("s", "Art", "path", 7)
    ),
)


def file_of(path: str, *findings: Finding, not_checked: tuple[NotChecked, ...] = ()) -> FileReport:
    page = PageReport(
        number=1, size_mm=DRAWING.size_mm, findings=findings, not_checked=not_checked, production=PRODUCTION
    )
    return FileReport(path=path, sha256=None, format="svg", status="checked", pages=(page,))


def every_kind() -> bytes:
    torn = FileReport(
        path="torn.svg",
        sha256=None,
        format=None,
        status="unreadable",
        reason="It ends in the middle of line 3.",
        hint="Export it again.",
    )
    report = report_of(file_of("ferry.svg", *FINDINGS, not_checked=NOT_CHECKED), file_of("clean.svg"), torn)
    return HtmlRenderer(RULES).render(report, drawings_of(ferry=DRAWING, clean=DRAWING))


def scale_of(page: Any) -> float:
    return float(page.locator(".sheet.shown .viewport").get_attribute("data-scale"))


def listed(page: Any) -> list[str]:
    return page.locator(".sheet.shown .entry:visible").evaluate_all("all => all.map(one => one.id)")  # type: ignore[no-any-return]


def test_a_clean_report_says_so_and_what_was_at_hand(opened: Callable[..., Any]) -> None:
    html = HtmlRenderer(RULES).render(report_of(file_of("clean.svg")), drawings_of(clean=DRAWING))
    page = opened(html).page
    assert page.locator(".all-clear .verdict").is_visible()
    assert page.locator(".entry").count() == 0
    assert page.locator(".pins .pin").count() == 0
    page.locator(".all-clear summary").click()
    assert page.locator(".at-hand").inner_text() == "contour-open, corner-tight, node-excess"
    assert page.locator(".verdict .patch.clean").count() == 1
    assert page.locator(".left-out").count() == 0
    assert page.evaluate("document.querySelector('.paper img').naturalWidth") > 0


def test_rules_left_out_are_seen_and_the_page_does_not_look_clean(opened: Callable[..., Any]) -> None:
    off = (
        RuleOff(rule="node-excess", because="profile"),
        RuleOff(rule="corner-tight", because="override", reason="<b>old</b> machine"),
    )
    file = msgspec.structs.replace(file_of("archive/clean.svg"), rules_off=off)
    whole = file_of("archive/deep/whole.svg")
    html = HtmlRenderer(RULES).render(report_of(file, whole), lambda path: (DRAWING,))
    page = opened(html).page
    told = page.locator("#s1 .left-out li").all_inner_texts()
    assert told == [
        "node-excess (off in the profile)",
        "corner-tight (off for this file: <b>old</b> machine)",
    ]
    assert page.locator("#s1 .verdict .patch.clean").count() == 0
    page.locator("#s1 .all-clear summary").click()
    assert page.locator("#s1 .at-hand").inner_text() == "contour-open"
    links = page.locator("nav a")
    assert links.locator(".name").all_inner_texts() == ["clean.svg", "deep/whole.svg"]
    assert links.locator(".tally").all_inner_texts() == ["nothing found, 2 rules left out", "nothing found"]
    assert page.locator("#s1 h2").inner_text() == "archive/clean.svg"


def test_what_was_not_checked_has_its_kind_its_place_and_what_to_do(opened: Callable[..., Any]) -> None:
    box = (100.0, 50.0, 120.0, 60.0)
    entries = (
        NotChecked(kind="assumed", what="size", message="96 px to the inch."),
        NotChecked(kind="not-modelled", what="mask", message="A mask.", bounds_mm=box),
    )
    html = HtmlRenderer(RULES).render(
        report_of(file_of("a.svg", not_checked=entries)), drawings_of(a=DRAWING)
    )
    page = opened(html).page
    assert page.locator(".verdict .patch.unchecked").count() == 1
    assert page.locator(".entry .word").all_inner_texts() == ["not modelled", "assumed"]
    before = scale_of(page)
    page.locator(".pins .pin.unchecked").click()
    page.locator("#s1-e1 .row").click()
    page.locator("#s1-e1 .row").click()
    text = page.locator("#s1-e1 .more").inner_text()
    assert "What to do" in text
    assert "no rule has judged it" in text
    assert "x 110.0 mm, y 55.0 mm" in text
    assert scale_of(page) > before
    assert "Confirm" in page.locator("#s1-e2 .more").text_content()


def test_what_was_known_before_is_out_of_sight_until_asked_for(opened: Callable[..., Any]) -> None:
    known = (gap(100.0, 100.0, known="baseline"), gap(150.0, 160.0, known="earlier version"))
    use = BaselineUse(path="known.json", held=1)
    only = report_of(file_of("a.svg", *known), baseline=use)
    page = opened(HtmlRenderer(RULES).render(only, drawings_of(a=DRAWING))).page
    assert "that was not known before" in page.locator(".verdict").inner_text()
    assert page.locator(".docket-fields").inner_text().count("known.json holds 1 finding.") == 1
    assert listed(page) == []
    assert page.locator(".pins .pin").count() == 0
    page.locator(".clear").click()
    assert listed(page) == ["s1-e1", "s1-e2"]
    assert page.locator(".entry .word").all_inner_texts() == ["known error", "known error"]
    assert page.locator(".pins .pin.known").count() == 2
    assert "the baseline: it does not count" in page.locator("#s1-e1 .more").text_content()
    beside = report_of(file_of("a.svg", *known, gap(70.2, 37.5)))
    page = opened(HtmlRenderer(RULES).render(beside, drawings_of(a=DRAWING))).page
    assert listed(page) == ["s1-e1"]
    page.locator(".chip.known").click()
    assert listed(page) == ["s1-e1", "s1-e2", "s1-e3"]


def test_rule_pages_show_the_values_in_force(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    page.locator("#s1-e1 .row").click()
    page.locator("#s1-e1 .why summary").click()
    text = page.locator("#s1-e1 .why").inner_text()
    assert "0.02 mm" in text
    assert "set by the profile; default 0.01 mm" in text


def test_every_kind_of_entry_is_listed_worst_first(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    kinds = page.locator(".sheet.shown .entry").evaluate_all("all => all.map(one => one.dataset.kind)")
    assert kinds == ["error", "error", "warning", "warning", "unchecked", "note", "waived"]
    assert page.locator(".sheet.shown .pins .pin").count() == 5  # two entries have no place
    figures = page.locator(".sheet.shown .production tbody tr").evaluate_all(
        "rows => rows.map(row => [...row.querySelectorAll('td')].map(cell => cell.textContent))"
    )
    assert figures[:2] == [["1", "1", "910.0 mm"], ["12", "12", "1,903.4 mm"]]
    assert figures[2] == ["–", "–", "–"]  # drawn, but without figures


def test_a_pin_stands_at_its_place(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    paper = page.locator(".sheet.shown .paper").bounding_box()
    pin = page.locator(".sheet.shown .pins .pin").filter(has_text="1").first.bounding_box()
    width, height = DRAWING.size_mm
    assert pin["x"] + pin["width"] / 2 == pytest.approx(paper["x"] + 70.2 / width * paper["width"], abs=1.0)
    assert pin["y"] + pin["height"] / 2 == pytest.approx(
        paper["y"] + 37.5 / height * paper["height"], abs=1.0
    )


def test_the_cut_lines_lie_on_the_picture(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    paper = page.locator(".sheet.shown .paper").bounding_box()
    rim = page.locator("#s1 .overlay .tone-0 path").evaluate(
        "path => { const box = path.getBoundingClientRect(); return [box.left, box.top, box.right, box.bottom]; }"
    )
    width, height = DRAWING.size_mm
    across, down = paper["width"] / width, paper["height"] / height
    assert rim == pytest.approx(
        [
            paper["x"] + 5 * across,
            paper["y"] + 5 * down,
            paper["x"] + (width - 5) * across,
            paper["y"] + (height - 5) * down,
        ],
        abs=2.0,
    )


def test_choosing_zooms_and_tells_all(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    before = scale_of(page)
    page.locator("#s1-e1 .row").click()
    assert scale_of(page) > 5 * before
    text = page.locator("#s1-e1 .more").inner_text()
    for words in (
        "0.3 mm", "0.01 mm", "x 70.2 mm, y 37.5 mm", "Join the two end nodes.", "layer “Kiss cut”",
        "Why it matters", "The knife leaves a bridge", "How to mend it", "Join the end nodes",
    ):  # fmt: skip
        assert words in text
    target = page.locator("#s1 .target").bounding_box()
    viewport = page.locator("#s1 .viewport").bounding_box()
    middle = target["x"] + target["width"] / 2, target["y"] + target["height"] / 2
    assert middle[0] == pytest.approx(viewport["x"] + viewport["width"] / 2, abs=40)
    assert middle[1] == pytest.approx(viewport["y"] + viewport["height"] / 2, abs=40)
    page.locator("#s1-e1 .row").click()
    assert page.locator("#s1-e1 .row").get_attribute("aria-expanded") == "false"


def test_clicking_a_pin_chooses_its_entry(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    page.locator('#s1 .pin[data-entry="s1-e3"]').last.click()
    assert page.locator("#s1-e3 .row").get_attribute("aria-expanded") == "true"
    assert "14.2°" in page.locator("#s1-e3 .more").inner_text()


def test_the_keyboard_goes_all_the_way(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    whole = scale_of(page)
    focused = "document.activeElement.closest('.entry')?.id"
    page.keyboard.press("j")
    assert page.evaluate(focused) == "s1-e1"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("j")
    assert page.evaluate(focused) == "s1-e3"
    page.keyboard.press("k")
    assert page.evaluate(focused) == "s1-e2"
    assert page.locator(".entry.open").count() == 1
    assert "2 of 7" in page.locator("#status").inner_text()
    page.keyboard.press("Enter")
    assert page.locator(".entry.open").count() == 0
    page.keyboard.press("Escape")
    assert scale_of(page) == pytest.approx(whole)
    page.keyboard.press("+")
    assert scale_of(page) == pytest.approx(whole * 1.5, rel=1e-3)
    page.keyboard.press("0")
    page.keyboard.press("/")
    page.keyboard.type("crosses")
    assert listed(page) == ["s1-e2"]
    page.keyboard.press("Escape")
    page.locator("#s1 .viewport").focus()
    before = page.locator("#s1 .paper").bounding_box()["x"]
    page.keyboard.press("ArrowRight")
    assert page.locator("#s1 .paper").bounding_box()["x"] == pytest.approx(before - 60, abs=1)


def test_filters_by_level_rule_and_words(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    assert page.locator("#s1 .chip.error").inner_text().split() == ["2", "Errors"]
    assert "contour-open (2)" in page.locator("#s1 select").inner_text()
    page.locator("#s1 .chip.error input").uncheck()
    assert listed(page) == ["s1-e3", "s1-e4", "s1-e5", "s1-e6", "s1-e7"]
    assert page.locator("#s1 .pins .pin.error").count() == 0
    assert page.locator("#status").inner_text() == "5 of 7 listed."
    page.locator("#s1 .chip.error input").check()
    page.locator("#s1 select").select_option("corner-tight")
    assert listed(page) == ["s1-e3"]
    page.locator("#s1 input[type=search]").fill("no such words")
    assert listed(page) == []
    page.locator("#s1 .clear").click()
    assert len(listed(page)) == 7


def test_steps_can_be_hidden(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    lines = page.locator("#s1 .overlay .tone-1 path").first
    assert lines.is_visible()
    page.get_by_role("checkbox", name="Kiss cut").first.uncheck()
    assert not lines.is_visible()
    assert page.locator("#s1 .overlay .tone-0 path").first.is_visible()
    dashes = page.locator("#s1 .sample .line").evaluate_all(
        "all => all.map(one => getComputedStyle(one).strokeDasharray + getComputedStyle(one).stroke)"
    )
    assert len(set(dashes)) == len(dashes) == 4


def test_files_are_turned_like_pages(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    assert page.locator(".sheet:visible").count() == 1
    page.get_by_role("link", name="torn.svg").click()
    assert page.locator(".sheet:visible").get_attribute("id") == "s3"
    text = page.locator("#s3").inner_text()
    assert "It ends in the middle of line 3." in text
    assert "Export it again." in text
    assert page.get_by_role("link", name="torn.svg").get_attribute("aria-current") == "page"
    page.get_by_role("link", name="clean.svg").click()
    assert page.locator("#s2 .all-clear").is_visible()
    assert scale_of(page) > 1


def test_two_thousand_findings_and_five_thousand_contours(opened: Callable[..., Any]) -> None:
    place = random.Random(7)  # noqa: S311 -- places on a page, no secrets
    findings = [
        gap(place.uniform(5, 600), place.uniform(5, 400), message=f"Contour {i}.") for i in range(2000)
    ]
    squares = tuple(f"M{x * 6} {y * 8}h5v7h-5Z" for x in range(100) for y in range(50))
    drawing = Drawing(
        page=1,
        size_mm=(610.0, 410.0),
        picture=None,
        steps=(StepDrawing(step="PartialCutting", paths=squares),),
    )
    page_report = PageReport(number=1, size_mm=(610.0, 410.0), findings=tuple(findings))
    report = report_of(
        FileReport(path="many.svg", sha256=None, format="svg", status="checked", pages=(page_report,))
    )
    page = opened(HtmlRenderer().render(report, drawings_of(many=drawing))).page
    assert page.locator(".entry").count() == 2000
    labels = page.locator(".pins .pin").all_inner_texts()
    assert sum(1 + int(label.split("+")[1] if "+" in label else 0) for label in labels) == 2000
    assert len(labels) < 700
    page.locator("input[type=search]").fill("Contour 1999.")
    assert listed(page) == ["s1-e2000"]
    page.keyboard.press("Escape")
    page.keyboard.press("j")
    assert page.locator("#s1-e2000 .more").is_visible()
    assert len(page.locator(".overlay .line path").all()) == 50


HOSTILE = (
    "</script><script>alert(1)</script>",
    "<!--<script>",
    "<img src=x onerror=alert(1)>",
    '"><svg onload=alert(1)>',
    "{{ 7 * 7 }}\u2028\u2029",
    "javascript:alert(1)",
    "</style><link rel=stylesheet href=https://example.invalid/a.css>",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_show_as_text(opened: Callable[..., Any], name: str) -> None:
    finding = gap(
        rule=name, message=name, hint=name, objects=(ObjectReference(name, name, name, 1),), waived=None
    )
    page_report = PageReport(
        number=1,
        size_mm=DRAWING.size_mm,
        findings=(finding, gap(waived=name)),
        not_checked=(NotChecked(what=name, message=name, object=ObjectReference(name, name, name)),),
        production=Production((StepProduction(step=name, pieces=1, contours=1, cut_length_mm=1),)),
    )
    drawing = Drawing(
        page=1,
        size_mm=DRAWING.size_mm,
        picture='data:image/svg+xml,<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)" width="9" height="9">'
        '<script>alert(1)</script><image href="https://example.invalid/a.png"/></svg>',
        steps=(StepDrawing(step=name, paths=('M0 0"/><script>alert(1)</script>',)),),
    )
    torn = FileReport(path=name, sha256=None, format=None, status="unreadable", reason=name, hint=name)
    checked = FileReport(path=name, sha256=None, format="svg", status="checked", pages=(page_report,))
    html = HtmlRenderer().render(report_of(checked, torn), lambda path: (drawing,))
    result = opened(html)
    page = result.page
    shown = name.replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    assert page.locator("h2").first.inner_text() == shown
    page.keyboard.press("j")
    assert shown in page.locator("#s1-e1").inner_text()
    assert page.evaluate("document.scripts.length") == 2
    assert page.evaluate("document.querySelectorAll('link, iframe, object, [onload], [onerror]').length") == 0
    # A broken path is the sample's own doing and the one thing the browser may grumble about.
    result.trouble[:] = [line for line in result.trouble if "attribute d: Expected" not in line]


def test_the_policy_stops_what_slips_through(opened: Callable[..., Any]) -> None:
    result = opened(every_kind())
    page = result.page
    outcome = page.evaluate(
        """async () => {
            const stopped = [];
            document.addEventListener("securitypolicyviolation", (event) => stopped.push(event.effectiveDirective));
            const script = document.createElement("script");
            script.textContent = "window.ran = true";
            const image = new Image();
            image.src = "https://example.invalid/a.png";
            document.body.append(script, image);
            await fetch("https://example.invalid/b").catch(() => null);
            await new Promise((done) => setTimeout(done, 50));
            return [stopped.sort(), window.ran === true];
        }"""
    )
    assert outcome == [["connect-src", "img-src", "script-src-elem"], False]
    result.trouble.clear()  # the browser's words about the three it stopped


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_in_light_and_dark(opened: Callable[..., Any], scheme: str) -> None:
    page = opened(every_kind(), color_scheme=scheme).page
    page.keyboard.press("j")
    ratios = page.evaluate(
        """() => {
            const light = (text) => {
                const parts = text.match(/[\\d.]+/g).map(Number);
                const [r, g, b] = parts.map((v) => v / 255).map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
                return [0.2126 * r + 0.7152 * g + 0.0722 * b, parts.length > 3 ? parts[3] : 1];
            };
            const ground = (one) => {
                for (let at = one; at; at = at.parentElement) {
                    const [value, alpha] = light(getComputedStyle(at).backgroundColor);
                    if (alpha > 0) return value;
                }
            };
            const found = {};
            for (const selector of [".word", ".rule", ".place", ".message", ".more dt", ".more dd", ".label", ".row .pin",
                                    ".totals", ".tally", "footer p", ".chip", ".field", ".production td", ".production small"]) {
                for (const one of document.querySelectorAll(selector)) {
                    const [a] = light(getComputedStyle(one).color), b = ground(one);
                    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
                    found[selector] = Math.min(found[selector] ?? 99, ratio);
                }
            }
            return [found, getComputedStyle(document.documentElement).backgroundColor];
        }"""
    )
    assert min(ratios[0].values()) >= 4.5, ratios[0]  # WCAG 2.2, 1.4.3, level AA
    assert ratios[1] == {"light": "rgb(241, 241, 240)", "dark": "rgb(29, 30, 31)"}[scheme]


def test_print_lists_everything(opened: Callable[..., Any]) -> None:
    page = opened(every_kind(), width=700, height=1000, color_scheme="dark").page
    page.keyboard.press("j")
    page.locator("#s1 .chip.error input").uncheck()
    page.emulate_media(media="print")
    assert page.locator(".sheet:visible").count() == 3
    assert page.locator("#s1 .entry:visible").count() == 7
    assert page.locator("#s1 .more:visible").count() == 7
    assert page.locator("#s1 .pins .pin").count() == 5
    assert page.locator("#s1 .overlay").get_attribute("viewBox") == "0 0 270 205"
    assert page.locator(".filters:visible, nav:visible, .zoom:visible").count() == 0
    assert page.locator(".appendix").is_visible()
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(27, 28, 29)"
    paper = page.locator("#s1 .paper").bounding_box()
    overlay = page.locator("#s1 .overlay").bounding_box()
    assert paper["width"] == pytest.approx(overlay["width"], abs=1)
    assert paper["height"] == pytest.approx(overlay["height"], abs=1)
    page.emulate_media(media="screen")
    assert page.locator(".sheet:visible").count() == 1


def test_print_shows_no_focus(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    page.keyboard.press("j")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate("document.activeElement.className") == "row"
    assert page.evaluate(outline) == "solid"
    page.emulate_media(media="print")
    assert page.evaluate(outline) == "none"
    page.emulate_media(media="screen")
    page.locator("#s1 .viewport").focus()
    page.emulate_media(media="print")
    assert page.evaluate("document.activeElement.className") == "viewport"
    assert page.evaluate(outline) == "none"


def test_print_leaves_no_page_half_empty(opened: Callable[..., Any]) -> None:
    import pypdfium2

    files = [file_of(f"archive/{number}.svg") for number in range(6)]
    html = HtmlRenderer(RULES).render(report_of(*files, file_of("a.svg", *FINDINGS)), lambda path: (DRAWING,))
    document = pypdfium2.PdfDocument(opened(html).page.pdf(format="A4"))
    try:
        filled = []
        for page in document:
            pixels = page.render(scale=0.5).to_numpy()
            inked = (pixels < 250).any(axis=(1, 2)).nonzero()[0]
            filled.append(inked[-1] / len(pixels))
    finally:
        document.close()
    # Two clean sheets to a page; before, each had a page of its own. The last page ends where the report ends.
    assert len(filled) <= 6
    assert min(filled[:-1]) > 0.5
    assert sum(filled[:-1]) / len(filled[:-1]) > 0.8


def test_a_narrow_screen_shows_place_and_finding_together(opened: Callable[..., Any]) -> None:
    page = opened(every_kind(), width=400, height=800).page
    assert page.evaluate("document.documentElement.scrollWidth") <= 400
    page.keyboard.press("j")
    viewport = page.locator("#s1 .viewport").bounding_box()
    row = page.locator("#s1-e1 .row").bounding_box()
    assert viewport["y"] >= -1
    assert row["y"] >= viewport["y"] + viewport["height"] - 1
    assert row["y"] + row["height"] <= 800


def test_landmarks_and_names(opened: Callable[..., Any]) -> None:
    page = opened(every_kind()).page
    for role in ("banner", "main", "navigation", "contentinfo", "search"):
        assert page.get_by_role(role).first.is_visible()
    for button in page.get_by_role("button").all():
        assert (button.inner_text() or button.get_attribute("aria-label")).strip()
    assert page.locator("#status").get_attribute("aria-live") == "polite"
    assert page.get_by_role("img", name="Artwork of ferry.svg").is_visible()


def test_it_reads_without_script(opened: Callable[..., Any]) -> None:
    page = opened(every_kind(), java_script_enabled=False).page
    assert page.locator(".sheet").count() == 3
    assert page.locator("#s1 .more").first.is_visible()
    assert page.locator("noscript").is_visible()
