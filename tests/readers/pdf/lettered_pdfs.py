"""The same letters and the same image as three independent writers put them into PDF."""

from __future__ import annotations

import base64
import io
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

__all__ = ["LINES", "MM", "SIZE", "needs_fonts", "of_cairo", "of_chromium", "of_reportlab"]

MM = 25.4 / 72
FONTS = Path("/usr/share/fonts/truetype")
SERIF = FONTS / "dejavu" / "DejaVuSerif.ttf"
SANS = FONTS / "liberation" / "LiberationSans-Regular.ttf"
SIZE = 8 / MM
"""Of the first line, in points."""
LINES = ["Ferry café: “Åland” 7½ °C", "Tea & scones", "fjäll, jåg, Qy@"]


def photograph(size: tuple[int, int] = (40, 24)) -> bytes:
    """A picture that packs badly, so that nothing about it is simplified."""
    noise = np.random.default_rng(7).integers(0, 255, (size[1], size[0], 3), np.uint8)
    out = io.BytesIO()
    Image.fromarray(noise).save(out, "PNG")
    return out.getvalue()


def svg(image_turned_by: float = 20) -> str:
    """A sheet with text set level, turned and stretched, and an image."""
    data = base64.b64encode(photograph()).decode()
    return f"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
      width="160mm" height="100mm" viewBox="0 0 160 100">
      <g font-family="DejaVu Serif" font-size="8"><text x="10" y="15">{LINES[0].replace("&", "&amp;")}</text></g>
      <g font-family="Liberation Sans" font-size="6">
      <text x="10" y="30" transform="rotate(8 10 30)" letter-spacing="0.8">{LINES[1].replace("&", "&amp;")}</text>
      <text transform="matrix(1.6 0 0.4 1 10 60)" fill="#a02000">{LINES[2]}</text></g>
      <image xlink:href="data:image/png;base64,{data}" x="0" y="0" width="40" height="24"
        transform="translate(100 50) rotate({image_turned_by})"/></svg>"""


def of_reportlab() -> bytes:
    from reportlab.lib.units import mm
    from reportlab.lib.utils import ImageReader
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    for name, path in (("Serif", SERIF), ("Sans", SANS)):
        pdfmetrics.registerFont(TTFont(name, str(path)))
    out = io.BytesIO()
    page = Canvas(out, pagesize=(160 * mm, 100 * mm), invariant=1)
    text = page.beginText(10 * mm, 85 * mm)
    text.setFont("Serif", SIZE)
    text.textLine(LINES[0])
    text.setFont("Sans", 15)
    text.setCharSpace(1.5)
    text.setWordSpace(4)
    text.setHorizScale(130)
    text.setRise(3)
    text.textLine(LINES[1])
    page.drawText(text)
    page.saveState()
    page.translate(20 * mm, 20 * mm)
    page.rotate(25)
    page.skew(0, 15)
    page.setFont("Sans", 17)
    page.drawString(0, 0, LINES[2])
    page.drawImage(ImageReader(io.BytesIO(photograph())), 60 * mm, 5 * mm, 40 * mm, 24 * mm)
    page.restoreState()
    page.save()
    return out.getvalue()


def of_cairo() -> bytes:
    program = shutil.which("rsvg-convert")
    if program is None:
        told = "no rsvg-convert (Debian: apt install librsvg2-bin)"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    sheet = svg(image_turned_by=0)  # librsvg makes other pixels of a turned image
    return subprocess.run(
        [program, "-f", "pdf"], input=sheet.encode(), capture_output=True, check=True
    ).stdout


def of_chromium(chromium: Any) -> bytes:
    page = chromium.new_page()
    page.set_content(f"<style>@page {{ size: A4; margin: 0 }} body {{ margin: 0 }}</style>{svg()}")
    data: bytes = page.pdf(prefer_css_page_size=True, print_background=True)
    page.close()
    return data


def needs_fonts() -> None:
    if not (SERIF.exists() and SANS.exists()):
        told = "no DejaVu and Liberation fonts (Debian: apt install fonts-dejavu fonts-liberation)"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
