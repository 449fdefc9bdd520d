"""Tiny PDF pages of lettering and pictures: content is written in operators, mm, y down. Knows no rule.

Fonts: ``F1`` is not embedded; ``F3`` is of Type 3, so that the file holds it, and draws a box for ``A`` (ISO 32000-1, 9.6.5).
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from demo_sheet.pdf_file import POINTS, PdfFile, array, dictionary, points, text
from rule_sheets.tiny_pdf import HEIGHT, WIDTH

POINT = 25.4 / 72
"""mm."""


@dataclass(frozen=True)
class Picture:
    """An image of grey pixels, or of those of `inks`.

    ``held`` are the rows that the file really holds; ``outside`` names a file that does instead. ``inks`` is one row of CMYK pixels, each
    of eight hexadecimal digits, with how often it comes in turn.
    """

    columns: int
    rows: int
    bits: int = 8
    held: int | None = None
    outside: str | None = None
    inks: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class ContentCase:
    """One file: its rule, its name, its title, its operators, its pictures by name, and what must be found."""

    rule: str
    name: str
    title: str
    content: str
    findings: tuple[dict[str, Any], ...] = ()
    pictures: dict[str, Picture] = field(default_factory=dict)
    boxes: dict[str, tuple[float, float, float, float]] = field(default_factory=dict)
    """Boxes of the page other than a media box of 60 × 40 mm, mm from the upper left of that."""
    judged_by: tuple[str, ...] = ("content", "reading")

    def files(self) -> dict[str, bytes]:
        """The page and the expectation by their path inside ``fixtures/rules``."""
        stem = f"{self.rule}/{self.name}"
        told = {"findings": list(self.findings), "judged_by": list(self.judged_by)}
        return {
            f"{stem}.pdf": _pdf(self),
            f"{stem}.expected.json": (json.dumps(told, indent=1) + "\n").encode(),
        }


def lettering(words: str, size: float, x: float, y: float, *, font: str = "F1", setting: str = "0 g") -> str:
    """Words on a line that starts there; ``size`` in points, ``setting`` is what comes before them."""
    return f"{setting} BT /{font} {size * POINT:.6f} Tf 1 0 0 -1 {x:g} {y:g} Tm ({words}) Tj ET"


def kiss_cut(x: float, y: float, width: float, height: float) -> str:
    """A hairline round a box, in the separation of the kiss cut."""
    return f"q /Kiss CS 1 SCN 0.1 w {x:g} {y:g} {width:g} {height:g} re S Q"


def placed(name: str, x: float, y: float, width: float, height: float) -> str:
    """A picture in a box of the page."""
    return f"q {width:g} 0 0 -{height:g} {x:g} {y + height:g} cm /{name} Do Q"


def _pdf(case: ContentCase) -> bytes:
    file = PdfFile()
    images = {name: _image(file, picture) for name, picture in case.pictures.items()}
    # Every letter half as wide as the font is high; no /FontFile, so the file does not hold it.
    descriptor = dictionary(
        Type="/FontDescriptor",
        FontName="/Harbour",
        Flags="32",
        FontBBox="[0 -200 500 700]",
        ItalicAngle="0",
        Ascent="700",
        Descent="-200",
        CapHeight="700",
        StemV="80",
    )
    plain = dictionary(
        Type="/Font",
        Subtype="/TrueType",
        BaseFont="/Harbour",
        Encoding="/WinAnsiEncoding",
        FirstChar="32",
        LastChar="126",
        Widths=array(["500"] * 95),
        FontDescriptor=file.add(descriptor),
    )
    half = dictionary(ca="0.5", CA="0.5")
    nothing = dictionary(ca="0", CA="0")
    tint = dictionary(FunctionType="2", Domain="[0 1]", C0="[0 0 0 0]", C1="[0 0.8 0.2 0]", N="1")
    resources = dictionary(
        Font=dictionary(F1=file.add(plain), F3=_boxes(file)),
        ExtGState=dictionary(Half=half, Nothing=nothing),
        XObject=dictionary(**images),
        ColorSpace=dictionary(Kiss="[/Separation /Kiss#20Cut /DeviceCMYK " + tint + "]"),
    )
    content = file.add_stream(f"{POINTS:.10f} 0 0 -{POINTS:.10f} 0 {points(HEIGHT)} cm\n{case.content}")
    pages = file.reserve()
    page = file.add(
        dictionary(
            Type="/Page",
            Parent=pages,
            Resources=resources,
            Contents=content,
            **{name: _box(*box) for name, box in {"MediaBox": (0, 0, WIDTH, HEIGHT), **case.boxes}.items()},
        )
    )
    file.put(pages, dictionary(Type="/Pages", Kids=f"[{page}]", Count="1"))
    root = file.add(dictionary(Type="/Catalog", Pages=pages))
    return file.finished(root, file.add(dictionary(Title=text(case.title))))


def _box(x0: float, y0: float, x1: float, y1: float) -> str:
    return array([points(x0), points(HEIGHT - y1), points(x1), points(HEIGHT - y0)])


def _boxes(file: PdfFile) -> str:
    glyph = file.add_stream("600 0 0 0 600 700 d1\n0 0 600 700 re f")
    return file.add(
        dictionary(
            Type="/Font",
            Subtype="/Type3",
            FontBBox="[0 0 600 700]",
            FontMatrix="[0.001 0 0 0.001 0 0]",
            FirstChar="65",
            LastChar="65",
            Widths="[600]",
            CharProcs=dictionary(A=glyph),
            Encoding=dictionary(Type="/Encoding", Differences="[65 /A]"),
            Resources="<< >>",
        )
    )


def _image(file: PdfFile, picture: Picture) -> str:
    row = "".join(pixel * times for pixel, times in picture.inks)
    row = row or "40" * ((picture.columns * picture.bits + 7) // 8)
    rows = picture.rows if picture.held is None else picture.held
    entries = {
        "Type": "/XObject",
        "Subtype": "/Image",
        "Width": str(picture.columns),
        "Height": str(picture.rows),
        "ColorSpace": "/DeviceCMYK" if picture.inks else "/DeviceGray",
        "BitsPerComponent": str(picture.bits),
    }
    if picture.outside is not None:
        entries |= {"F": text(picture.outside), "FFilter": "/ASCIIHexDecode"}
        return file.add_stream("", dictionary(**entries)[3:-3])
    return file.add_stream(row * rows + ">", dictionary(Filter="/ASCIIHexDecode", **entries)[3:-3])
