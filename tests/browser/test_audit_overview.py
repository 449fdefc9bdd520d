"""The overview of an audit as a person meets it: in headless Chromium, from the disk."""

from __future__ import annotations

import shlex
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from filled_store import Row, archive, filled, picture_name, with_pictures

from preflight.audit.overview import write_overview
from preflight.audit.own_folder import OVERVIEW, STORE
from preflight.audit.own_reports import own_report
from preflight.audit.reading import Reading

pytestmark = pytest.mark.browser

MANY = 100_000
FEW_IN_DOM = 100

OPEN, BLED, NEAR = ("contour-open", "error", 2), ("bleed-short", "error", 1), ("art-near-cut", "warning", 3)
ART = (
    Row("harbour/2025/deck.svg", "2025-12", (OPEN, NEAR), picture=picture_name(1), waived=1),
    Row("harbour/2026/kiosk.pdf", "2026-01", (BLED,), picture=picture_name(2)),
    Row("harbour/2026/plain.svg", "2026-01"),
    Row("tea-room/café menu.svg", "2026-02", (NEAR,), picture=picture_name(3)),
    Row("tea-room/doubtful.svg", "2026-02", not_checked=2),
    Row("tea-room/torn.svg", None, reason="It ends in the middle of line 3.", hint="Export it again."),
)


def made(into: Path, reports: set[str] | None = None) -> Path:
    """The overview of a folder's store, with a page that stands for each file's own report."""
    with closing(Reading(into / STORE)) as reading:
        for path in reports or ():
            page = into / own_report(reading, path)
            page.parent.mkdir(exist_ok=True)
            page.write_text(f"<!doctype html><title>{path}</title>")
        write_overview(reading, into, reports or set())
    return into / OVERVIEW


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = with_pictures(filled(tmp_path_factory.mktemp("many"), archive(MANY)))
    return made(into)


@pytest.fixture
def few(tmp_path: Path) -> Path:
    return made(with_pictures(filled(tmp_path / "few", ART)), {ART[0].path})


