"""Colour spaces, patterns and shadings from text, without a page round them."""

from __future__ import annotations

from typing import Any

import pikepdf

from preflight.artwork.model import NoteKind, Paint
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.colours.colour_space import ColourSpace
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.colours.shadings import Shading, pattern_paint, shading_of
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.streams import Streams

__all__ = ["D50", "TINT_TO_CMYK", "Bench"]

D50 = "/WhitePoint [0.9642 1 0.8249]"
TINT_TO_CMYK = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0.8 0.6 0] /N 1 >>"


class Bench:
    """Reads what it is given as text; ``{0}``, ``{1}`` … in a text stand for streams added before."""

    def __init__(self) -> None:
        self.pdf = pikepdf.new()
        limits, deadline = Limits(), Deadline(60)
        self.context = Context(self.pdf, 1, limits, deadline, Streams(limits, deadline))
        self.colours = Colours(self.context)
        self.streams: list[pikepdf.Object] = []

    def add(self, data: bytes, entries: str = "") -> str:
        """A stream; the text that stands for it."""
        value = pikepdf.Stream(self.pdf, data, self.object(f"<< {entries} >>"))
        self.streams.append(self.pdf.make_indirect(value))
        return f"/STREAM{len(self.streams) - 1}"

    def object(self, text: str | bytes) -> Any:
        raw = text.encode() if isinstance(text, str) else text
        return self._filled(pikepdf.Object.parse(raw))

    def _filled(self, value: Any) -> Any:
        """The object with its stand-ins replaced by streams."""
        if isinstance(value, pikepdf.Name) and bytes(value).startswith(b"/STREAM"):
            return self.streams[int(str(value)[7:])]
        if isinstance(value, pikepdf.Array):
            return pikepdf.Array([self._filled(item) for item in value])
        if isinstance(value, pikepdf.Dictionary):
            return pikepdf.Dictionary(
                {key: self._filled(item) for key, item in value.items() if item is not None}
            )
        return value

    def resources(self, spaces: str) -> Resources:
        return Resources(self.object(f"<< /ColorSpace << {spaces} >> >>"))

    def space(
        self, text: str | bytes, resources: Resources | None = None, *, inline: bool = False
    ) -> ColourSpace:
        return self.colours.space_of(self.object(text), resources, inline=inline)

    def paint(self, text: str | bytes, *values: float) -> Paint:
        return self.space(text).paint(values)

    def shading(self, text: str) -> Shading:
        return shading_of(self.object(text), None, self.colours)

    def pattern(self, text: str, base: ColourSpace | None = None, *values: float) -> Paint:
        return pattern_paint(self.object(text), None, self.colours, base, values)

    def said(self, kind: NoteKind) -> list[str]:
        """What the notes of a kind are about."""
        return [note.what for note in self.context.notes if note.kind is kind]

    @property
    def spots(self) -> list[tuple[str, str]]:
        return [(spot.name, spot.definition) for spot in self.colours.spots]
