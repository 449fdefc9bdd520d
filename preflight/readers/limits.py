"""How much a reader takes on before it gives up with a clear answer. Knows no file format."""

from __future__ import annotations

import time
from collections.abc import Mapping

import msgspec

from preflight.readers.errors import Unreadable

__all__ = ["Deadline", "Limits"]


class Limits(msgspec.Struct, frozen=True):
    """Bounds on what a stranger's file may cost; all are project assumptions, well above real jobs.

    Attributes
    ----------
    file_size : bytes of the file as stored.
    decompressed_size : bytes after unpacking, and of the text after entities are replaced.
    entity_text : characters that internal entities may add to the file.
    elements : elements in the document.
    nesting : elements inside one another, through ``<use>`` as well.
    use_expansion : elements visited inside ``<use>``, markers and clip paths, all places together.
    path_segments : segments of the whole page.
    objects : objects on the page.
    operators : operators of a PDF's content, each as often as it is drawn, with the names, texts and arrays in it
        (an array by its length) and every second letter shown; all pages together.
    pages : pages of one file.
    image_pixels : pixels of one image.
    coordinate : mm from the origin beyond which a coordinate is taken for a fault (100 m).
    seconds : time for reading one file.
    """

    file_size: int = 128 * 1024 * 1024
    decompressed_size: int = 128 * 1024 * 1024
    entity_text: int = 1_000_000
    elements: int = 1_000_000
    nesting: int = 500
    use_expansion: int = 200_000
    path_segments: int = 5_000_000
    objects: int = 500_000
    operators: int = 1_500_000
    pages: int = 2_000
    image_pixels: int = 500_000_000
    coordinate: float = 1e5
    seconds: float = 60.0

    @classmethod
    def of(cls, values: Mapping[str, float | None]) -> Limits:
        """The defaults, with the values given in their place (None: keep the default).

        Raises
        ------
        TypeError
            A name is not one of the limits.
        """
        return cls(**{name: value for name, value in values.items() if value is not None})  # type: ignore[arg-type]


class Deadline:
    """The moment reading has to be done by."""

    def __init__(self, seconds: float) -> None:
        self._seconds = seconds
        self._end = time.monotonic() + seconds

    def check(self) -> None:
        """Give up when the time is over.

        Raises
        ------
        Unreadable
        """
        if time.monotonic() > self._end:
            raise Unreadable(
                f"Reading took longer than the limit of {self._seconds:g} seconds",
                None,
                "Simplify the artwork, or raise [limits] seconds in the profile.",
            )
