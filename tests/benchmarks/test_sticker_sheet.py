"""The benchmark's sheets are what the benchmark says they are."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from sticker_sheet import SEGMENTS_PER_STICKER, write_one_object, write_sheet

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
