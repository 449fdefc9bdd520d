"""Where the address of a linked file leads, told by its words alone. Knows no file format, and opens and follows nothing."""

from __future__ import annotations

import os
from pathlib import Path
from urllib.parse import unquote, urlsplit

__all__ = ["below", "path_of"]


def path_of(address: str) -> str | None:
    """The path that an address gives from where it is written; None where it leads to another place altogether.

    Raises
    ------
    ValueError
        It is no valid address (RFC 3986).
    """
    parts = urlsplit(address)
    return None if parts.scheme or parts.netloc else unquote(parts.path)


def below(folder: Path, path: str) -> Path | None:
    """What a path from a folder leads to; None where that lies elsewhere, on another machine of the network perhaps.

    Parameters
    ----------
    folder : an absolute one. Links on the way from it are not followed, so the place found may still be one.
    """
    place = Path(os.path.normpath(folder / path))
    return place if place.is_relative_to(folder) else None
