"""What installed distributions declare for an entry point group. Knows no plug-in and imports none.

`importlib.metadata` answers the same question, but importing it costs a tenth of the time in which a small file is
checked (it brings a mail parser, sockets and archives along). So the common case, folders of unpacked
distributions on `sys.path`, is read here; wherever anything else may hold distributions, it is asked after all.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from importlib.machinery import PathFinder
from pathlib import Path

import msgspec

__all__ = ["EntryPoint", "declared"]


class EntryPoint(msgspec.Struct, frozen=True, order=True):
    """One line of an ``entry_points.txt``: its name, the object it stands for, and who declares it."""

    name: str
    value: str
    distribution: str
    version: str


def declared(group: str) -> list[EntryPoint]:
    """The entry points of a group, sorted; of distributions of one name the first on `sys.path` counts."""
    if _only_folders():
        return sorted(_of_folders(group, sys.path))
    from importlib.metadata import entry_points

    return sorted(
        EntryPoint(point.name, point.value, point.dist.name, point.dist.version)
        for point in entry_points(group=group)
        if point.dist is not None
    )


def _only_folders() -> bool:
    """Whether every place that can hold distributions is a folder: no archive, no finder of its own."""
    finders = [finder for finder in sys.meta_path if hasattr(finder, "find_distributions")]
    return finders == [PathFinder] and not any(Path(entry).is_file() for entry in sys.path)


def _of_folders(group: str, folders: Iterable[str]) -> Iterator[EntryPoint]:
    seen: set[str] = set()
    for folder in folders:
        for path in _distributions(Path(folder)):
            name = _normalised(path.stem.partition("-")[0])
            if name not in seen:
                seen.add(name)
                yield from _of_distribution(group, path)


def _distributions(folder: Path) -> list[Path]:
    """The ``.dist-info`` and ``.egg-info`` folders in a folder, sorted; none where it is not there."""
    try:
        with os.scandir(folder) as entries:
            names = [entry.name for entry in entries if entry.name.endswith((".dist-info", ".egg-info"))]
        return [folder / name for name in sorted(names)]
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return []  # sys.path may name what does not exist: Python's own import passes over it as well


def _of_distribution(group: str, path: Path) -> Iterator[EntryPoint]:
    text = _text(path / "entry_points.txt")
    if f"[{group}]" not in text:
        return
    about = _text(path / "METADATA") or _text(path / "PKG-INFO")
    fields = dict(line.partition(": ")[::2] for line in reversed(about.partition("\n\n")[0].splitlines()))
    section = ""
    for line in map(str.strip, text.splitlines()):
        if line.startswith("["):
            section = line.strip("[] ")
        elif section == group and line and not line.startswith("#"):
            name, _, value = (part.strip() for part in line.partition("="))
            yield EntryPoint(name, value, fields.get("Name", "unknown"), fields.get("Version", "unknown"))


def _text(path: Path) -> str:
    """A file's text, or none where there is no such file."""
    try:
        return path.read_text(encoding="utf-8")
    except (FileNotFoundError, NotADirectoryError):
        return ""


def _normalised(name: str) -> str:
    return name.replace("-", "_").replace(".", "_").lower()
