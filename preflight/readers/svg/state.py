"""What is passed on while the document is gone through. Plain data; knows no drawing."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
from lxml import etree

from preflight.readers.svg.cascade import Style
from preflight.readers.svg.clip import ClipNode
from preflight.readers.svg.paint import ContextPaints
from preflight.readers.svg.units import Matrix

__all__ = ["Entered", "Frame", "State"]


class State(msgspec.Struct, eq=False):
    """What a group passes on to what it holds.

    ``place`` is the path in the document, ``prefix`` the refs of the ``<use>`` elements and marked shapes on
    the way, ``uses`` the elements they drew, ``drawn_at`` the line of the outermost.
    """

    style: Style
    matrix: Matrix
    viewport: tuple[float, float]
    place: str
    layer: int | None = None
    clip: tuple[ClipNode, ...] = ()
    opacity: float = 1.0
    blend: str = "normal"
    effect: str | None = None
    groups: tuple[int, ...] = ()
    hidden: str | None = None
    waive: tuple[str, ...] = ()
    prefix: str = ""
    uses: tuple[etree._Element, ...] = ()
    drawn_at: int | None = None
    context: ContextPaints | None = None


class Frame(msgspec.Struct, eq=False):
    """A group being gone through.

    Attributes
    ----------
    instance : the ``<use>`` that draws its one child.
    switch, chosen : whether the group is a ``<switch>``, and which of its children is drawn.
    boxed : the clip that is measured in the box of what the group holds.
    counts : elements of each name met so far, for their paths.
    """

    state: State
    children: Iterator[etree._Element]
    instance: etree._Element | None = None
    switch: bool = False
    chosen: etree._Element | None = None
    boxed: ClipNode | None = None
    counts: dict[str, int] = msgspec.field(default_factory=dict)


class Entered(msgspec.Struct, frozen=True, eq=False):
    """An element met, with what holds for it whatever its kind.

    ``matrix`` leads from its user space to mm on the page, ``hidden`` says why it is not drawn.
    """

    element: etree._Element
    name: str
    place: str
    line: int | None
    state: State
    attributes: dict[str, str]
    style: Style
    matrix: Matrix
    hidden: str | None
    clip: tuple[ClipNode, ...]
