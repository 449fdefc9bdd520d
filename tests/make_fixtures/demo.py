"""Writes fixtures/demo: `python tests/make_fixtures/demo.py [--into FOLDER]`. Same script, same bytes."""

from __future__ import annotations

import json
from pathlib import Path

from demo_sheet.archive import archive_files
from demo_sheet.faults import faulty, no_cut_line
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.season import summer_season
from demo_sheet.svg_writer import svg_text
from writing import write_fixtures

_DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"


def files() -> dict[str, bytes]:
    """Every file of the demo by its path inside the folder."""
    sheet, faults = faulty()
    sheets = {"summer-season": summer_season(), "faulty": sheet, "no-cut-line": no_cut_line()}
    expected = json.dumps([fault.plain() for fault in faults], indent=1) + "\n"
    return {
        **{f"{name}.svg": svg_text(drawn).encode() for name, drawn in sheets.items()},
        **{f"{name}.pdf": pdf_bytes(drawn) for name, drawn in sheets.items()},
        "faulty.expected.json": expected.encode(),
        **{f"archive/{name}": content for name, content in archive_files().items()},
    }


if __name__ == "__main__":
    write_fixtures(__doc__, files(), _DEMO)
