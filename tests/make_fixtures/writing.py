"""Writes the files that a maker makes into its folder. Knows not what they show."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path


def write_fixtures(about: str | None, files: Mapping[str, bytes], folder: Path) -> None:
    """The command of a maker: every file by its path inside the folder, or inside the one named by ``--into``."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument(
        "--into", type=Path, default=folder, help=f"folder to write (default: fixtures/{folder.name})"
    )
    into: Path = parser.parse_args().into
    for name, content in files.items():
        path = into / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
