"""What annotations add to a printed page (ISO 32000-1, 12.5): their appearance, after the page's own content.

References of what they draw read ``p1 annotation 3 op 2``: the second operator in the appearance of the third
entry of ``/Annots``. What shows on a screen only stays in the list as hidden.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pikepdf

from preflight.artwork.model import NoteKind
from preflight.readers.matrices import IDENTITY, Matrix, mapped, multiplied
from preflight.readers.pdf.content.forms import draw_form
from preflight.readers.pdf.content.frame import Frame
from preflight.readers.pdf.content.state import GraphicsState
from preflight.readers.pdf.document.page_tree import PageEntry
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.values import entry, name_text, number, numbers

if TYPE_CHECKING:
    from preflight.artwork.model import Box
    from preflight.readers.pdf.content.interpreter import Interpreter

__all__ = ["NOT_PRINTED", "draw_annotations", "placement"]

_HIDDEN, _PRINT, _NO_ROTATE = 1 << 1, 1 << 2, 1 << 4
"""Flags of ISO 32000-1, table 165. NoZoom and NoView change nothing on paper."""
_NOTHING = frozenset({"Popup", "Link"})
"""What leaves nothing on paper."""
_STEPS = 16
"""What an annotation takes beside what it draws."""
_LARGEST = 1e15
"""What a matrix may hold; beyond, products lose all meaning."""
NOT_PRINTED = "annotation that does not print"
"""``Object.hidden`` of what an annotation shows on a screen only."""


def draw_annotations(run: Interpreter, page: PageEntry) -> None:
    """Put the annotations of a page on it, in order.

    Parameters
    ----------
    run : after it has run the page's content.
    """
    given = page.own("/Annots")
    if given is None:
        return
    context, frame = run.context, run.frame
    if not isinstance(given, pikepdf.Array):
        context.note(NoteKind.FAULT, "annotation", "The list of annotations is damaged and left out.")
        return
    base = frame.matrix
    behind = _form_resources(run)
    for number_, annotation in enumerate(given, start=1):
        name = f"annotation {number_}"
        subtype = name_text(entry(annotation, "/Subtype"))
        if subtype in _NOTHING:
            continue
        run.frame = Frame(behind, f"p{context.page} {name}", f"{name} ({subtype})", matrix=base)
        run.state = GraphicsState(matrix=base)
        context.deadline.check()
        context.workload.take(_STEPS)
        if isinstance(annotation, pikepdf.Dictionary):
            _draw(run, annotation, subtype or "?", page)
        else:
            context.fault("annotation", "An annotation is no dictionary and is left out.")
    run.frame = frame


def _form_resources(run: Interpreter) -> Resources:
    """What appearances without resources of their own fall back on: those of interactive forms, then the page's."""
    defaults = entry(entry(run.context.pdf.Root, "/AcroForm"), "/DR")
    return Resources(defaults, run.frame.resources) if defaults is not None else run.frame.resources


def _draw(run: Interpreter, annotation: pikepdf.Dictionary, subtype: str, page: PageEntry) -> None:
    context = run.context
    flags = int(number(entry(annotation, "/F")) or 0)
    prints = bool(flags & _PRINT) and not flags & _HIDDEN
    rectangle = _normalised(numbers(entry(annotation, "/Rect")))
    appearance = _appearance(annotation)
    if appearance is None:
        if prints and not _empty(rectangle) and not _states(annotation):
            message = (
                f"An annotation that prints ({subtype[:40]}) has no appearance; each viewer draws its own."
            )
            context.not_modelled("annotation", message)
        return
    if rectangle is None:
        context.fault(
            "annotation", f"The rectangle of an annotation ({subtype[:40]}) is damaged; it is left out."
        )
        return
    if _empty(rectangle):
        return
    matrix = placement(_box(appearance), _matrix(appearance), rectangle)
    if matrix is None:
        context.fault(
            "annotation", f"The box of an annotation ({subtype[:40]}) has no extent; it is left out."
        )
        return
    if prints:
        _say_what_differs(run, annotation, flags, subtype, page)
    optional = entry(annotation, "/OC")
    run.enter(run.layers.entered(optional, run.canvas.layer) if optional is not None else None)
    if not prints:
        run.canvas.hidden = run.canvas.hidden or NOT_PRINTED
    run.state = GraphicsState(matrix=multiplied(run.frame.matrix, matrix))
    draw_form(run, appearance, run.frame.forms or "", trail=run.frame.trail)
    run.leave()


