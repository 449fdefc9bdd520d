"""A PDF written as text, made whole: the lengths of its streams and the table of where its objects stand. Knows nothing of what it shows.

What it takes: objects that begin on a line of their own, no stream of anything but text, every object of generation 0, one
table and one trailer. Structure: ISO 32000-1:2008, 7.3.8 and 7.5.
"""

from __future__ import annotations

import re

__all__ = ["made_whole"]

_STREAM = re.compile(
    rb"/Length \d+(?P<between>[^>]*>>\nstream\n)(?P<content>.*?)(?P<end>\nendstream)", re.DOTALL
)
_OBJECT = re.compile(rb"^(\d+) 0 obj$", re.MULTILINE)
_TABLE = re.compile(rb"^xref\n.*?(?=^trailer)", re.MULTILINE | re.DOTALL)
_START = re.compile(rb"^startxref\n\d+$", re.MULTILINE)


def made_whole(written: bytes) -> bytes:
    """The file with each /Length (the last entry but for those in the same dictionary), the xref table and startxref put right.

    Raises
    ------
    ValueError
        There is not one table and one trailer, or the objects are not numbered 1, 2, 3 … in order.
    """
    told = _STREAM.sub(_measured, written)
    places = {int(found[1]): found.start() for found in _OBJECT.finditer(told)}
    if list(places) != list(range(1, len(places) + 1)):
        raise ValueError(f"objects are not numbered one after the other: {list(places)}")
    rows = "".join(f"{place:010d} 00000 n \n" for place in places.values())
    table = f"xref\n0 {len(places) + 1}\n0000000000 65535 f \n{rows}".encode()
    tables, starts = len(_TABLE.findall(told)), len(_START.findall(told))
    if (tables, starts) != (1, 1):
        raise ValueError(f"{tables} tables and {starts} trailers instead of one of each")
    told = _TABLE.sub(table, told)
    return _START.sub(b"startxref\n%d" % (told.index(b"\nxref\n") + 1), told)


def _measured(found: re.Match[bytes]) -> bytes:
    return b"/Length %d%s%s%s" % (len(found["content"]), found["between"], found["content"], found["end"])
