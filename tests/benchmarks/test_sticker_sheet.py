"""The benchmark's sheets are what the benchmark says they are."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from sticker_sheet import (
    ART,
    SEGMENTS_PER_STICKER,
    write_art_sheet,
    write_one_object,
    write_pdf_sheet,
    write_sheet,
)

from preflight.engine import check_file

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("stickers", [1, 100, 101])
def test_a_sheet_has_the_stickers_contours_and_segments_asked_for(stickers: int, tmp_path: Path) -> None:
    write_sheet(tmp_path / "sheet.svg", stickers)
    art, cuts = ElementTree.parse(tmp_path / "sheet.svg").getroot().findall(f"{SVG}g")  # noqa: S314 -- ours
    paths = [path.get("d", "") for group in (art, cuts) for path in group]
    assert len(cuts) == stickers
    assert len(art) == 2 * stickers
    assert sum(path.count("C") for path in paths) == SEGMENTS_PER_STICKER * stickers
    assert all(path.count("M") == path.count("Z") == 1 for path in paths)


def test_the_same_sheet_each_time_and_one_object(tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg"):
        write_sheet(tmp_path / name, 30)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    write_one_object(tmp_path / "one.svg")
    assert (tmp_path / "one.svg").read_text().count("<path") == 1


def test_the_sheet_as_pdf_holds_the_same_contours(tmp_path: Path) -> None:
    import pikepdf

    write_pdf_sheet(tmp_path / "sheet.pdf", 30)
    with pikepdf.open(tmp_path / "sheet.pdf") as pdf:
        content = pdf.pages[0].Contents.read_bytes()
    assert content.count(b" c\n") == SEGMENTS_PER_STICKER * 30
    assert content.count(b" m\n") == content.count(b"h\n") == 3 * 30
    assert content.endswith(b"S")
    assert content.count(b"\nS") == 30
    write_pdf_sheet(tmp_path / "again.pdf", 30)
    assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "sheet.pdf").read_bytes()


def test_sheets_are_in_order(tmp_path: Path) -> None:
    """What is measured is the work on a good sheet: none of it ends early, none of it goes into telling faults."""
    write_sheet(tmp_path / "sheet.svg", 100)
    write_pdf_sheet(tmp_path / "sheet.pdf", 100)
    write_art_sheet(tmp_path / "art.svg", 100)
    for name in ("sheet.svg", "sheet.pdf", "art.svg"):
        assert list(check_file(tmp_path / name).findings()) == []
    assert (tmp_path / "art.svg").read_text().count("<path") == 100 * (ART + 1)
