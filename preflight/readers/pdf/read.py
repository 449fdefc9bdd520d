"""The whole way from bytes to pages of Artwork, in order. Knows the stages, not what they do."""

from __future__ import annotations

import msgspec

from preflight.artwork.model import Artwork, Note
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.annotations import draw_annotations
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.colours.spectral_data import SpectralData, spectral_data, with_measurements
from preflight.readers.pdf.content.canvas import Canvas
from preflight.readers.pdf.content.interpreter import Interpreter
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.opening import Opened, opened, warnings_of
from preflight.readers.pdf.document.page_boxes import page_frame
from preflight.readers.pdf.document.page_content import page_content
from preflight.readers.pdf.document.page_tree import PageEntry, pages_of
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.streams import Streams, bounded
from preflight.readers.pdf.layers.content_layers import Layers
from preflight.readers.pdf.layers.optional_content import OptionalContent
from preflight.readers.pdf.text.fonts import Fonts

__all__ = ["read"]


def read(data: bytes, name: str, limits: Limits) -> tuple[Artwork, ...]:
    """The pages of a PDF document, in order.

    What is to be said about the document as a whole (repairs, encryption) stands among the notes of its first page.

    Parameters
    ----------
    data : the file.
    name : the file's name, for messages.

    Raises
    ------
    preflight.readers.errors.Unreadable
        No PDF, locked, damaged beyond repair, without pages, hostile, or over a limit; with the mend.
    """
    deadline = Deadline(limits.seconds)
    with bounded(limits):
        document = opened(data, limits)
        try:
            return _pages(document, limits, deadline)
        finally:
            document.pdf.close()


def _pages(document: Opened, limits: Limits, deadline: Deadline) -> tuple[Artwork, ...]:
    pdf = document.pdf
    streams = Streams(limits, deadline)
    whole = Context(pdf, 1, limits, deadline, streams)
    content = OptionalContent(whole)
    fonts = Fonts()
    spectra = spectral_data(pdf.Root, streams)
    try:
        pages = [
            _page(entry, Context(pdf, number, limits, deadline, streams), content, fonts, spectra)
            for number, entry in enumerate(pages_of(pdf, whole), start=1)
        ]
    finally:
        fonts.close()
    whole_notes = (*document.notes, *whole.notes, *spectra.notes)
    about_all: tuple[Note, ...] = (*whole_notes, *warnings_of(pdf))
    return (msgspec.structs.replace(pages[0], notes=(*about_all, *pages[0].notes)), *pages[1:])


def _page(
    entry: PageEntry, context: Context, content: OptionalContent, fonts: Fonts, spectra: SpectralData
) -> Artwork:
    frame = page_frame(entry, context)
    layers = Layers(content, context)
    colours = Colours(context)
    canvas = Canvas(context, frame.visible, frame.matrix)
    resources = Resources(entry.resources)
    interpreter = Interpreter(canvas, layers, colours, fonts, resources, frame.matrix)
    interpreter.run(page_content(entry, context))
    draw_annotations(interpreter, entry)
    colours.collect(resources)
    own = spectral_data(entry.dictionary, context.streams)
    for note in own.notes:
        context.note(note.kind, note.what, note.message)
    spots = with_measurements(colours.spots, {**spectra.measured, **own.measured})
    return canvas.finished(frame.page, layers.layers, spots)
