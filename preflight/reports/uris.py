"""Paths of files as URI references (RFC 3986). Knows no report."""

from __future__ import annotations

import re

__all__ = ["uri_of"]

_DRIVE = re.compile(r"[A-Za-z]:[\\/]")


def uri_of(path: str) -> str:
    r"""A path as the report gives it, percent-encoded: relative stays relative, absolute becomes ``file:``.

    ``art/sheet 1.svg`` becomes ``art/sheet%201.svg``, ``C:\art\a.svg`` becomes ``file:///C:/art/a.svg``, ``//shop/art/a.svg``
    becomes ``file://shop/art/a.svg``. Elsewhere a backslash is part of the name.
    """
    from urllib.parse import quote_from_bytes

    if _DRIVE.match(path):
        return f"file:///{path[:2]}{quote_from_bytes(_bytes(path[2:].replace(chr(92), '/')))}"
    if path.startswith("\\\\"):
        path = path.replace("\\", "/")
    quoted = quote_from_bytes(_bytes(path))
    if path.startswith("//"):
        return f"file:{quoted}"
    return f"file://{quoted}" if path.startswith("/") else quoted


def _bytes(text: str) -> bytes:
    """UTF-8; bytes that were none on disk, which Python holds as lone surrogates, come back as they were."""
    try:
        return text.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:  # other lone surrogates, which only Windows allows in names
        return text.encode("utf-8", "surrogatepass")
