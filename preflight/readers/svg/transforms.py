"""An element's own transform: attribute or property, the single properties, and the point it turns about.

CSS Transforms 1 and 2. Knows matrices, no shape; the box of what is transformed is measured by the caller.
"""

from __future__ import annotations

from collections.abc import Callable

from lxml import etree

from preflight.artwork.model import NoteKind
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.context import Context
from preflight.readers.svg.units import (
    IDENTITY,
    Length,
    Matrix,
    multiplied,
    parse_length,
    parse_transform,
    to_px,
)

__all__ = ["Measure", "is_transformed", "own_transform"]

Measure = Callable[[], tuple[float, float, float, float] | None]
"""Gives the box (x0, y0, x1, y1) of what an element draws, in its user space; None where it draws nothing."""

_PROPERTIES = ("translate", "rotate", "scale", "transform", "offset-path")
_OWN_BOX = frozenset({"fill-box", "content-box", "stroke-box", "border-box"})
_PLACES = {"left": 0.0, "top": 0.0, "center": 50.0, "right": 100.0, "bottom": 100.0}


def is_transformed(style: Style, attributes: dict[str, str]) -> bool:
    """Whether anything says that an element is transformed."""
    return "transform" in attributes or (bool(style.own) and any(name in style.own for name in _PROPERTIES))


def own_transform(
    context: Context,
    element: etree._Element,
    style: Style,
    whole: tuple[float, float],
    measure: Measure | None = None,
    origin: str = "",
) -> Matrix:
    """The element's matrix from its own user space to that of its parent; what is malformed is noted and left out.

    Parameters
    ----------
    whole : size of the viewport, which percentages are of unless ``transform-box`` says otherwise.
    measure : measures what the element draws, where ``transform-box`` asks for it.
    origin : the point it turns about where no ``transform-origin`` is given.
    """
    matrix, corner = IDENTITY, (0.0, 0.0)
    if style["transform-box"] in _OWN_BOX:
        box = _own_box(context, element, style, measure)
        whole = (0.0, 0.0)
        if box is not None:
            corner, whole = (box[0], box[1]), (box[2] - box[0], box[3] - box[1])
    for text in _functions(context, element, style):
        found = parse_transform(text, whole)
        if found is None:
            message = f"The transform “{text[:60]}” is malformed or not in the plane, and is left out."
            kind = NoteKind.NOT_MODELLED if "3d" in text.lower() or "perspective" in text else NoteKind.FAULT
            context.note(kind, "transform", message, element)
        else:
            matrix = multiplied(matrix, found)
    about = str(style.own.get("transform-origin") or origin)
    if matrix == IDENTITY or not (about or any(corner)):
        return matrix
    x, y = _point(about, whole, style.font_size) if about else (0.0, 0.0)
    x, y = x + corner[0], y + corner[1]
    return multiplied(multiplied((1, 0, 0, 1, x, y), matrix), (1, 0, 0, 1, -x, -y))


def _functions(context: Context, element: etree._Element, style: Style) -> list[str]:
    """Transform lists in the order they are multiplied (CSS Transforms 2, section 8)."""
    own = style.own
    found = []
    for name in ("translate", "rotate", "scale"):
        words = str(own.get(name, "none")).split()
        if words and words != ["none"]:
            # A turn about z is the turn in the plane; one about another axis is none that parses.
            words = words[1:] if words[0].lower() == "z" and len(words) == 2 else words
            found.append(f"{name}({','.join(words)})")
    if own.get("offset-path", "none") != "none":
        message = "A path that the object is moved along (offset-path) is not modelled."
        context.note(NoteKind.NOT_MODELLED, "offset-path", message, element)
    text = own.get("transform")
    found.append(str(text) if text is not None else element.get("transform", ""))
    return found


def _own_box(
    context: Context, element: etree._Element, style: Style, measure: Measure | None
) -> tuple[float, float, float, float] | None:
    kind = style["transform-box"]
    stroked = kind in ("stroke-box", "border-box") and style["stroke"].kind != "none"
    if measure is None or stroked:
        message = f"A transform about the box of the object with its stroke (transform-box: {kind}) is not modelled."
        if measure is None:
            message = f"A transform about the object's own box (transform-box: {kind}) is not modelled here."
        context.note(NoteKind.NOT_MODELLED, "transform-box", message, element)
    return measure() if measure is not None else None


def _point(text: str, whole: tuple[float, float], font_size: float) -> tuple[float, float]:
    """A ``transform-origin`` in user units."""
    words = text.lower().split()[:2]
    if len(words) == 2 and (words[0] in ("top", "bottom") or words[1] in ("left", "right")):
        words.reverse()
    elif len(words) == 1:
        words = ["center", words[0]] if words[0] in ("top", "bottom") else [words[0], "center"]
    places = []
    for word, side in zip(words, whole, strict=True):
        length = Length(_PLACES[word], "%") if word in _PLACES else parse_length(word)
        places.append(to_px(length, side, font_size) if length else 0.0)
    return places[0], places[1]
