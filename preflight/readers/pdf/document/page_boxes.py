"""A page's boxes, turn and unit, and the matrix from its user space to millimetres. Knows nothing of its content."""

from __future__ import annotations

import msgspec

from preflight.artwork.model import Box, NoteKind, Page
from preflight.readers.matrices import Matrix
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.page_tree import PageEntry
from preflight.readers.pdf.document.values import number, numbers

__all__ = ["Frame", "page_frame"]

MM_PER_POINT = 25.4 / 72
LARGEST = 14_400.0
"""User space units a side may measure (ISO 32000-1, Annex C.2)."""
SMALLEST = 3.0
"""User space units a side should measure at least (ISO 32000-1, Annex C.2)."""
_LETTER: Box = (0.0, 0.0, 612.0, 792.0)
"""What is assumed where a page has no usable size: 8.5 by 11 inches, as other readers do (common practice, no source)."""


class Frame(msgspec.Struct, frozen=True):
    """Where a page's user space lies.

    Attributes
    ----------
    page : size and boxes in mm.
    matrix : default user space to mm, origin top left of the page as a viewer shows it, y down.
    visible : x0, y0, x1, y1 of what a viewer shows, in default user space.
    millimetres : mm that one unit of user space measures.
    """

    page: Page
    matrix: Matrix
    visible: Box
    millimetres: float


def page_frame(entry: PageEntry, context: Context) -> Frame:
    """Size, boxes and matrix of a page; whatever is wrong with them is noted and replaced by what readers assume.

    Parameters
    ----------
    entry : the page's dictionary with what it inherits.
    context : takes the notes; ``context.page`` is the page's number.
    """
    unit = _unit(entry, context)
    scale = unit * MM_PER_POINT
    media = _media(entry, context, scale)
    visible = _crop(entry, media, context, scale)
    turn = _turn(entry, context)
    matrix = _matrix(visible, turn, scale)
    boxes = {"media": _placed(media, matrix), "crop": _placed(visible, matrix)}
    stated = [name for name in ("media", "crop") if entry.inheritable(f"/{name.title()}Box") is not None]
    for name in ("bleed", "trim", "art"):
        own = _own(entry, name, media, context, scale)
        boxes[name] = _placed(own or visible, matrix)
        if own is not None:
            stated.append(name)
    width, height = boxes["crop"][2:]
    _say_size(context, visible)
    page = Page(
        number=context.page,
        width=width,
        height=height,
        unit="pt" if unit == 1 else f"{unit:g} pt",
        certain=True,
        boxes=boxes,
        stated_boxes=tuple(stated),
    )
    return Frame(page, matrix, visible, scale)


def _unit(entry: PageEntry, context: Context) -> float:
    """Points that one unit of user space measures; not inherited (published with PDF 1.6)."""
    given = entry.own("/UserUnit")
    if given is None:
        return 1.0
    unit = number(given)
    if unit is not None and 1e-6 < unit < 1e6:
        return unit
    message = "The page's UserUnit is no positive number of a sensible size; 1 is taken for it."
    context.note(NoteKind.FAULT, "user unit", message)
    return 1.0


def _media(entry: PageEntry, context: Context, scale: float) -> Box:
    given = entry.inheritable("/MediaBox")
    if given is None:
        message = "The page has no media box, which it must have; 612 × 792 units (letter) are assumed."
        context.note(NoteKind.FAULT, "media box", message)
        return _LETTER
    return _sane(given, "media", context, scale) or _LETTER


def _crop(entry: PageEntry, media: Box, context: Context, scale: float) -> Box:
    given = entry.inheritable("/CropBox")
    if given is None:
        return media
    box = _sane(given, "crop", context, scale)
    return media if box is None else _within(box, media, "crop", context) or media


def _own(entry: PageEntry, name: str, media: Box, context: Context, scale: float) -> Box | None:
    """A box that pages do not inherit; None where the page states none that can be used."""
    given = entry.own(f"/{name.title()}Box")
    if given is None:
        return None
    box = _sane(given, name, context, scale)
    return None if box is None else _within(box, media, name, context)


