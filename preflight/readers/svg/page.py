"""The page: its size, its units, and how sure they are. Knows nothing of what is drawn."""

from __future__ import annotations

import re
from typing import NamedTuple

from preflight.artwork.model import NoteKind, Page
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.context import Context
from preflight.readers.svg.names import INKSCAPE, SODIPODI
from preflight.readers.svg.properties import PARSERS
from preflight.readers.svg.transforms import own_transform
from preflight.readers.svg.units import IDENTITY, MM_PER_PX, Length, Matrix, multiplied, to_px
from preflight.readers.svg.viewport import parse_view_box, view_box_matrix

__all__ = ["PageFrame", "page_frame"]

_DEFAULT = (300.0, 150.0)
"""px of something that states no size (CSS Images 3, section 5.1)."""
_WINDOW = (1000.0, 1000.0)
"""px of the window that vw and vh are of: a project assumption, nothing a print file should depend on."""

_MOST_LONG = 1e6
"""How often the short side of a page may go into the long one."""

# Compiled by what first needs them, and kept by Python: a page in millimetres needs none.
_VERSION = r"\s*(\d+)\.(\d+)"
_POINT_EXPORT = r"(?i)Generator:[^>]{0,80}Illustrator|ns\.adobe\.com/AdobeIllustrator"
_OLD_EXPORT = r"(?i)<!--[^>]{0,80}(?:Sodipodi|Inkscape)[^>]{0,80}-->"

# Paper sizes in mm, ISO 216 and ANSI Y14.1, told by their number of points or of 1/90 in.
_PAPERS = (
    (841, 1189),
    (594, 841),
    (420, 594),
    (297, 420),
    (210, 297),
    (148, 210),
    (105, 148),
    (215.9, 279.4),
    (215.9, 355.6),
)


class PageFrame(NamedTuple):
    """The page, the matrix from the root's user units to mm, and the viewport percentages are of."""

    page: Page
    matrix: Matrix
    viewport: tuple[float, float]
    sized: bool


def page_frame(context: Context, head: str, style: Style) -> PageFrame:
    """Work out size and scale of the root element; what had to be assumed is noted."""
    root = context.root
    box = parse_view_box(root.get("viewBox"))
    if root.get("viewBox") is not None and (box is None or not _is_frame(box.width, box.height)):
        message = "The viewBox is malformed, empty or out of all proportion, and is left out."
        context.note(NoteKind.FAULT, "viewBox", message, root)
        box = None
    context.window = _WINDOW
    natural = (box.width, box.height) if box else _DEFAULT
    sides: list[float | None] = []
    units: list[str] = []
    for name, whole in (("width", natural[0]), ("height", natural[1])):
        length = style.own.get(name) or PARSERS[name](root.get(name, ""))
        if isinstance(length, Length) and length.unit != "%" and length.value > 0:
            side = to_px(length, whole, style.font_size, context.window)
            if not side * MM_PER_PX <= context.limits.coordinate:
                message = f"The page's {name} is no size that anything is made at ({length.value:g}{length.unit}); it is left out."
                context.note(NoteKind.FAULT, "size", message, root)
                sides.append(None)
                units.append("none")
                continue
            sides.append(side)
            units.append(length.unit or "none")
        else:
            if root.get(name, "").strip().startswith("-"):
                context.note(NoteKind.FAULT, "size", f"The page's {name} is negative and is left out.", root)
            sides.append(None)
            units.append("%" if isinstance(length, Length) else "none")
    width, height = _completed(sides, natural, box is not None)
    viewport = (box.width, box.height) if box else (width, height)
    fitted = (
        view_box_matrix(box, width, height, root.get("preserveAspectRatio"))
        if box
        else (1.0, 0, 0, 1.0, 0, 0)
    )
    # The outermost element has a box of CSS, and such a box turns about its middle (CSS Transforms 1, 8).
    turned = own_transform(context, root, style, (width, height), None, "50% 50%")
    if turned != IDENTITY:
        message = (
            "A transform on the outermost element is applied about the middle of the page, as browsers do; "
            "drawing programs differ on it."
        )
        context.note(NoteKind.ASSUMED, "transform", message, root)
    matrix = multiplied(multiplied((MM_PER_PX, 0, 0, MM_PER_PX, 0, 0), turned), fitted)
    stated = None not in sides
    physical = stated and all(unit in ("mm", "cm", "in", "pt", "pc", "q") for unit in units)
    density = _density(context, head, units, box is not None, (width, height))
    certain = physical and density == 96
    _say(context, stated, physical, density, (width, height))
    page = Page(1, width * MM_PER_PX, height * MM_PER_PX, units[0], certain, pixels_per_inch=density)
    return PageFrame(page, matrix, viewport, stated or box is not None)


def _is_frame(width: float, height: float) -> bool:
    """Whether a page may have these proportions, so that one side follows from the other."""
    return bool(width > 0 and height > 0 and width / _MOST_LONG <= height <= width * _MOST_LONG)


def _completed(sides: list[float | None], natural: tuple[float, float], shaped: bool) -> tuple[float, float]:
    width, height = sides
    ratio = natural[1] / natural[0]
    if width is None and height is None:
        return natural
    if width is None and height is not None:
        return (height / ratio if shaped else natural[0]), height
    if height is None and width is not None:
        return width, (width * ratio if shaped else natural[1])
    return width or natural[0], height or natural[1]


def _density(context: Context, head: str, units: list[str], boxed: bool, size: tuple[float, float]) -> float:
    """Pixels per inch that the program which drew the file most likely counted."""
    physical = all(unit in ("mm", "cm", "in", "pt", "pc", "q") for unit in units)
    if physical and boxed:
        return 96.0
    root = context.root
    version = root.get(f"{{{INKSCAPE}}}version") or ""
    numbers = re.match(_VERSION, version)
    old = (int(numbers[1]), int(numbers[2])) < (0, 92) if numbers else False
    if old or (not numbers and (root.get(f"{{{SODIPODI}}}version") or re.search(_OLD_EXPORT, head))):
        return 90.0
    if physical:
        return 96.0
    if re.search(_POINT_EXPORT, head):
        return 72.0
    for density in (72.0, 90.0):
        if _is_paper(size, density):
            return density
    return 96.0


def _is_paper(size: tuple[float, float], density: float) -> bool:
    short, long = sorted(side * 25.4 / density for side in size)
    return any(abs(short - a) < 0.2 and abs(long - b) < 0.2 for a, b in _PAPERS)


def _say(context: Context, stated: bool, physical: bool, density: float, size: tuple[float, float]) -> None:
    width, height = (side * MM_PER_PX for side in size)
    if density != 96.0:
        message = (
            f"The file seems to come from a program that counts {density:g} px to the inch; it is read at 96, as "
            f"viewers show it. If it is too small, use a scale of {96 / density:.4f}."
        )
        context.note(NoteKind.ASSUMED, "resolution", message, context.root)
    if not stated:
        message = (
            f"The file states no absolute size; it is taken to be drawn {width:.1f} × {height:.1f} mm large "
            "(96 px to the inch)."
        )
        context.note(NoteKind.ASSUMED, "size", message, context.root)
    elif not physical and density == 96.0:
        message = (
            f"The size is stated in pixels; it is taken to be drawn {width:.1f} × {height:.1f} mm large "
            "(96 px to the inch)."
        )
        context.note(NoteKind.ASSUMED, "size", message, context.root)
