"""The source of an audit's overview: its figures are the store's, it is the same each time, and nothing of a file's can act in it."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections import Counter
from collections.abc import Collection
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from audit_archive import audit, clean, faulty, written
from filled_store import Row, archive, filled
from lxml import html as lxml_html

from preflight.audit.overview import up_to_date, write_overview
from preflight.audit.own_folder import OVERVIEW, STORE
from preflight.audit.reading import Reading

OPEN = ("contour-open", "error", 2)
BLED = ("bleed-short", "error", 1)
NEAR = ("art-near-cut", "warning", 3)

HOSTILE = (
    '</script><script>alert("tea")</script>.svg',
    "<img src=x onerror=alert(1)>/\"quoted' & named.svg",
    "\u202egvs.reversed.svg",
    "<!-- scone \u2028 line.svg",
    "jam\\ud800 \\u202e.svg",
)


def overview(into: Path, reports: Collection[str] = (), profile: str | None = None) -> str:
    with closing(Reading(into / STORE)) as reading:
        write_overview(reading, into, reports, profile)
    return (into / OVERVIEW).read_text("utf-8")


def data_of(page: str) -> dict[str, Any]:
    block = re.search(r'id="audit-data">(.*?)</script>', page, re.DOTALL)
    assert block is not None
    assert not set(block[1]) & set("<>&\u2028\u2029")
    document: dict[str, Any] = json.loads(block[1])
    return document


def figures(page: str, path: str) -> list[list[str]]:
    rows = lxml_html.document_fromstring(page).xpath(path)
    return [[" ".join(cell.text_content().split()) for cell in row.xpath("./th|./td")] for row in rows]


def tiles(page: str) -> dict[str, tuple[str, str]]:
    found = lxml_html.document_fromstring(page).xpath("//*[contains(@class, 'tile ') or @class='tile']")
    return {
        tile.get("data-kind"): tuple(
            " ".join(tile.xpath(f".//*[@class='{part}']")[0].text_content().split())
            for part in ("number", "against")
        )
        for tile in found
    }


def test_totals_are_the_stores(tmp_path: Path) -> None:
    rows = archive(700)
    page = overview(filled(tmp_path, rows[:600], rows))
    with closing(Reading(tmp_path / STORE)) as reading:
        before, last = reading.runs()
        rules = reading.rules_of_run(last.number)
        told = {name: f"{getattr(last, name):,}" for name in ("files", "unreadable", "error", "waived")}
        assert {name: tiles(page)[name][0] for name in told} == told
        assert tiles(page)["unchecked"][0] == f"{last.not_checked:,}"
        assert tiles(page)["error"][1] == f"+{last.error - before.error:,} since run 1"
    listed = figures(page, "//table[@class='rules']/tbody/tr")
    expected = {one.rule: [f"{one.files:,}", f"{one.findings:,}"] for one in rules}
    assert {row[0].split(": ")[1]: row[1:3] for row in listed} == expected
    columns = data_of(page)
    assert sum(columns["error"]) == last.error
    assert sum(columns["times"]) == last.error + last.warning + last.note
    assert len(columns["unreadable"]) == last.unreadable
    assert len(columns["fresh"]) == last.added == 100


def test_the_columns_hold_each_file(tmp_path: Path) -> None:
    rows = [*archive(300), Row("at-the-root.svg", None), Row("odd//doubled.svg")]
    columns = data_of(overview(filled(tmp_path, rows), {rows[0].path, "gone.svg"}))
    ends = [0, *columns["ends"]]
    held = {}
    for place, name in enumerate(columns["names"]):
        folder = columns["folders"][columns["folder"][place]]
        pairs = range(ends[place], ends[place + 1])
        found = {
            (columns["rules"][rule], ("error", "warning", "note")[level], columns["times"][at])
            for at in pairs
            for rule, level in [columns["pairs"][columns["found"][at]]]
        }
        month = columns["month"][place]
        held["/".join([folder, name] if folder else [name])] = (
            found,
            None if month < 0 else columns["months"][month],
        )
    assert held == {row.path: (set(row.found), row.month) for row in rows}
    assert [columns["names"][file] for file, _ in columns["reports"]] == [rows[0].path.rpartition("/")[2]]


def test_folders_and_months_count_what_is_below(tmp_path: Path) -> None:
    rows = [
        Row("art/north/2025/a.svg", "2025-12", (OPEN,)),
        Row("art/north/2026/b.svg", "2026-01", (BLED, NEAR)),
        Row("art/south/c.svg", "2026-01"),
        Row("art/south/d.svg", None, reason="Empty.", hint="Export it again."),
        Row("art/top.svg", "2026-02"),
    ]
    page = overview(filled(tmp_path, rows))
    assert figures(page, "//table[@class='folders']/tbody/tr") == [
        ["art/north", "2", "3"],
        ["art/south", "2", "1"],
        ["art", "1", "0"],
    ]
    bars = lxml_html.document_fromstring(page).xpath("//*[@class='bar']/@title")
    assert bars == [
        "Month not known: 1 file, 1 with errors or unreadable",
        "2025-12: 1 file, 1 with errors or unreadable",
        "2026-01: 2 files, 1 with errors or unreadable",
        "2026-02: 1 file, 0 with errors or unreadable",
    ]
    assert tiles(page)["clean"][0] == "2"


def test_what_changed_since_the_run_before(tmp_path: Path) -> None:
    first = [Row("better.svg", found=(OPEN,)), Row("gone.svg"), Row("same.svg"), Row("worse.svg")]
    second = [
        Row("better.svg", found=(BLED,)),
        Row("new.svg"),
        Row("same.svg"),
        Row("worse.svg", reason="Empty."),
    ]
    page = overview(filled(tmp_path, first))
    assert tiles(page)["error"] == ("2", "first run")
    assert "data-change" not in re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    page = overview(filled(tmp_path / "later", first, second))
    changes = lxml_html.document_fromstring(page).xpath("//*[@data-change]")
    assert [one.text_content() for one in changes] == ["1 worse", "1 better", "1 new"]
    assert "1 gone." in page
    rules = {row[0].split(": ")[1]: row[1:] for row in figures(page, "//table[@class='rules']/tbody/tr")}
    assert rules == {"bleed-short": ["1", "1", "+1"], "contour-open": ["0", "0", "−2"]}
    with closing(Reading(tmp_path / "later" / STORE)) as reading:
        assert list(reading.new_files()) == ["new.svg"]


def test_the_same_store_gives_the_same_bytes(tmp_path: Path) -> None:
    rows = archive(200)
    reports = {row.path for row in rows if row.found}
    page = overview(filled(tmp_path / "a", rows[:150], rows), reports)
    assert overview(tmp_path / "a", sorted(reports)) == page
    assert overview(filled(tmp_path / "b", rows[:150], rows), reports) == page
    assert {path.name for path in (tmp_path / "a").iterdir()} >= {OVERVIEW}
    assert not list(tmp_path.rglob("*.partial"))


def test_a_page_is_made_anew_only_where_it_would_differ(tmp_path: Path) -> None:
    rows = archive(50)
    filled(tmp_path, rows)
    with closing(Reading(tmp_path / STORE)) as reading:
        assert not up_to_date(reading, tmp_path, set())
        write_overview(reading, tmp_path, set())
        assert up_to_date(reading, tmp_path, set())
        assert not up_to_date(reading, tmp_path, {rows[0].path})
        assert not up_to_date(reading, tmp_path, set(), "/shop/preflight.toml")
    (tmp_path / OVERVIEW).write_bytes(b"<p>something else</p>")
    with closing(Reading(tmp_path / STORE)) as reading:
        assert not up_to_date(reading, tmp_path, set())


def test_nothing_of_a_file_can_act(tmp_path: Path) -> None:
    bad = "</script><script>alert(1)</script>"
    rows = [
        Row(f"north/{name}", found=((f"{bad}{place}", "error", 1),)) for place, name in enumerate(HOSTILE)
    ]
    rows += [Row(f"{bad}/torn.svg", reason=f"{bad}\u202e", hint=bad)]
    into = filled(tmp_path, rows, root=f"/srv/{bad}")
    page = overview(into, {rows[0].path}, bad)
    tree = lxml_html.document_fromstring(page)
    assert len(tree.xpath("//script")) == 2
    assert not tree.xpath("//img|//*[@onerror]|//*[@style]")
    assert "\u202e" not in re.sub(r"<script.*?</script>", "", page, flags=re.DOTALL)
    assert sorted(data_of(page)["names"]) == sorted(row.path.rpartition("/")[2] for row in rows)


def test_the_policy_names_what_is_inlined_and_nothing_is_loaded_from_elsewhere(tmp_path: Path) -> None:
    page = overview(filled(tmp_path, archive(30)))
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy is not None
    assert policy[1].startswith("default-src &#39;none&#39;; img-src &#39;self&#39;; ")
    for tag in ("style", "script"):
        (inlined,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inlined.encode()).digest()).decode()
        assert f"{tag}-src &#39;sha256-{digest}&#39;" in policy[1]
    assert not re.search(r"""(?:src|href|action)=["'](?!#)""", page)
    assert "url(" not in page
    assert "://" not in page.replace("http://www.w3.org/2000/svg", "")


