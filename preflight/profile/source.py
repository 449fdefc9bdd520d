"""One profile file: found, read, and where each of its keys stands. Knows TOML; what the keys mean it does not."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import msgspec

from .errors import ProfileError

__all__ = ["FILE_NAME", "ProfileFile", "as_written", "found", "opened"]

FILE_NAME = "preflight.toml"
_PROJECT_FILE = "pyproject.toml"
_PROJECT_TABLE = "tool.preflight"


class ProfileFile(msgspec.Struct, frozen=True):
    """A profile as one file writes it; ``lines`` holds the line of each dotted key, counted from 1."""

    path: Path
    table: Mapping[str, Any]
    lines: Mapping[str, int]

    def place(self, key: str) -> str:
        """File and line of a key, or of the table around it where that is all that is known."""
        while key and key not in self.lines:
            key = key.rpartition(".")[0]
        return f"{self.path}:{self.lines[key]}" if key else str(self.path)

    def error(self, key: str, message: str) -> ProfileError:
        """What is wrong with a key, and the mend, with its place."""
        return ProfileError(message, self.place(key), as_written(key))


def as_written(key: str) -> str:
    """The key as a profile writes it: which of the overrides it is, its line tells."""
    return re.sub(r"^overrides\.\d+", "overrides", key)


def found(start: Path) -> Path | None:
    """The profile for files in a folder: in it, or in the nearest of those above.

    Raises
    ------
    ProfileError
        A ``pyproject.toml`` that speaks of this program cannot be read.
    """
    for folder in (start.resolve(), *start.resolve().parents):
        if (folder / FILE_NAME).is_file():
            return folder / FILE_NAME
        project = folder / _PROJECT_FILE
        if project.is_file() and _speaks_of_us(project) and _tool_table(_parsed(project)) is not None:
            return project
    return None


def opened(path: Path, named_by: ProfileFile | None = None) -> ProfileFile:
    """A profile read from its file.

    Parameters
    ----------
    named_by : the profile whose ``extends`` names this one, None where a person or its folder does.

    Raises
    ------
    ProfileError
    """
    if named_by is not None and not path.exists():
        raise named_by.error(
            "extends",
            f"{named_by.table['extends']!r} does not exist (looked for as {path}); correct the path, which is taken "
            "from the profile's folder, or take it out",
        )
    table: dict[str, Any] | None = _parsed(path)
    inside = path.name == _PROJECT_FILE
    if inside:
        table = _tool_table(table)
    if table is None:
        raise ProfileError("there is no [tool.preflight] table; add it, or name another profile", str(path))
    text = path.read_text(encoding="utf-8")
    from .lines import lines_of_keys  # only where there is a profile file

    return ProfileFile(path, table, lines_of_keys(text, f"{_PROJECT_TABLE}." if inside else ""))


def _speaks_of_us(project: Path) -> bool:
    """Whether a project file holds our table at all; one that does not is none of our business, sound or not."""
    try:
        return _PROJECT_TABLE.encode() in project.read_bytes()
    except OSError:
        return True  # reading it then says what is wrong, file and reason


def _tool_table(document: Mapping[str, Any] | None) -> dict[str, Any] | None:
    tools = (document or {}).get("tool")
    table = tools.get("preflight") if isinstance(tools, dict) else None
    return table if isinstance(table, dict) else None


def _parsed(path: Path) -> dict[str, Any]:
    import tomllib

    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ProfileError(
            "there is no such profile; correct the path, or write one with preflight init", str(path)
        ) from None
    except OSError as error:
        raise ProfileError(
            f"the profile cannot be read: {error.strerror or error}; name a TOML file that can be", str(path)
        ) from None
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise ProfileError("the profile is not UTF-8 text; save it as UTF-8", f"{path}:{line}") from None
    except tomllib.TOMLDecodeError as error:
        told = re.search(r"at line (\d+)", str(error))
        place = f"{path}:{told[1]}" if told else str(path)
        raise ProfileError(f"not valid TOML: {error}; mend what stands there", place) from None
