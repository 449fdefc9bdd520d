"""Files that are there whole or not at all, whenever the program is stopped. Knows nothing of what is in them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

__all__ = ["write_whole"]


def write_whole(path: Path, parts: Iterable[bytes]) -> None:
    """Write a file beside its place first, then rename it; what was there before stays until then.

    Raises
    ------
    OSError
    """
    beside = path.with_name(path.name + ".partial")
    try:
        with beside.open("wb") as file:
            file.writelines(parts)
        beside.replace(path)
    except OSError:
        beside.unlink(missing_ok=True)
        raise
