"""Numbered objects to the bytes of a PDF file, and the spelling of single values. Knows nothing of what is drawn.

Structure: ISO 32000-1:2008, 7.3 and 7.5.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

POINTS = 72 / 25.4
"""Units of default user space to the millimetre."""


class PdfFile:
    """Numbered objects, and the table of where each stands."""

    def __init__(self) -> None:
        self._bodies: list[bytes] = []

    def reserve(self) -> str:
        """A reference to an object that is put in later."""
        self._bodies.append(b"null")
        return f"{len(self._bodies)} 0 R"

    def put(self, reference: str, body: str) -> None:
        self._bodies[int(reference.split()[0]) - 1] = body.encode("ascii")

    def add(self, body: str) -> str:
        reference = self.reserve()
        self.put(reference, body)
        return reference

    def add_stream(self, content: str, entries: str = "") -> str:
        head = " ".join(part for part in (entries, f"/Length {len(content)}") if part)
        return self.add(f"<< {head} >>\nstream\n{content}\nendstream")

    def finished(self, root: str, info: str) -> bytes:
        out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")  # four high bytes mark the file as binary: 7.5.2
        places = []
        for index, body in enumerate(self._bodies, 1):
            places.append(len(out))
            out += f"{index} 0 obj\n".encode() + body + b"\nendobj\n"
        start = len(out)
        out += f"xref\n0 {len(places) + 1}\n0000000000 65535 f \n".encode()
        for place in places:
            out += f"{place:010d} 00000 n \n".encode()
        digest = hashlib.sha256(bytes(out)).hexdigest()[:32]
        trailer = dictionary(Size=str(len(places) + 1), Root=root, Info=info, ID=f"[<{digest}> <{digest}>]")
        out += f"trailer\n{trailer}\nstartxref\n{start}\n%%EOF\n".encode()
        return bytes(out)


def points(millimetres: float) -> str:
    return f"{millimetres * POINTS:.6f}"


def dictionary(**entries: str) -> str:
    return "<< " + " ".join(f"/{key} {value}" for key, value in entries.items()) + " >>"


def array(values: Iterable[str]) -> str:
    return "[" + " ".join(values) + "]"


def text(text: str) -> str:
    """A text string, as UTF-16 with its mark: 7.9.2.2."""
    return "<" + ("\ufeff" + text).encode("utf-16-be").hex() + ">"
