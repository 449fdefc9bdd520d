"""What the walk hands on: one record for each thing drawn, before its curves are known. Plain data."""

from __future__ import annotations

import msgspec
from lxml import etree

from preflight.artwork.model import Kind, Origin, Paint, Stroke
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.clip import ClipNode
from preflight.readers.svg.paint import ContextPaints
from preflight.readers.svg.units import Matrix

__all__ = ["Drawn", "State"]


class Drawn(msgspec.Struct, eq=False):
    """One object with the place of its path text and its matrix to the page (mm)."""

    kind: Kind
    element: etree._Element
    origin: Origin
    state: State
    style: Style
    matrix: Matrix
    text: int
    broken: str | None
    hidden: str | None
    name: str | None
    fill: Paint
    stroke: Stroke
    opacity: float
    clip: tuple[ClipNode, ...]
    waive: tuple[str, ...]
    placed: tuple[float, float] | None = None
    pixels: tuple[int, int] | None = None
    linked: str | None = None
    characters: str | None = None
    font_size: float | None = None


class State(msgspec.Struct, eq=False):
    """What a group passes on to what it holds.

    ``place`` is the path in the document, ``prefix`` the refs of the ``<use>`` elements on the way,
    ``uses`` the elements they drew.
    """

    style: Style
    matrix: Matrix
    viewport: tuple[float, float]
    place: str
    layer: int | None = None
    clip: tuple[ClipNode, ...] = ()
    opacity: float = 1.0
    blend: str = "normal"
    hidden: str | None = None
    waive: tuple[str, ...] = ()
    prefix: str = ""
    uses: tuple[etree._Element, ...] = ()
    context: ContextPaints | None = None
