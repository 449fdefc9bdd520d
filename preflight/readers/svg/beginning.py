"""How a file begins, and whether that is SVG: asked of every file, so no XML is loaded here. Knows nothing of the rest."""

from __future__ import annotations

import re
import zlib

__all__ = ["GZIP", "sniff", "text_of"]

GZIP = b"\x1f\x8b"
"""What compressed files begin with."""

_BYTE_ORDER_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")
_ROOT = re.compile(r"<(?:[A-Za-z_][\w.-]*:)?svg[\s>/]")


def sniff(data: bytes) -> bool:
    """Whether the bytes look like SVG or compressed SVG, told by content alone."""
    head = data[:65536]
    if head.startswith(GZIP):
        try:
            head = zlib.decompressobj(31).decompress(head, 65536)
        except zlib.error:
            return False
    return bool(_ROOT.search(text_of(head)))


def text_of(data: bytes) -> str:
    """Decode as an XML reader would, for looking at; bytes that do not fit are replaced."""
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return data.decode(encoding, "replace")
    if data[:4] == b"<\x00?\x00" or data[:4] == b"<\x00s\x00":
        return data.decode("utf-16-le", "replace")
    if data[:4] == b"\x00<\x00?" or data[:4] == b"\x00<\x00s":
        return data.decode("utf-16-be", "replace")
    declared = _DECLARED.match(data)
    encoding = declared.group(1).decode("ascii") if declared else "utf-8"
    try:
        return data.decode(encoding, "replace")
    except LookupError:
        return data.decode("utf-8", "replace")