def test_the_worst_files_are_told_without_script(tmp_path: Path) -> None:
    rows = [
        Row("a.svg"),
        Row("b.svg", found=(NEAR,)),
        Row("c.svg", found=(OPEN, NEAR)),
        Row("d.svg", reason="Torn."),
    ]
    page = overview(filled(tmp_path, rows), {"c.svg"})
    assert figures(page, "//table[@class='worst']/tbody/tr") == [
        ["c.svg", "2 errors, 3 warnings", "report"],
        ["d.svg", "Torn.", ""],
        ["b.svg", "3 warnings", ""],
    ]


def test_the_command_writes_it(tmp_path: Path) -> None:
    root = written(tmp_path / "art", {"a.svg": faulty(), "north/b.svg": clean(), "torn.svg": b""})
    into = tmp_path / "told"
    assert audit(root, "--into", into, "-j", "1", "--reports", "1").returncode == 1
    page = (into / OVERVIEW).read_text("utf-8")
    columns = data_of(page)
    assert Counter(columns["names"]) == Counter(["a.svg", "b.svg", "torn.svg"])
    ((file, address),) = columns["reports"]
    assert columns["names"][file] == "a.svg"
    assert (into / address).is_file()
    name = columns["pictures"][file]
    assert (into / "pictures" / name[:2] / name).is_file()
    made = (into / OVERVIEW).stat().st_mtime_ns
    audit(root, "--into", into, "-j", "1", "--reports", "1")
    assert (into / OVERVIEW).stat().st_mtime_ns == made
    audit(root, "--into", into, "-j", "1", "--reports", "0")
    assert data_of((into / OVERVIEW).read_text("utf-8"))["reports"] == []


@pytest.mark.parametrize(
    ("root", "kind"),
    [
        ("/srv/archive", "folder"),
        ("C:\\Artwork", "drive"),
        ("\\\\server\\art", "drive"),
        ("/srv/summer.ZIP", "away"),
        ("s3://bucket/art", "away"),
    ],
)
def test_how_files_are_reached_is_told_by_the_root(root: str, kind: str, tmp_path: Path) -> None:
    assert data_of(overview(filled(tmp_path, [Row("a.svg")], root=root)))["kind"] == kind
