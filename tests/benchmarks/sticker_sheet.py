"""Makes sheets of stickers as SVG, as large as asked, the same each time. Knows no program that reads them."""

from __future__ import annotations

import math
import random
from pathlib import Path

__all__ = ["SEGMENTS_PER_STICKER", "write_one_object", "write_sheet"]

SEGMENTS_PER_STICKER = 20
"""Cubic segments: 8 of the cut contour, 8 of the art that bleeds over it, 4 of the motif inside."""

PITCH = 20.0  # mm from sticker to sticker
ACROSS = 100  # stickers in a row


def write_sheet(path: Path, stickers: int) -> None:
    """Write a sheet of round-ish stickers, each with one cut contour and two shapes of art.

    Parameters
    ----------
    stickers : how many; each has its own shape and ``SEGMENTS_PER_STICKER`` cubic segments.
    """
    chance = random.Random(1889)  # noqa: S311 -- shapes, not secrets
    rows = math.ceil(stickers / ACROSS)
    art, cuts = [], []
    for number in range(stickers):
        x, y = (number % ACROSS + 0.5) * PITCH, (number // ACROSS + 0.5) * PITCH
        lobes = [chance.uniform(5.5, 6.5) for _ in range(8)]
        colour = f"#{chance.randrange(0x40, 0xF0):02x}60{chance.randrange(0x40, 0xF0):02x}"
        art.append(f'<path fill="{colour}" d="{_blob(x, y, [lobe + 3 for lobe in lobes])}"/>')
        art.append(f'<path fill="#fff" d="{_blob(x, y, [2.0] * 4)}"/>')
        cuts.append(f'<path d="{_blob(x, y, lobes)}"/>')
    width, height = ACROSS * PITCH, rows * PITCH
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">\n<g id="art">\n' + "\n".join(art) + "\n</g>\n"
        '<g id="kiss_cut" fill="none" stroke="#000" stroke-width="0.1">\n'
        + "\n".join(cuts)
        + "\n</g>\n</svg>\n"
    )


def write_one_object(path: Path) -> None:
    """Write a page with one cut contour and nothing else."""
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">\n'
        f'<path id="kiss_cut" fill="none" stroke="#000" stroke-width="0.1" d="{_blob(30, 30, [20.0] * 8)}"/>\n</svg>\n'
    )


def _blob(x: float, y: float, radii: list[float]) -> str:
    """A closed smooth contour round (x, y): one cubic for each radius."""
    count = len(radii)
    reach = 4 / 3 * math.tan(math.pi / 2 / count)  # of a circle's handles, as a share of the radius
    text = ""
    for index, radius in enumerate(radii):
        here, there = 2 * math.pi * index / count, 2 * math.pi * (index + 1) / count
        after = radii[(index + 1) % count]
        first = _point(x, y, here, radius)
        leaving = _point(*first, here + math.pi / 2, radius * reach)
        last = _point(x, y, there, after)
        arriving = _point(*last, there - math.pi / 2, after * reach)
        text += f"M{_written(first)}" if index == 0 else ""
        text += f"C{_written(leaving)} {_written(arriving)} {_written(last)}"
    return text + "Z"


def _point(x: float, y: float, angle: float, distance: float) -> tuple[float, float]:
    return x + distance * math.cos(angle), y + distance * math.sin(angle)


def _written(point: tuple[float, float]) -> str:
    return f"{point[0]:.4f},{point[1]:.4f}"
