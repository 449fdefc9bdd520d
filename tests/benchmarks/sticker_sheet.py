"""Makes sheets of stickers as SVG and PDF, as large as asked, the same each time. Knows no program that reads them."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from pathlib import Path

__all__ = [
    "ART",
    "SEGMENTS_PER_STICKER",
    "write_art_sheet",
    "write_one_object",
    "write_pdf_sheet",
    "write_sheet",
]

Point = tuple[float, float]
Contour = list[tuple[Point, Point, Point, Point]]
"""Cubics one after the other, closed."""

SEGMENTS_PER_STICKER = 20
"""Cubic segments: 8 of the cut contour, 8 of the art that bleeds over it, 4 of the motif inside."""

ART = 20
"""Objects of art on each sticker of a sheet full of art: a ground that bleeds and small motifs on it."""

BLEED = 3.2  # mm along the radius: never below 3 mm square to the cut
PITCH = 20.0  # mm from sticker to sticker
ACROSS = 100  # stickers in a row


def write_sheet(path: Path, stickers: int) -> None:
    """Write a sheet of round-ish stickers, each with one cut contour and two shapes of art.

    Parameters
    ----------
    stickers : how many; each has its own shape and ``SEGMENTS_PER_STICKER`` cubic segments.
    """
    art, cuts = [], []
    for (red, green, blue), background, motif, cut in _stickers(stickers):
        art.append(f'<path fill="#{red:02x}{green:02x}{blue:02x}" d="{_svg(background)}"/>')
        art.append(f'<path fill="#fff" d="{_svg(motif)}"/>')
        cuts.append(f'<path d="{_svg(cut)}"/>')
    _write(path, stickers, art, cuts)


def _write(path: Path, stickers: int, art: list[str], cuts: list[str]) -> None:
    width, height = _size(stickers)
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">\n<g id="art">\n' + "\n".join(art) + "\n</g>\n"
        '<g id="kiss_cut" fill="none" stroke="#000" stroke-width="0.1">\n'
        + "\n".join(cuts)
        + "\n</g>\n</svg>\n"
    )


def write_art_sheet(path: Path, stickers: int) -> None:
    """Write the sheet with ``ART`` objects of art on each sticker, white ones among them."""
    art, cuts = [], []
    for number, ((red, green, blue), ground, _, cut) in enumerate(_stickers(stickers)):
        x, y = _middle(number)
        art.append(f'<path fill="#{red:02x}{green:02x}{blue:02x}" d="{_svg(ground)}"/>')
        for turn in range(ART - 1):
            dot = _blob(*_point(x, y, 2 * math.pi * turn / (ART - 1), 2.6), [0.5] * 4)
            art.append(f'<path fill="{"#fff" if turn % 5 == 0 else "#135"}" d="{_svg(dot)}"/>')
        cuts.append(f'<path d="{_svg(cut)}"/>')
    _write(path, stickers, art, cuts)


def write_pdf_sheet(path: Path, stickers: int) -> None:
    """Write the same sheet as PDF: the cut contours in a separation that overprints, the content packed."""
    import pikepdf

    width, height = _size(stickers)
    # ISO 32000-1, Annex C.2: a side measures 14,400 units at most, so long sheets have larger ones.
    unit = math.ceil(height * 72 / 25.4 / 14_400)
    point = 72 / 25.4 / unit
    content = [f"{point:.9f} 0 0 {-point:.9f} 0 {height * point:.6f} cm"]
    cuts = ["/CS0 CS 1 SCN /GS0 gs 0.1 w"]
    for colour, background, motif, cut in _stickers(stickers):
        content.append(" ".join(f"{value / 255:.4f}" for value in colour) + f" rg\n{_pdf(background)}f")
        content.append(f"1 1 1 rg\n{_pdf(motif)}f")
        cuts.append(f"{_pdf(cut)}S")
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(width * point, height * point))
    page = pdf.pages[0]
    page.UserUnit = unit
    page.Resources = pikepdf.Object.parse(
        b"<< /ExtGState << /GS0 << /OP true >> >> /ColorSpace << /CS0 [/Separation /Kiss#20cut /DeviceCMYK "
        b"<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 1 0 0] /N 1 >>] >> >>"
    )
    page.Contents = pdf.make_stream("\n".join([*content, *cuts]).encode())
    pdf.save(path, compress_streams=True, deterministic_id=True)


def write_one_object(path: Path) -> None:
    """Write a page with one cut contour and nothing else."""
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">\n'
        f'<path id="kiss_cut" fill="none" stroke="#000" stroke-width="0.1" d="{_svg(_blob(30, 30, [20.0] * 8))}"/>\n</svg>\n'
    )


def _size(stickers: int) -> tuple[float, float]:
    """Width and height of a sheet, mm."""
    return ACROSS * PITCH, math.ceil(stickers / ACROSS) * PITCH


def _stickers(count: int) -> Iterator[tuple[tuple[int, int, int], Contour, Contour, Contour]]:
    """Colour (0 to 255), background, motif and cut contour of each sticker, mm, y down."""
    chance = random.Random(1889)  # noqa: S311 -- shapes, not secrets
    for number in range(count):
        x, y = _middle(number)
        lobes = [chance.uniform(5.5, 6.5) for _ in range(8)]
        colour = (chance.randrange(0x40, 0xF0), 0x60, chance.randrange(0x40, 0xF0))
        ground = _blob(x, y, [lobe + BLEED for lobe in lobes])
        yield colour, ground, _blob(x, y, [2.0] * 4), _blob(x, y, lobes)


def _middle(number: int) -> Point:
    return (number % ACROSS + 0.5) * PITCH, (number // ACROSS + 0.5) * PITCH


def _blob(x: float, y: float, radii: list[float]) -> Contour:
    """A closed smooth contour round (x, y): one cubic for each radius."""
    count = len(radii)
    reach = 4 / 3 * math.tan(math.pi / 2 / count)  # of a circle's handles, as a share of the radius
    contour: Contour = []
    for index, radius in enumerate(radii):
        here, there = 2 * math.pi * index / count, 2 * math.pi * (index + 1) / count
        after = radii[(index + 1) % count]
        first, last = _point(x, y, here, radius), _point(x, y, there, after)
        leaving = _point(*first, here + math.pi / 2, radius * reach)
        arriving = _point(*last, there - math.pi / 2, after * reach)
        contour.append((first, leaving, arriving, last))
    return contour


def _svg(contour: Contour) -> str:
    curves = (f"C{_written(b)} {_written(c)} {_written(d)}" for _, b, c, d in contour)
    return f"M{_written(contour[0][0])}{''.join(curves)}Z"


def _pdf(contour: Contour) -> str:
    curves = (f"{_written(b, ' ')} {_written(c, ' ')} {_written(d, ' ')} c\n" for _, b, c, d in contour)
    return f"{_written(contour[0][0], ' ')} m\n{''.join(curves)}h\n"


def _point(x: float, y: float, angle: float, distance: float) -> Point:
    return x + distance * math.cos(angle), y + distance * math.sin(angle)


def _written(point: Point, between: str = ",") -> str:
    return f"{point[0]:.4f}{between}{point[1]:.4f}"
