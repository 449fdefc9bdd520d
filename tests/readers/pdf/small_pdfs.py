"""Writes small PDF files from objects spelt out by hand, with a true table of objects."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["one_page", "stream", "written"]


def stream(data: bytes | str, entries: str = "") -> bytes:
    """A stream object's text."""
    raw = data.encode("latin-1") if isinstance(data, str) else data
    return b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(raw), entries.encode("latin-1"), raw)


def written(objects: Mapping[int, bytes | str], trailer: str = "/Root 1 0 R") -> bytes:
    """A file with these objects, numbered as given."""
    out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
    places: dict[int, int] = {}
    for number, body in objects.items():
        places[number] = len(out)
        raw = body.encode("latin-1") if isinstance(body, str) else body
        out += b"%d 0 obj\n%s\nendobj\n" % (number, raw)
    start = len(out)
    size = max(objects) + 1
    out += b"xref\n0 %d\n0000000000 65535 f \n" % size
    for number in range(1, size):
        place = places.get(number)
        out += b"0000000000 65535 f \n" if place is None else b"%010d 00000 n \n" % place
    out += f"trailer\n<< /Size {size} {trailer} >>\nstartxref\n{start}\n%%EOF\n".encode()
    return bytes(out)


def one_page(
    content: bytes | str = "",
    *,
    page: str = "/MediaBox [0 0 200 100]",
    resources: str = "",
    catalog: str = "",
    nodes: str = "",
    others: Mapping[int, bytes | str] | None = None,
) -> bytes:
    """A file of one page: object 1 the catalogue, 2 the list of pages, 3 the page, 4 its content; others from 5."""
    return written(
        {
            1: f"<< /Type /Catalog /Pages 2 0 R {catalog} >>",
            2: f"<< /Type /Pages /Kids [3 0 R] /Count 1 {nodes} >>",
            3: f"<< /Type /Page /Parent 2 0 R /Contents 4 0 R /Resources << {resources} >> {page} >>",
            4: stream(content),
            **(others or {}),
        }
    )
