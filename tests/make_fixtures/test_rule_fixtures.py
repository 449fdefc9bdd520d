"""The PDF files of fixtures/rules are what their maker writes, and qpdf has nothing to say about them."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pytest

from rules import files

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "rules"
WRITTEN = files()


@pytest.mark.parametrize("name", sorted(WRITTEN))
def test_committed_file_is_what_the_maker_writes(name: str) -> None:
    assert (FOLDER / name).read_bytes() == WRITTEN[name]


def test_every_pdf_there_has_its_maker() -> None:
    assert {path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*.pdf")} == {
        name for name in WRITTEN if name.endswith(".pdf")
    }


@pytest.mark.parametrize("name", sorted(name for name in WRITTEN if name.endswith(".pdf")))
def test_qpdf_has_nothing_to_say_about_it(name: str) -> None:
    with pikepdf.open(FOLDER / name) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert pdf.get_warnings() == []
