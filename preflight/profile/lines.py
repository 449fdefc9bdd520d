"""On which line of a TOML file each key stands, for people to find it. Knows no meaning of any key."""

from __future__ import annotations

import re
from collections import Counter

__all__ = ["lines_of_keys"]

_HEADER = r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(#.*)?$"
_PART = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEY = rf"\s*({_PART}(?:\s*\.\s*{_PART})*)\s*="


def lines_of_keys(text: str, prefix: str = "") -> dict[str, int]:
    """Line of each dotted key, counted from 1. Tables of a list are numbered from 0: ``overrides.0.rules``.

    ``prefix`` is left out of the keys (``tool.preflight.``). What stands inside a text of several lines is no key.
    """
    lines: dict[str, int] = {}
    seen: Counter[str] = Counter()
    table, closing = "", ""
    for number, line in enumerate(text.splitlines(), 1):
        if closing:
            closing = "" if closing in line else closing
            continue
        header = re.match(_HEADER, line)
        key = None if header else re.match(_KEY, line)
        if header:
            table = _dotted(header[2])
            if header[1] == "[[":
                lines.setdefault(table.removeprefix(prefix), number)
                seen[table] += 1
                table = f"{table}.{seen[table] - 1}"
            lines.setdefault(table.removeprefix(prefix), number)
        elif key:
            dotted = f"{table}.{_dotted(key[1])}" if table else _dotted(key[1])
            lines.setdefault(dotted.removeprefix(prefix), number)
        closing = next((quotes for quotes in ('"""', "'''") if line.count(quotes) % 2), "")
    return lines


def _dotted(written: str) -> str:
    return ".".join(part.strip("\"'") for part in re.findall(_PART, written))
