"""What belongs to one content stream while it runs. Knows no operator."""

from __future__ import annotations

import msgspec

from preflight.readers.matrices import IDENTITY, Matrix
from preflight.readers.pdf.colours.colour_space import ColourSpace
from preflight.readers.pdf.content.paths import Part
from preflight.readers.pdf.content.state import GraphicsState
from preflight.readers.pdf.content.tokens import Batch
from preflight.readers.pdf.document.resources import Resources

__all__ = ["Frame", "Program", "TextPosition"]


class Program(msgspec.Struct, eq=False):
    """A content stream read once.

    ``batches`` are its batches, each with the number of its first row as the canvas counts; ``draws`` says how often
    ``Do`` names what. Of content that is not kept as instructions both are empty and ``data`` holds it.
    """

    batches: list[tuple[Batch, int]]
    draws: dict[str, int]
    data: bytes | None = None


class TextPosition(msgspec.Struct):
    """Text and line matrix of a text object (ISO 32000-1, 9.4.1), and what it has shown as a clip so far."""

    matrix: Matrix = IDENTITY
    line: Matrix = IDENTITY
    clip: list[Part] = msgspec.field(default_factory=list)


class Frame(msgspec.Struct, eq=False):
    """What belongs to one content stream while it runs.

    Attributes
    ----------
    resources : where its names lead.
    trail : reference of the stream; operators add their number to it.
    forms : names of the forms that lead to it, joined by slashes; None for a page.
    object_number : of the stream, where it is an indirect object.
    matrix : from its user space to mm as it starts; patterns hang on it.
    number : of the operator at work.
    saved : states that ``q`` saved.
    marks : what marked content was in force outside each mark that is open.
    spaces : colour spaces by name.
    text : text position inside a text object, else None.
    tolerant : depth of ``BX``.
    draws : how often the stream draws each name; empty where it is run as it is read.
    """

    resources: Resources
    trail: str
    forms: str | None = None
    object_number: int | None = None
    matrix: Matrix = IDENTITY
    number: int = 0
    saved: list[GraphicsState] = msgspec.field(default_factory=list)
    unsaved: int = 0
    marks: list[tuple[int | None, str | None]] = msgspec.field(default_factory=list)
    spaces: dict[str, ColourSpace] = msgspec.field(default_factory=dict)
    text: TextPosition | None = None
    tolerant: int = 0
    draws: dict[str, int] = msgspec.field(default_factory=dict)
