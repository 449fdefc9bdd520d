"""Pages drawn by a few operators, read whole: for tests of what operators mean."""

from __future__ import annotations

from collections.abc import Mapping

from small_pdfs import one_page

from preflight.artwork.model import Artwork, Note
from preflight.geometry.outlines import Floats
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

__all__ = ["MM", "corners", "drawn", "noted"]

MM = 25.4 / 72


def drawn(
    content: bytes | str,
    resources: str = "",
    others: Mapping[int, bytes | str] | None = None,
    limits: Limits | None = None,
    **parts: str,
) -> Artwork:
    """A page of 200 by 100 points that shows this content; objects of its own from number 5 on."""
    data = one_page(content, resources=resources, others=others, **parts)
    return read(data, "drawn.pdf", limits or Limits())[0]


def corners(artwork: Artwork, index: int = 0) -> list[list[tuple[float, float]]]:
    """Start of each contour of an object and the end of each of its segments, in points, y up from the bottom."""
    outlines = artwork.outlines
    found = []
    for contour in range(outlines.object_offsets[index], outlines.object_offsets[index + 1]):
        first, last = outlines.contour_offsets[contour : contour + 2]
        points = [outlines.starts[contour], *outlines.segments[first:last, 3]]
        found.append([_points(artwork, point) for point in points])
    return found


def _points(artwork: Artwork, point: Floats) -> tuple[float, float]:
    return round(float(point[0]) / MM, 6) + 0.0, round((artwork.page.height - float(point[1])) / MM, 6) + 0.0


def noted(artwork: Artwork, what: str) -> list[Note]:
    """The notes about one kind of construct."""
    return [note for note in artwork.notes if note.what == what]