@pytest.fixture
def visit(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Opens an overview; at the end nothing was asked of elsewhere, and no error, dialog or breach of its policy is left."""
    pages, trouble = [], []

    def open_(path: Path, hash_: str = "", width: int = 1200, height: int = 800, **context: Any) -> Any:
        page = chromium.new_page(viewport={"width": width, "height": height}, **context)
        pages.append(page)
        own = path.parent.as_uri()

        def requested(request: Any) -> None:
            if not request.url.startswith(own):
                trouble.append(f"request {request.url}")

        def asked(dialog: Any) -> None:
            trouble.append(f"dialog {dialog.message}")
            dialog.dismiss()

        page.on("request", requested)
        page.on("dialog", asked)
        page.on("console", lambda message: trouble.append(f"console {message.text}"))
        page.on("pageerror", lambda error: trouble.append(f"error {error}"))
        page.goto(path.as_uri() + hash_)
        return page

    yield open_
    for page in pages:
        page.close()
    assert trouble == []


def rows(page: Any) -> Any:
    return page.locator(".room .row")


def names(page: Any) -> list[str]:
    """Names of the files listed, from the first on."""
    return rows(page).locator(".name").all_inner_texts()  # type: ignore[no-any-return]


def chips(page: Any) -> list[str]:
    return page.locator(".chosen .chip bdi").all_inner_texts()  # type: ignore[no-any-return]


def tile(page: Any, kind: str) -> str:
    return page.locator(f".tile[data-kind={kind}] .number").inner_text()  # type: ignore[no-any-return]


def first_last(page: Any) -> tuple[int, int]:
    places = rows(page).evaluate_all("all => all.map(row => Number(row.dataset.place))")
    assert places == list(range(places[0], places[-1] + 1))
    return places[0], places[-1]


def test_the_worst_stands_first_with_its_picture_and_report(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    assert names(page) == [
        *("deck.svg", "kiosk.pdf", "torn.svg", "café menu.svg"),
        *("plain.svg", "doubtful.svg"),
    ]
    page.wait_for_function("[...document.querySelectorAll('.room img')].every(one => one.complete)")
    assert page.locator(".room img").evaluate_all("all => all.map(one => one.naturalWidth > 0)") == [True] * 3
    first = rows(page).first
    assert first.locator(".figure .pin").evaluate_all(
        "all => all.map(one => one.innerText.split(/\\s/)[0])"
    ) == [*("2", "3", "1")]
    assert rows(page).nth(2).locator(".found").inner_text().endswith("It ends in the middle of line 3.")
    first.locator(".report a").click()
    page.wait_for_load_state()
    assert page.title() == ART[0].path


def test_filters_go_together_and_the_address_holds_them(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    page.locator(".tile[data-kind=warning]").click()
    assert names(page) == ["deck.svg", "café menu.svg"]
    assert (tile(page, "files"), tile(page, "unreadable")) == ("6", "1")  # without this filter itself
    page.locator(".folders tbody tr").filter(has_text="tea-room").click()
    assert names(page) == ["café menu.svg"]
    page.locator(".folders tbody tr").first.wait_for()
    page.locator("[data-month='2026-02']").click()
    page.locator("[data-rule]").filter(has_text="art-near-cut").click()
    assert chips(page) == ["warnings", "art-near-cut", "tea-room/", "2026-02"]
    assert page.locator(".count").inner_text() == "1 of 6 files"
    again = visit(few, page.evaluate("location.hash"))
    assert chips(again) == chips(page)
    assert names(again) == ["café menu.svg"]
    page.go_back()
    assert chips(page) == ["warnings", "tea-room/", "2026-02"]
    page.get_by_role("button", name="warnings: leave this choice").click()
    assert names(page) == ["café menu.svg", "doubtful.svg"]
    page.get_by_role("button", name="Show everything").click()
    assert (chips(page), page.evaluate("location.hash")) == ([], "")
    assert page.locator(".count").inner_text() == "6 files"


def test_each_level_and_state_can_be_asked_for(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    for kind, expected in {
        "unreadable": ["torn.svg"],
        "error": ["deck.svg", "kiosk.pdf"],
        "note": [],
        "unchecked": ["doubtful.svg"],
        "waived": ["deck.svg"],
        "clean": ["plain.svg"],
    }.items():
        page.locator(f".tile[data-kind={kind}]").click()
        assert names(page) == expected
        assert page.locator(".none").is_visible() == (not expected)
        page.locator(f".tile[data-kind={kind}]").click()
    page.locator(".tile[data-kind=clean]").click()
    page.locator(".tile[data-kind=unreadable]").click()
    assert names(page) == ["torn.svg", "plain.svg"]
    page.locator("[name=format]").select_option(label="svg")
    assert names(page) == ["plain.svg"]


def test_figures_beside_the_list_follow_what_is_chosen(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few, "#folder=harbour")
    rules = page.locator(".rules tbody tr").evaluate_all(
        "all => all.map(row => [...row.cells].slice(0, 3).map(cell => cell.innerText.split('\\n').at(-1).split(': ').at(-1)))"
    )
    assert sorted(rules) == [
        ["art-near-cut", "1", "3"],
        ["bleed-short", "1", "1"],
        ["contour-open", "1", "2"],
    ]
    assert page.locator(".folders tbody tr").evaluate_all(
        "all => all.map(row => row.innerText.split(/\\s+/))"
    ) == [
        ["2025", "1", "2"],
        ["2026", "2", "1"],
    ]
    assert (tile(page, "files"), tile(page, "error"), tile(page, "unreadable")) == ("3", "3", "0")
    assert page.locator("[data-month='2026-01']").get_attribute("title") == (
        "2026-01: 2 files, 1 with errors or unreadable"
    )
    page.locator(".trail button", has_text="All folders").click()
    assert tile(page, "files") == "6"


def test_search_takes_words_of_paths_and_reasons(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    search = page.get_by_role("searchbox")
    for words, expected in {
        "MIDDLE line": ["torn.svg"],
        "2026 pdf": ["kiosk.pdf"],
        "harbour/2025": ["deck.svg"],
        "cafe\u0301": ["café menu.svg"],  # the same letter in its other spelling (Unicode, annex 15)
        "nowhere": [],
    }.items():
        search.fill(words)
        assert names(page) == expected
    search.press("Escape")
    assert len(names(page)) == 6


def test_the_list_is_sorted_by_each_column(tmp_path: Path, visit: Callable[..., Any]) -> None:
    art = archive(160, seed=5)
    page = visit(made(with_pictures(filled(tmp_path, art)), {art[7].path, art[40].path}), height=16_000)
    by_path = sorted(art)

    def count(row: Row, level: str) -> int:
        return sum(times for _, at, times in row.found if at == level)

    def trouble(row: Row) -> tuple[int, ...]:
        return (count(row, "error") + (row.reason is not None), count(row, "warning"), count(row, "note"))

    keys: dict[str, Callable[[Row], Any]] = {
        "path": lambda row: row.path,
        "format": lambda row: "" if row.reason else row.path.rpartition(".")[2],
        "error": trouble,
        "warning": lambda row: count(row, "warning"),
        "note": lambda row: count(row, "note"),
        "unchecked": lambda row: row.not_checked,
        "waived": lambda row: row.waived,
        "month": lambda row: row.month,
        "report": lambda row: row in (art[7], art[40]),
    }
    for column, key in keys.items():
        header = page.locator(f"[data-sort={column}]")
        for _ in range(2):
            header.click()
            down = (
                page.locator(f".columnheader, .head .cell.{column}").get_attribute("aria-sort")
                == "descending"
            )
            expected = sorted(by_path, key=key, reverse=down)
            if down:  # what is alike stays in the order of paths
                expected = sorted(by_path, key=lambda row: row.path, reverse=column == "path")
                expected.sort(key=key, reverse=True)
            assert names(page) == [row.path.rpartition("/")[2] for row in expected], (column, down)


def test_a_rule_chosen_puts_first_where_it_found_most(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    page.locator("[data-rule]").filter(has_text="art-near-cut").click()
    assert page.locator("[name=sort]").input_value() == "-rule"
    assert rows(page).first.locator(".found").inner_text() == "art-near-cut 3 · contour-open 2"
    assert names(page) == ["deck.svg", "café menu.svg"]


def test_the_keyboard_alone_is_enough(few: Path, visit: Callable[..., Any]) -> None:
    page = visit(few)
    page.keyboard.press("/")
    page.keyboard.type("room")
    page.keyboard.press("ArrowDown")
    grid = page.get_by_role("grid")
    assert grid.evaluate("one => one === document.activeElement")
    page.keyboard.press("ArrowDown")
    current = page.locator(f"#{grid.get_attribute('aria-activedescendant')}")
    assert current.get_attribute("aria-selected") == "true"
    assert current.locator(".name").inner_text() == "café menu.svg"
    page.keyboard.press("Enter")
    assert current.get_attribute("aria-expanded") == "true"
    assert page.locator(".detail h3").inner_text() == "tea-room/café menu.svg"
    assert "file=tea-room" in page.evaluate("location.hash")
    page.keyboard.press("Escape")
    assert page.locator(".detail").count() == 0
    page.keyboard.press("End")
    assert page.locator(".row.current .name").inner_text() == names(page)[-1]


def test_an_opened_file_tells_what_is_known_and_the_address_opens_it(
    tmp_path: Path, visit: Callable[..., Any]
) -> None:
    before = (ART[0]._replace(found=(BLED,)), *ART[1:5])
    path = made(with_pictures(filled(tmp_path, before, ART)), {ART[0].path})
    page = visit(path)
    rows(page).first.click()
    told = " ".join(page.locator(".detail").inner_text().split())
    for words in ("2 errors of contour-open", "3 warnings of art-near-cut", "1 waived"):
        assert words in told
    assert "Worse: 1 error then, 2 errors now." in told
    assert page.locator(".detail a").get_attribute("href").startswith("reports/")
    again = visit(path, page.evaluate("location.hash"))
    assert again.locator(".detail h3").inner_text() == ART[0].path
    page.locator("[data-change=new]").click()
    assert names(page) == ["torn.svg"]
    rows(page).first.click()
    assert "Export it again." in page.locator(".detail").inner_text()


HOSTILE = (
    '</script><script>alert("tea")</script>.svg',
    "<img src=x onerror=alert(1)> & 'quoted' \"twice\".svg",
    "\u202egvs.reversed.svg",
    "$(touch scone) `jam` !! \\u202e\n.svg",
    "-o %PATH% ;&|.svg",
)


def test_names_of_strangers_are_shown_and_do_nothing(tmp_path: Path, visit: Callable[..., Any]) -> None:
    art = [Row(f"{name}/{name}", found=((f"{name}", "error", 1),), reason=None) for name in HOSTILE]
    art.append(Row("north/torn.svg", reason=HOSTILE[0], hint=HOSTILE[1]))
    page = visit(made(filled(tmp_path, art)))
    shown = [name.replace("\u202e", "\\u202e").replace("\n", "\\u000a") for name in HOSTILE]
    for place in range(len(art)):
        rows(page).nth(place).click()
        page.locator(".copy").click()
        page.keyboard.press("Escape")
    assert sorted(names(page)) == sorted([*(name.rpartition("/")[2] for name in shown), "torn.svg"])
    assert page.locator("main img, main script").count() == 0
    page.locator(".folders tbody tr").first.click()
    page.locator("[data-rule]").first.click()
    assert len(chips(page)) == 2


@pytest.mark.parametrize("name", HOSTILE)
def test_the_command_names_the_file_as_a_shell_reads_it(
    name: str, tmp_path: Path, visit: Callable[..., Any]
) -> None:
    """Source: POSIX, Shell Command Language, 2.2 (quoting), as `sh` and Python's shlex read it."""
    page = visit(made(filled(tmp_path, [Row(f"it's/{name}")], root="/srv/tea room")))
    rows(page).first.click()
    command = page.locator(".copy").get_attribute("data-copy")
    expected = ["preflight", "check", f"/srv/tea room/it's/{name}", "--report", "report.html"]
    assert shlex.split(command) == expected
    shell = shutil.which("sh")
    if shell is not None:
        told = subprocess.run(
            [shell, "-c", f"preflight() {{ printf '%s\\0' preflight \"$@\"; }}\n{command}"],
            capture_output=True,
            check=True,
            cwd=tmp_path,
        )
        assert told.stdout.decode().split("\0")[:-1] == expected


def test_what_lies_in_an_archive_is_taken_out_first(tmp_path: Path, visit: Callable[..., Any]) -> None:
    page = visit(made(filled(tmp_path, [Row("north/a b.svg")], root="/srv/summer.zip")))
    rows(page).first.click()
    assert "Take it out of /srv/summer.zip first." in page.locator(".making").inner_text()
    assert page.locator(".command").inner_text() == "preflight check 'a b.svg' --report report.html"


def test_on_windows_names_are_quoted_for_its_shells(tmp_path: Path, visit: Callable[..., Any]) -> None:
    """Source: from memory: both shells keep what stands in double quotes together; PowerShell expands $ in them, not in single ones."""
    art = [Row("north/a b.svg"), Row("north/c $(d).svg")]
    page = visit(made(filled(tmp_path, art, root="C:\\Tea Room")))
    commands = []
    for place in range(2):
        rows(page).nth(place).click()
        commands.append(page.locator(".making").inner_text().split("\n")[:2])
    assert 'preflight check "C:\\Tea Room\\north\\a b.svg" --report report.html' in commands[0][1]
    assert "PowerShell" in commands[1][0]
    assert "'C:\\Tea Room\\north\\c $(d).svg'" in commands[1][1]


def test_a_hundred_thousand_files_leave_few_rows_in_the_page(many: Path, visit: Callable[..., Any]) -> None:
    page = visit(many)
    grid = page.get_by_role("grid")
    assert grid.get_attribute("aria-rowcount") == str(MANY + 1)
    assert page.locator(".count").inner_text() == f"{MANY:,} files"
    assert many.stat().st_size < 25_000_000
    seen = []
    for part in (0, 0.25, 0.5, 0.999, 1):
        page.locator(".rows").evaluate("(one, part) => { one.scrollTop = one.scrollHeight * part; }", part)
        page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        assert rows(page).count() < FEW_IN_DOM
        seen.append(first_last(page))
    assert seen[0][0] == 0
    assert seen[-1][1] == MANY - 1
    grid.focus()
    page.keyboard.press("Home")
    page.keyboard.press("End")
    page.keyboard.press("Enter")
    assert page.locator(".row.current").get_attribute("aria-rowindex") == str(MANY + 1)
    assert page.locator(".detail").bounding_box()["y"] < 800
    page.get_by_role("searchbox").fill("tea-room menu 2024")
    expected = sum(all(word in row.path for word in ("tea-room", "menu", "2024")) for row in archive(MANY))
    assert page.locator(".count").inner_text() == f"{expected:,} of {MANY:,} files"
    assert rows(page).count() < FEW_IN_DOM


def test_a_list_taller_than_browsers_allow_is_still_gone_through(
    tmp_path: Path, visit: Callable[..., Any]
) -> None:
    path = made(with_pictures(filled(tmp_path, archive(3000))))
    path.write_bytes(path.read_bytes().replace(b'data-most="12000000"', b'data-most="20000"'))
    page = visit(path, "#sort=path")
    page.get_by_role("grid").focus()
    assert page.locator(".room").bounding_box()["height"] == 20000
    page.keyboard.press("End")
    assert first_last(page)[1] == 2999
    listed = page.locator(".rows").bounding_box()
    box = page.locator(".row.current").bounding_box()
    assert box["y"] + box["height"] <= listed["y"] + listed["height"] + 8
    met = set()
    page.keyboard.press("Home")
    for _ in range(600):
        met.update(range(first_last(page)[0], first_last(page)[1] + 1))
        page.keyboard.press("PageDown")
        assert page.locator(".row.current").count() == 1
        if 2999 in met:
            break
    assert met == set(range(3000))


@pytest.mark.parametrize("width", [400, 800, 1200])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_window_is_too_narrow(few: Path, visit: Callable[..., Any], width: int, scheme: str) -> None:
    page = visit(few, width=width, color_scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    rows(page).first.click()
    for part in (".row.current", ".detail", ".search"):
        box = page.locator(part).bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
    heights = rows(page).evaluate_all("all => all.map(row => [row.clientHeight, row.scrollHeight])")
    assert all(whole <= high for high, whole in heights)


def test_on_paper_stand_the_first_files(many: Path, visit: Callable[..., Any]) -> None:
    page = visit(many, "#level=error")
    number = page.locator(".count").inner_text().split(" ")[0]
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    printed = page.locator(".printed:visible")
    assert printed.count() == 60
    assert page.locator(".on-paper").inner_text() == f"The first 60 of {number} files."
    assert printed.nth(59).bounding_box()["y"] > printed.nth(0).bounding_box()["y"]
    page.emulate_media(media="screen")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator(".printed").count() == 0


def test_without_script_totals_and_tables_stand(few: Path, visit: Callable[..., Any]) -> None:
    with_script = visit(few)
    page = visit(few, java_script_enabled=False)
    assert tile(page, "error") == tile(with_script, "error") == "3"
    assert page.locator(".worst tbody tr").count() == 4
    assert not page.locator(".search").is_visible()
    for table in (".rules", ".folders"):
        told = [one.locator(f"{table} tbody td").all_inner_texts() for one in (page, with_script)]
        assert told[0] == told[1]


def test_all_that_can_be_pressed_has_a_name(few: Path, visit: Callable[..., Any]) -> None:
    """Source: WCAG 2.2, 4.1.2 (name, role, value)."""
    page = visit(few)
    rows(page).first.click()
    pressed = page.locator("button:visible, a:visible, input:visible, select:visible, summary:visible").all()
    assert len(pressed) > 30
    nameless = [one for one in pressed if not one.evaluate(NAME)]
    assert nameless == []


NAME = """one => (one.getAttribute('aria-label') || one.textContent || [...one.labels || []].map(label => label.textContent).join('')).trim()"""
