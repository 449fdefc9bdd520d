"""The SVG reader as the engine sees it. Knows no rule."""

from __future__ import annotations

from pathlib import Path

from preflight.artwork import Artwork
from preflight.readers.limits import Limits

__all__ = ["SvgReader"]


class SvgReader:
    """Reads SVG, plain or compressed."""

    format = "svg"
    suffixes = (".svg", ".svgz")

    def sniff(self, data: bytes) -> bool:
        """Whether the content is SVG."""
        from .beginning import sniff

        return sniff(data)

    def read(self, data: bytes, name: str, limits: Limits, folder: Path | None) -> tuple[Artwork, ...]:
        """The one page of the document.

        Raises
        ------
        Unreadable
        """
        from .read import read

        return read(data, name, limits, folder)

    def picture(self, data: bytes, page: int, limits: Limits) -> str | None:
        """The document itself, which a browser shows as an image without running or loading anything.

        Unpacking keeps within the limits; beyond them there is no picture.
        """
        from preflight.readers.errors import Unreadable

        from .document import unpacked

        try:
            plain = unpacked(data, limits)
        except Unreadable:
            return None
        import base64

        return "data:image/svg+xml;base64," + base64.b64encode(plain).decode("ascii")
