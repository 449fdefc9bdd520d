"""Names as a person sees them in a drawing program, out of ids and labels. Knows no drawing."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from lxml import etree

__all__ = ["INKSCAPE", "SODIPODI", "attributes_of", "decoded_id", "line_of", "name_in", "own_name"]

INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
SODIPODI = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
_LABEL = f"{{{INKSCAPE}}}label"

_ESCAPE = r"_x([0-9A-Fa-f]{2,6})_"
_COPY = r"(?<=.)_\d+_$"


@lru_cache(maxsize=8192)
def decoded_id(text: str) -> str:
    """An id with ``_xHH_`` escapes undone and the ``_1_`` tail of a copy dropped.

    >>> decoded_id("Kiss_x20_Cut_1_")
    'Kiss Cut'
    """
    if "_" not in text:
        return text
    plain = re.sub(_COPY, "", text)
    return re.sub(_ESCAPE, _escaped, plain)


def _escaped(found: re.Match[str]) -> str:
    """The character that an escape stands for; the escape itself where there is no such character."""
    code = int(found[1], 16)
    return found[0] if code >= 0x110000 or 0xD800 <= code < 0xE000 else chr(code)


def own_name(element: etree._Element) -> str | None:
    """Label, ``data-name`` or decoded id of an element, the first there is."""
    return name_in(attributes_of(element))


def attributes_of(element: etree._Element) -> dict[str, str]:
    """All attributes, fetched in one go: asking for each by itself costs several times as much."""
    entries: Any = element.items()  # the stubs allow for bytes, which only HTML ever gives
    return dict(entries)


def name_in(attributes: Mapping[str, str]) -> str | None:
    """The same, out of an element's attributes."""
    label = attributes.get(_LABEL) or attributes.get("data-name")
    if label and label.strip():
        return label.strip()
    name = attributes.get("id")
    return decoded_id(name) if name else None


def line_of(element: etree._Element) -> int | None:
    """The line an element starts on, where known."""
    line: Any = element.sourceline  # the stubs leave its type out
    return line if isinstance(line, int) and line > 0 else None
