"""The PDF reader as the engine sees it; light, for it is loaded with every file. Knows no rule."""

from __future__ import annotations

from pathlib import Path

from preflight.artwork import Artwork
from preflight.readers.limits import Limits

__all__ = ["PdfReader"]

_HEADER = b"%PDF-"
_HEADER_WITHIN = 1024
"""Bytes at the start of a file that its header may stand in (ISO 32000-1, Annex H.3, implementation note 13)."""


class PdfReader:
    """Reads PDF, and files of drawing programs that hold one."""

    format = "pdf"
    suffixes = (".pdf", ".ai")

    def sniff(self, data: bytes) -> bool:
        """Whether the content is PDF."""
        return _HEADER in data[:_HEADER_WITHIN]

    def read(self, data: bytes, name: str, limits: Limits, folder: Path | None) -> tuple[Artwork, ...]:
        """The pages of the document, in order.

        Raises
        ------
        preflight.readers.errors.Unreadable
        """
        from .read import read

        return read(data, name, limits)

    def picture(self, data: bytes, page: int, limits: Limits) -> str | None:
        """The page as a PNG picture, as PDFium draws it, which has bounds of its own on size and time."""
        from .picture import picture

        return picture(data, page)
