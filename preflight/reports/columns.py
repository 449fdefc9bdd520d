"""How wide text for people may be, in columns; the same for every command. Knows no text."""

from __future__ import annotations

import os
from typing import TextIO

__all__ = ["LEAST_COLUMNS", "MOST_COLUMNS", "columns", "is_terminal"]

LEAST_COLUMNS = 40
MOST_COLUMNS = 200
_PIPE_COLUMNS = 80
"""In a pipe or file, where nothing tells a width."""


def columns(stream: TextIO | None, wanted: int | None = None) -> int:
    """Columns for text written to a stream, from 40 to 200.

    Parameters
    ----------
    stream : where the text goes; None where there is no such stream.
    wanted : goes before all else; then ``COLUMNS`` of the environment (POSIX.1-2017, 8.3), then the terminal's own
        width, then 80.
    """
    found = wanted or _said() or _width_of(stream) or _PIPE_COLUMNS
    return min(max(found, LEAST_COLUMNS), MOST_COLUMNS)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether somebody looks on."""
    return stream is not None and not stream.closed and stream.isatty()


def _said() -> int | None:
    """``COLUMNS`` where it is a number of columns."""
    try:
        said = int(os.environ.get("COLUMNS", ""))
    except ValueError:
        return None
    return said if said > 0 else None


def _width_of(stream: TextIO | None) -> int | None:
    """The terminal's width; None in a pipe, or where the terminal does not tell it."""
    if stream is None or not is_terminal(stream):
        return None
    try:
        # Not shutil's function, which brings three kinds of compression along.
        return os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):
        return None
