"""Writes fixtures/demo: `python tests/make_fixtures/demo.py [--into FOLDER]`. Same script, same bytes."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from demo_sheet.archive import archive_files
from demo_sheet.faults import faulty, no_cut_line
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.season import summer_season
from demo_sheet.svg_writer import svg_text

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


def main() -> None:
    """Write the files."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--into", type=Path, default=_DEMO, help="folder to write (default: fixtures/demo)")
    into: Path = parser.parse_args().into
    for name, content in files().items():
        path = into / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


if __name__ == "__main__":
    main()