def _sane(given: object, name: str, context: Context, scale: float) -> Box | None:
    """A box with its corners in order; None and a note where it is none, is empty or lies beyond all reason."""
    edges = numbers(given)
    if edges is None or len(edges) != 4:
        _refused(name, "is no array of four numbers", context)
        return None
    x0, x1 = sorted((edges[0], edges[2]))
    y0, y1 = sorted((edges[1], edges[3]))
    if max(abs(edge) for edge in (x0, y0, x1, y1)) * scale > context.limits.coordinate:
        _refused(name, "lies absurdly far away or is absurdly large", context)
        return None
    if x1 - x0 <= 0 or y1 - y0 <= 0:
        _refused(name, "has no area", context)
        return None
    return x0, y0, x1, y1


def _refused(name: str, why: str, context: Context) -> None:
    instead = "612 × 792 units (letter) are assumed" if name == "media" else "it is left out"
    context.note(NoteKind.FAULT, f"{name} box", f"The page's {name} box {why}; {instead}.")


def _within(box: Box, media: Box, name: str, context: Context) -> Box | None:
    """The part of a box inside the media box (ISO 32000-1, 14.11.2.1); None and a note where there is none."""
    x0, y0 = max(box[0], media[0]), max(box[1], media[1])
    x1, y1 = min(box[2], media[2]), min(box[3], media[3])
    if x1 <= x0 or y1 <= y0:
        _refused(name, "lies outside the media box", context)
        return None
    beyond = max(abs(a - b) for a, b in zip(box, (x0, y0, x1, y1), strict=True))
    if beyond > 0.01:  # units; what rounding to two decimals leaves is no fault
        message = f"The page's {name} box reaches {beyond:g} units beyond the media box; what is beyond is left out."
        context.note(NoteKind.FAULT, f"{name} box", message)
    return x0, y0, x1, y1


def _turn(entry: PageEntry, context: Context) -> int:
    """Quarter turns clockwise, 0 to 3."""
    given = entry.inheritable("/Rotate")
    if given is None:
        return 0
    angle = number(given)
    if angle is None or angle % 90:
        shown = "is no number" if angle is None else f"is {angle:g} degrees, no multiple of 90"
        context.note(NoteKind.FAULT, "rotate", f"The page's Rotate {shown}; the page is not turned.")
        return 0
    return int(angle // 90) % 4


def _matrix(visible: Box, turn: int, scale: float) -> Matrix:
    x0, y0, x1, y1 = (edge * scale for edge in visible)
    if turn == 0:
        return (scale, 0.0, 0.0, -scale, -x0, y1)
    if turn == 1:
        return (0.0, scale, scale, 0.0, -y0, -x0)
    if turn == 2:
        return (-scale, 0.0, 0.0, scale, x1, -y0)
    return (0.0, -scale, -scale, 0.0, y1, x1)


def _placed(box: Box, matrix: Matrix) -> Box:
    """A box of user space in the page's frame, mm."""
    a, b, c, d, e, f = matrix
    x0, y0, x1, y1 = box
    left, right = sorted((a * x0 + c * y0 + e, a * x1 + c * y1 + e))
    top, bottom = sorted((b * x0 + d * y0 + f, b * x1 + d * y1 + f))
    return left + 0.0, top + 0.0, right + 0.0, bottom + 0.0


def _say_size(context: Context, visible: Box) -> None:
    sides = (visible[2] - visible[0], visible[3] - visible[1])
    if max(sides) > LARGEST:
        message = (
            f"The page measures {sides[0]:g} × {sides[1]:g} units; many programs take no more than {LARGEST:,.0f} a side."
            " Save it with a larger user unit, or at a smaller scale."
        )
        context.note(NoteKind.FAULT, "page size", message)
    elif min(sides) < SMALLEST:
        message = (
            f"The page measures {sides[0]:g} × {sides[1]:g} units, below the least of {SMALLEST:g} a side."
        )
        context.note(NoteKind.FAULT, "page size", message)
