"""Writes fixtures/demo: `python tests/make_fixtures/demo.py [--into FOLDER]`. Same script, same bytes."""

from __future__ import annotations

import json
from pathlib import Path

from demo_sheet.archive import archive_files
from demo_sheet.colour_sheet import PROFILE as COLOUR_PROFILE
from demo_sheet.colour_sheet import in_palette, out_of_palette, palette_csv, palette_cxf
from demo_sheet.draft import Fault
from demo_sheet.faults import faulty, no_cut_line
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.season import summer_season
from demo_sheet.svg_writer import svg_text
from demo_sheet.window_faults import faulty_windows, gull_at_a_tenth
from demo_sheet.windows import PROFILE, bow_gull, window_films
from writing import write_fixtures

_DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"


def files() -> dict[str, bytes]:
    """Every file of the demo by its path inside the folder."""
    planted = {
        "faulty": faulty(),
        "roll/window-films-faulty": faulty_windows(),
        "roll/bow-gull-at-a-tenth": gull_at_a_tenth(),
        "colours/colours-faulty": out_of_palette(),
    }
    sheets = {
        "summer-season": summer_season(),
        "no-cut-line": no_cut_line(),
        "roll/window-films": window_films(),
        "roll/bow-gull": bow_gull(1.0),
        "colours/colours": in_palette(),
        **{name: sheet for name, (sheet, _) in planted.items()},
    }
    return {
        **{f"{name}.svg": svg_text(drawn).encode() for name, drawn in sheets.items()},
        **{f"{name}.pdf": pdf_bytes(drawn) for name, drawn in sheets.items()},
        **{f"{name}.expected.json": _told(faults) for name, (_, faults) in planted.items()},
        "roll/preflight.toml": PROFILE.encode(),
        "colours/preflight.toml": COLOUR_PROFILE.encode(),
        "colours/palette.csv": palette_csv(),
        "colours/palette.cxf": palette_cxf(),
        **{f"archive/{name}": content for name, content in archive_files().items()},
    }


def _told(faults: list[Fault]) -> bytes:
    return (json.dumps([fault.plain() for fault in faults], indent=1) + "\n").encode()


if __name__ == "__main__":
    write_fixtures(__doc__, files(), _DEMO)
