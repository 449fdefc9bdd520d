"""Finds, reads and chains profile files. Knows keys and lines, no meaning of any value."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .errors import ProfileError

__all__ = ["FILE_NAME", "Source", "found_from", "read_chain"]

FILE_NAME = "preflight.toml"
PROJECT_FILE = "pyproject.toml"
PROJECT_TABLE = "tool.preflight"


@dataclass(frozen=True, slots=True)
class Source:
    """One profile file as read: its raw tables and the line of each dotted key."""

    path: Path
    tables: dict[str, Any]
    lines: dict[str, int]

    def place(self, key: str) -> str:
        """File and, where known, line of a key, as ``profile show`` prints it."""
        line = self.lines.get(key)
        return str(self.path) if line is None else f"{self.path}:{line}"

    def error(self, key: str | None, message: str) -> ProfileError:
        """An error about one key of this file."""
        return ProfileError(message, self.path, key)


def found_from(start: Path) -> Path | None:
    """The profile that files in a folder come under: the nearest one upwards."""
    folder = start.resolve()
    if not folder.is_dir():
        folder = folder.parent
    for place in (folder, *folder.parents):
        if (place / FILE_NAME).is_file():
            return place / FILE_NAME
        project = place / PROJECT_FILE
        # A project file that never names this program is none of its business, well-formed or not.
        if project.is_file() and PROJECT_TABLE in _text(project) and _project_table(project) is not None:
            return project
    return None


def read_chain(path: Path) -> list[Source]:
    """The profile and all it extends, the farthest first.

    Raises
    ------
    ProfileError
        A file cannot be read or is no TOML, ``extends`` is no path, or the chain runs in a circle.
    """
    chain: list[Source] = []
    seen: list[Path] = []
    place: Path | None = path.absolute()
    while place is not None:
        if place.resolve() in seen:
            circle = " → ".join(str(one) for one in (*seen, place.resolve()))
            raise chain[-1].error("extends", f"the profiles extend one another in a circle: {circle}")
        seen.append(place.resolve())
        source = _read(place, chain[-1] if chain else None)
        chain.append(source)
        further = source.tables.pop("extends", None)
        if further is not None and not isinstance(further, str):
            raise source.error("extends", f"{further!r} is not a path in quotes")
        place = None if further is None else place.parent / further
    return chain[::-1]


def _read(path: Path, extended_by: Source | None) -> Source:
    if not path.is_file():
        if extended_by is not None:
            raise extended_by.error("extends", f"there is no profile {path}")
        raise ProfileError("there is no such profile; preflight init writes one", path)
    text = _text(path)
    tables: dict[str, Any]
    prefix = ""
    if path.name == PROJECT_FILE:
        found = _project_table(path)
        if found is None:
            raise ProfileError(f"it has no table [{PROJECT_TABLE}]", path)
        tables, prefix = found, PROJECT_TABLE + "."
    else:
        tables = _parsed(path, text)
    return Source(path, tables, _lines(text, prefix))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProfileError(f"it is not UTF-8 text (byte {error.start}); save it as UTF-8", path) from None
    except OSError as error:
        raise ProfileError(f"it cannot be opened: {error.strerror or error}", path) from None


def _parsed(path: Path, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"it is not TOML: {error}", path) from None


def _project_table(path: Path) -> dict[str, Any] | None:
    tools = _parsed(path, _text(path)).get("tool", {})
    table = tools.get("preflight") if isinstance(tools, dict) else None
    return table if isinstance(table, dict) else None


_HEADER = re.compile(r"\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_PART = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")


def _lines(text: str, prefix: str) -> dict[str, int]:
    """Line of each dotted key, for people to find it; inside multi-line strings it may name a line too many."""
    lines: dict[str, int] = {}
    repeats: dict[str, int] = {}
    table = ""
    for number, line in enumerate(text.splitlines(), 1):
        header = _HEADER.match(line)
        key = _KEY.match(line)
        if header:
            table = _dotted(header[2])
            if header[1] == "[[":
                repeats[table] = repeats.get(table, -1) + 1
                table = f"{table}[{repeats[table]}]"
            lines.setdefault(table.removeprefix(prefix), number)
        elif key:
            dotted = f"{table}.{_dotted(key[1])}" if table else _dotted(key[1])
            lines.setdefault(dotted.removeprefix(prefix), number)
    return lines


def _dotted(written: str) -> str:
    return ".".join(part.strip("\"'") for part in _PART.findall(written))
