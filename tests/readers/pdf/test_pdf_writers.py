"""Extents of every path in PDFs by independent writers, against PDFium's, forms included, within 0.01 pt.

The writers: ReportLab, cairo (through librsvg), Skia (Chromium's print to PDF), and the project's own sheets. The art
is the project's own SVG, so that the same sheets also meet each other.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pdfium_paths import path_boxes

from preflight.artwork.model import Artwork, Kind
from preflight.geometry import extents
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

MM = 25.4 / 72
WITHIN = 0.01  # pt; the issue's own figure
FIXTURES = Path(__file__).parents[3] / "fixtures"
SHEETS = [
    FIXTURES / "demo" / "summer-season.svg",
    FIXTURES / "demo" / "faulty.svg",
    # Those that draw paths on their page; other rules have files of text, of pictures, or of what lies off it.
    *sorted(
        path
        for rules in ("contour-*", "corner-*", "node-*", "step-*", "bleed-*", "art-*")
        for path in (FIXTURES / "rules").glob(f"{rules}/fail-*.svg")
    )[::3],
]


def our_boxes(artwork: Artwork) -> list[tuple[float, float, float, float]]:
    """Box of each path that has a length, in points of the page's own space (crop box at the origin), y up."""
    boxes = extents.object_boxes(artwork.outlines)
    found = []
    for one, (x0, y0, x1, y1) in zip(artwork.objects, boxes.tolist(), strict=True):
        if one.kind is Kind.PATH and np.isfinite(x0):
            height = artwork.page.height
            found.append((x0 / MM, (height - y1) / MM, x1 / MM, (height - y0) / MM))
    return found


def assert_met(data: bytes, least: int) -> Artwork:
    """Every path has the box PDFium finds, one for one, in paint order."""
    artwork = read(data, "sheet.pdf", Limits())[0]
    ours, theirs = our_boxes(artwork), path_boxes(data)
    assert len(ours) == len(theirs) >= least
    off = np.abs(np.array(ours) - np.array(theirs)).max(axis=1)
    assert off.max() <= WITHIN, f"path {off.argmax()}: {ours[off.argmax()]} against {theirs[off.argmax()]}"
    return artwork


def test_reportlab() -> None:
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    page = Canvas(out, pagesize=(120 * mm, 90 * mm), pageCompression=1, invariant=1)
    page.setDash([3, 1, 2], 1)
    page.roundRect(5 * mm, 5 * mm, 40 * mm, 20 * mm, 3 * mm, fill=1)
    page.ellipse(50 * mm, 5 * mm, 70 * mm, 25 * mm)
    page.wedge(75 * mm, 5 * mm, 95 * mm, 25 * mm, 20, 250, fill=1)
    page.arc(75 * mm, 30 * mm, 95 * mm, 50 * mm, 100, 77)
    page.bezier(5 * mm, 40 * mm, -20 * mm, 80 * mm, 60 * mm, 80 * mm, 30 * mm, 40 * mm)
    page.beginForm("pennant")
    page.translate(3, 4)
    page.rotate(12)
    path = page.beginPath()
    path.moveTo(0, 0)
    path.curveTo(10, 20, 30, -20, 40, 0)
    path.lineTo(20, 50)
    path.close()
    page.drawPath(path, stroke=1, fill=1)
    page.rect(1, 2, -7, 9)
    page.endForm()
    for turn in range(5):
        page.saveState()
        page.translate(60 * mm, 60 * mm)
        page.rotate(72 * turn)
        page.skew(10, 5)
        page.scale(1 + turn / 3, 0.7)
        page.doForm("pennant")
        page.restoreState()
    clip = page.beginPath()
    clip.circle(20 * mm, 70 * mm, 8 * mm)
    page.clipPath(clip, stroke=1, fill=0)
    page.grid([10 * mm, 15 * mm, 20 * mm, 25 * mm], [62 * mm, 70 * mm, 78 * mm])
    page.save()
    assert_met(out.getvalue(), 16)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: f"{sheet.parent.name}-{sheet.stem}")
def test_cairo(sheet: Path) -> None:
    program = shutil.which("rsvg-convert")
    if program is None:
        told = "no rsvg-convert (Debian: apt install librsvg2-bin)"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    made = subprocess.run([program, "-f", "pdf", str(sheet)], capture_output=True, check=True)
    assert_met(made.stdout, 1)


@pytest.mark.browser
@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: f"{sheet.parent.name}-{sheet.stem}")
def test_chromium(sheet: Path, chromium: Any) -> None:
    page = chromium.new_page()
    page.set_content(
        f"<style>@page {{ size: A3; margin: 0 }} body {{ margin: 0 }}</style>{sheet.read_text()}"
    )
    data = page.pdf(prefer_css_page_size=True, print_background=True)
    page.close()
    assert_met(data, 1)


@pytest.mark.parametrize("sheet", sorted(FIXTURES.glob("demo/*.pdf")), ids=lambda sheet: str(sheet.stem))
def test_own_sheets(sheet: Path) -> None:
    assert_met(sheet.read_bytes(), 1)


CONTENTS: dict[str, Callable[[], str]] = {
    "curves": lambda: "".join(
        f"{x} {y} m {x + 9} {y + 30} {x - 7} {y + 12} v {x} {y - 9} {x + 5} {y + 5} y S\n"
        for x in range(10, 190, 20)
        for y in range(20, 80, 15)
    ),
    "after closing": lambda: "10 10 m 30 10 l 30 30 l h 50 50 l 60 20 l S 5 5 9 9 re 40 40 l h 1 2 l B*",
    "movetos": lambda: "1 1 m 2 2 m 9 9 l 70 70 m S 5 5 m 5 5 l s 3 3 m 4 4 l 6 6 m S",
    "matrices": lambda: (
        "q .5 0 .1 .7 30 9 cm 0 0 50 50 re f q 0 1 -1 0 40 0 cm 0 0 9 5 re s Q 1 1 8 8 re b* Q 1 1 9 9 re S"
    ),
    "numbers": lambda: "+10 .5 m 1.5. 00020.250 l -.5 5. l S",
}


@pytest.mark.parametrize("name", CONTENTS)
def test_written_by_hand(name: str) -> None:
    from small_pdfs import one_page

    assert_met(one_page(CONTENTS[name]()), 1)
