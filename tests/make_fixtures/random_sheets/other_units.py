"""Writes a sheet in another unit and at another scale: SVG by its width and height, PDF by UserUnit. Knows nothing of what it shows."""

from __future__ import annotations

import io
import re

import pikepdf
from demo_sheet.pdf_writer import pdf_bytes
from demo_sheet.sheet import Sheet
from demo_sheet.svg_writer import svg_text

__all__ = ["as_pdf", "as_svg"]

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "Q": 0.25, "px": 25.4 / 96}
"""SVG units in mm: CSS Values and Units Level 4, 6.2."""


def as_svg(drawn: Sheet, number: int, scale: float = 1.0) -> bytes:
    """The sheet drawn ``scale`` times smaller, its size in the unit of a number."""
    unit = list(UNITS)[number % len(UNITS)]

    def written(found: re.Match[str]) -> str:
        return f'{found[1]}="{float(found[2]) / scale / UNITS[unit]!r}{unit}"'

    text, count = re.subn(r'\b(width|height)="([\d.]+)mm"', written, svg_text(drawn), count=2)
    assert count == 2
    return text.encode()


def as_pdf(drawn: Sheet, number: int, scale: float = 1.0) -> bytes:
    """The sheet drawn ``scale`` times smaller, with the UserUnit of a number."""
    unit = (1.0, 2.0, 0.5, 3.5)[number % 4]
    with pikepdf.open(io.BytesIO(pdf_bytes(drawn))) as pdf:
        (page,) = pdf.pages
        factor = scale * unit
        for name in ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox", "/ArtBox"):
            if name in page:
                page[name] = pikepdf.Array([round(float(side) / factor, 9) for side in page[name]])
        page.UserUnit = unit
        page.contents_add(f"q {1 / factor:.12f} 0 0 {1 / factor:.12f} 0 0 cm".encode(), prepend=True)
        page.contents_add(b"Q")
        made = io.BytesIO()
        pdf.save(made, static_id=True)
    return made.getvalue()