def _say_what_differs(
    run: Interpreter, annotation: pikepdf.Dictionary, flags: int, subtype: str, page: PageEntry
) -> None:
    """Note where what prints is not where, or not as, the appearance alone says."""
    turned = (number(page.inheritable("/Rotate")) or 0.0) % 360 != 0
    if flags & _NO_ROTATE and turned:
        message = f"An annotation ({subtype[:40]}) stays upright on the turned page; its place is not that of its box."
        run.context.not_modelled("annotation", message)
    if entry(annotation, "/FixedPrint") is not None:
        message = (
            "A watermark is put on paper by the size of the sheet; its place on the page is that of its box."
        )
        run.context.not_modelled("annotation", message)


def _appearance(annotation: pikepdf.Dictionary) -> pikepdf.Stream | None:
    """The normal appearance; of several that of the state in force (12.5.5)."""
    normal = entry(entry(annotation, "/AP"), "/N")
    if isinstance(normal, pikepdf.Stream):
        return normal
    if not isinstance(normal, pikepdf.Dictionary):
        return None
    state = name_text(entry(annotation, "/AS"))
    if state is None:
        # Viewers fall back on the field's value.
        values = (entry(annotation, "/V"), entry(entry(annotation, "/Parent"), "/V"))
        state = next((name for name in map(name_text, values) if name is not None), "Off")
    found = next((one for key, one in normal.items() if key == f"/{state}"), None)
    return found if isinstance(found, pikepdf.Stream) else None


def _states(annotation: pikepdf.Dictionary) -> bool:
    """Whether there are appearances for some states, though none for the one in force: it then shows nothing."""
    return isinstance(entry(entry(annotation, "/AP"), "/N"), pikepdf.Dictionary)


def _normalised(sides: list[float] | None) -> Box | None:
    if sides is None or len(sides) != 4:
        return None
    x0, y0, x1, y1 = sides
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _empty(box: Box | None) -> bool:
    return box is None or box[0] == box[2] or box[1] == box[3]


def _box(appearance: pikepdf.Stream) -> Box | None:
    return _normalised(numbers(entry(appearance, "/BBox")))


def _matrix(appearance: pikepdf.Stream) -> Matrix:
    given = numbers(entry(appearance, "/Matrix"))
    if given is None or len(given) != 6:
        return IDENTITY
    return given[0], given[1], given[2], given[3], given[4], given[5]


def placement(box: Box | None, matrix: Matrix, rectangle: Box) -> Matrix | None:
    """The matrix that puts an appearance into its annotation's rectangle (ISO 32000-1, algorithm 8.1).

    It goes on top of the appearance's own matrix.

    Parameters
    ----------
    box, matrix : the appearance's ``/BBox`` and ``/Matrix``; without a box it is the rectangle's size, at the origin.
    rectangle : in default user space.

    Returns
    -------
    None where the box, mapped, has no extent, or one beyond all reason.
    """
    if box is None:
        box = (0.0, 0.0, rectangle[2] - rectangle[0], rectangle[3] - rectangle[1])
    corners = [mapped(matrix, x, y) for x in (box[0], box[2]) for y in (box[1], box[3])]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    if not (right > left and high > low):
        return None
    across = (rectangle[2] - rectangle[0]) / (right - left)
    up = (rectangle[3] - rectangle[1]) / (high - low)
    found = (across, 0.0, 0.0, up, rectangle[0] - left * across, rectangle[1] - low * up)
    return found if all(abs(value) < _LARGEST for value in found) else None
