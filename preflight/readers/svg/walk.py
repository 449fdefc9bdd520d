"""Goes through the document in paint order and hands each element to what draws its kind. Never recurses."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from lxml import etree

from preflight.artwork.model import NoteKind
from preflight.readers.errors import Unreadable
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.document import SVG
from preflight.readers.svg.drawn_images import draw_image
from preflight.readers.svg.drawn_shapes import draw_shape
from preflight.readers.svg.drawn_text import draw_text
from preflight.readers.svg.groups import open_group, open_use
from preflight.readers.svg.shapes import SHAPES
from preflight.readers.svg.state import Entered, Frame, State

__all__ = ["walk"]

_GROUPS = frozenset({"g", "svg", "a", "switch"})
# fmt: off
_SILENT = frozenset({
    "defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient", "radialGradient", "solidColor",
    "style", "title", "desc", "metadata", "filter", "stop", "view", "cursor", "font", "font-face",
    "color-profile", "namedview", "hatch", "meshgradient", "tspan", "textPath", "tref", "missing-glyph",
    "script", "animate", "animateTransform", "animateMotion", "animateColor", "set", "glyph", "hkern",
    "vkern", "flowDef", "linkStyle",
})
# fmt: on
"""Elements that draw nothing where they stand."""
_NOT_MODELLED = {
    "foreignObject": "Content in another language (foreignObject) is not modelled.",
    "flowRoot": "Flowed text is not modelled; browsers do not show it either.",
    "video": "A film is not modelled.",
    "audio": "A sound is not modelled.",
    "iframe": "An embedded page is not modelled.",
    "canvas": "An embedded canvas is not modelled.",
    "mesh": "A mesh is not modelled.",
}
_DRAWN: dict[str, Callable[[Canvas, Entered], None]] = {
    "text": draw_text,
    "image": draw_image,
    **dict.fromkeys(SHAPES, draw_shape),
}


def walk(canvas: Canvas, state: State, start: Iterator[etree._Element]) -> None:
    """Draw ``start`` and all below.

    Raises
    ------
    Unreadable
        A limit is passed: nesting, objects, elements drawn again, time.
    """
    stack = [Frame(state, start)]
    limit = canvas.context.limits.nesting
    names: dict[str, str] = {}
    visited = 0
    while stack:
        frame = stack[-1]
        for element in frame.children:
            visited += 1
            if visited % 1024 == 0:
                canvas.context.deadline.check()
            tag = element.tag
            name = names.get(tag)
            if name is None:
                name = names[tag] = _name(tag)
            below = _visit(canvas, element, name, frame) if name else None
            if below is not None:
                break  # its children come first
        else:
            if frame.boxed is not None:
                frame.boxed.last = len(canvas.objects)
            stack.pop()
            continue
        if len(stack) >= limit:
            raise Unreadable(
                f"Groups are nested too deeply (more than {limit:,} inside one another)",
                f"line {element.sourceline}",
                "Ungroup the artwork, or raise [limits] nesting in the profile.",
            )
        stack.append(below)


def _name(tag: object) -> str:
    """Local name of an SVG element; empty for comments and what belongs to other languages."""
    if not isinstance(tag, str):
        return ""
    namespace, _, name = tag.rpartition("}")
    return name if not namespace or namespace[1:] == SVG else ""


def _visit(canvas: Canvas, element: etree._Element, name: str, frame: Frame) -> Frame | None:
    """Draw one element; a frame where it holds others."""
    context, state = canvas.context, frame.state
    if state.prefix:
        context.count_expanded()
    if frame.instance is None:
        count = frame.counts[name] = frame.counts.get(name, 0) + 1
        place = f"{state.place}/{name}[{count}]"
    else:
        place = context.path_of(element)
    context.viewport = state.viewport
    draw = _DRAWN.get(name)
    if draw is not None:
        draw(canvas, canvas.entered(element, name, place, frame))
    elif name in _GROUPS or (name == "symbol" and frame.instance is not None):
        return open_group(canvas, canvas.entered(element, name, place, frame), frame.instance)
    elif name == "use":
        return open_use(canvas, element, place, frame)
    elif name in _NOT_MODELLED:
        context.note(NoteKind.NOT_MODELLED, name, _NOT_MODELLED[name], element)
    elif name not in _SILENT:
        message = f"SVG knows no element <{name[:40]}>; it is not drawn."
        context.note(NoteKind.FAULT, "element", message, element)
    return None
