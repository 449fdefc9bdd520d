"""On which line of a TOML file each key stands, for people to find it. Knows no meaning of any key."""

from __future__ import annotations

import re

__all__ = ["lines_of_keys"]

_HEADER = r"\s*\[\[?\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$"
_PART = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEY = rf"\s*({_PART}(?:\s*\.\s*{_PART})*)\s*="


def lines_of_keys(text: str, prefix: str = "") -> dict[str, int]:
    """Line of each dotted key, counted from 1; a key written inside a multi-line text may be listed as well.

    ``prefix`` is left out of the keys (``tool.preflight.``).
    """
    lines: dict[str, int] = {}
    table = ""
    for number, line in enumerate(text.splitlines(), 1):
        header = re.match(_HEADER, line)
        key = None if header else re.match(_KEY, line)
        if header:
            table = _dotted(header[1])
            lines.setdefault(table.removeprefix(prefix), number)
        elif key:
            dotted = f"{table}.{_dotted(key[1])}" if table else _dotted(key[1])
            lines.setdefault(dotted.removeprefix(prefix), number)
    return lines


def _dotted(written: str) -> str:
    return ".".join(part.strip("\"'") for part in re.findall(_PART, written))
