"""The whole way from bytes to Artwork, in order. Knows the stages, not what they do."""

from __future__ import annotations

from pathlib import Path

from lxml import etree

from preflight.artwork.model import Artwork, NoteKind
from preflight.readers.limits import Deadline, Limits
from preflight.readers.svg.assemble import assembled
from preflight.readers.svg.boxes import fill_box
from preflight.readers.svg.canvas import WAIVE, Canvas
from preflight.readers.svg.cascade import INITIAL_STYLE
from preflight.readers.svg.context import Context, local_name
from preflight.readers.svg.document import parse
from preflight.readers.svg.page import page_frame
from preflight.readers.svg.state import State
from preflight.readers.svg.walk import walk

__all__ = ["read"]


def read(data: bytes, name: str, limits: Limits, folder: Path | None) -> tuple[Artwork, ...]:
    """The one page of an SVG document.

    Parameters
    ----------
    data : the file, plain or compressed.
    name : the file's name, for messages.
    folder : linked images are looked for below it; None where there is none.

    Raises
    ------
    preflight.readers.errors.Unreadable
        Empty, not XML, not SVG, hostile, or over a limit; with place and mend.
    """
    deadline = Deadline(limits.seconds)
    document = parse(data, limits)
    context = Context(document, limits, deadline)
    root = document.root
    if not document.namespaced:
        message = "The SVG namespace is missing; browsers show nothing of this file. It is read as SVG all the same."
        context.note(NoteKind.FAULT, "namespace", message, root)
    _outside_sheets(context)
    _moving_parts(context)
    style = context.style_of(root, INITIAL_STYLE)
    frame = page_frame(context, document.head, style)
    context.viewport = frame.viewport
    context.paints.collect(root)
    if any(style.own.get(name, "none") not in _NO_GROUND for name in _GROUNDS):
        message = (
            "A background given by a style sheet is not modelled: browsers show it, drawing programs do not."
        )
        context.note(NoteKind.NOT_MODELLED, "background", message, root)
    canvas = Canvas(context, folder, fill_box)
    hidden = None if style.displayed else "display"
    waiver = root.get(WAIVE)
    state = State(
        style,
        frame.matrix,
        frame.viewport,
        "/svg",
        layer=canvas.layers.of(root, None, hidden is None) if root.get("data-name") else None,
        opacity=style.opacity,
        hidden=hidden,
        waive=() if waiver is None else (waiver,),
    )
    walk(canvas, state, iter(root))
    if canvas.marked:
        from preflight.readers.svg.markers import draw_markers  # few files have any

        draw_markers(canvas)
    return (assembled(canvas, frame),)


def _outside_sheets(context: Context) -> None:
    """Note style sheets that the file asks for and that are never fetched."""
    node = context.root.getprevious()
    while node is not None:
        if isinstance(node, etree._ProcessingInstruction) and node.target == "xml-stylesheet":
            message = "A style sheet kept in another file is not taken into account."
            context.note(NoteKind.NOT_MODELLED, "style sheet", message, context.root)
        node = node.getprevious()


_GROUNDS = ("background", "background-color", "background-image")
_NO_GROUND = frozenset(
    {"none", "transparent", "initial", "unset", "white", "#fff", "#ffffff", "#FFF", "#FFFFFF"}
)
_ANIMATIONS = ("animate", "animateTransform", "animateMotion", "animateColor", "set")


def _moving_parts(context: Context) -> None:
    """Note what changes the artwork after it is read, wherever it stands."""
    for element in context.root.iter("{*}script", *(f"{{*}}{name}" for name in _ANIMATIONS)):
        name = local_name(element)
        message = "An animation is not modelled; the first state is judged."
        if name == "script":
            message = "A script may change the artwork; it is not run."
        context.note(NoteKind.NOT_MODELLED, name, message, element)
