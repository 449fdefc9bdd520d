"""What is installed is what is there: a folder of code left out of the list breaks only the installed program."""

from __future__ import annotations

import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_every_folder_of_code_is_installed() -> None:
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]["packages"]
    folders = {
        path.parent.relative_to(ROOT) for top in ("preflight", "rules") for path in (ROOT / top).rglob("*.py")
    }
    assert set(listed) == {
        ".".join(("preflight_rules" if p == "rules" else p) for p in f.parts) for f in folders
    }
