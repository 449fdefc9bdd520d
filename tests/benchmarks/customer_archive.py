"""Makes an archive of customers' files, as large as asked, the same each time: sheets of all sizes, one in a hundred broken or hostile.

Knows no program that reads them.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sticker_sheet import write_pdf_sheet, write_sheet

__all__ = ["write_archive"]

STICKERS = (1, 2, 3, 4, 6, 8, 12, 20, 40, 150)
"""Sizes of sheets, each as often as the others."""

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="60mm" height="60mm">'

HOSTILE: tuple[Callable[[bytes], bytes], ...] = (
    lambda sheet: b"",
    lambda sheet: sheet[: len(sheet) // 2],
    lambda sheet: b"no artwork at all",
    lambda sheet: b"%PDF-1.7\n" + sheet[100:],
    lambda sheet: (
        b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">'
        + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
        + b"]>"
        + SVG.encode()
        + b"<text>&j;</text></svg>"
    ),
    lambda sheet: (
        f'{SVG}<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g></svg>'.encode()
    ),
    lambda sheet: f"{SVG}{'<g>' * 10_000}{'</g>' * 10_000}</svg>".encode(),
    lambda sheet: f'{SVG}<path id="kiss_cut" d="M1e300 NaN L{"9" * 400} 2 3"/></svg>'.encode(),
)
"""What becomes of a file of which nothing good can come."""


def write_archive(folder: Path, files: int) -> None:
    """Write so many files, half of them SVG and half PDF, no two alike in content, a hundred to a folder."""
    patterns = []
    for stickers in STICKERS:
        for suffix, write in ((".svg", write_sheet), (".pdf", write_pdf_sheet)):
            pattern = folder / f"pattern{suffix}"
            folder.mkdir(parents=True, exist_ok=True)
            write(pattern, stickers)
            patterns.append((suffix, pattern.read_bytes()))
            pattern.unlink()
    for number in range(files):
        suffix, sheet = patterns[number % len(patterns)]
        own = f"<!-- {number} -->\n" if suffix == ".svg" else f"% {number}\n"
        content = sheet + own.encode()
        if number % 100 == 50:
            suffix, content = ".svg", HOSTILE[number // 100 % len(HOSTILE)](sheet)
        path = folder / f"{number // 100:03d}" / f"{number:05d}{suffix}"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
