"""What a reader is. Knows no format."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from preflight.artwork import Artwork

if TYPE_CHECKING:
    from .limits import Limits

__all__ = ["Reader"]


class Reader(Protocol):
    """Turns the bytes of one format into pages of Artwork, keeping the promises of `preflight.artwork`."""

    @property
    def format(self) -> str:
        """Name of the format in reports: ``svg``, ``pdf``."""
        ...

    @property
    def suffixes(self) -> tuple[str, ...]:
        """File name endings a folder is searched for, with their dots."""
        ...

    def sniff(self, data: bytes) -> bool:
        """Whether the content is of this format, whatever the file's name."""
        ...

    def read(self, data: bytes, name: str, limits: Limits, folder: Path | None) -> tuple[Artwork, ...]:
        """The pages.

        Parameters
        ----------
        name : the file's name, for messages.
        limits : what a stranger's file may cost.
        folder : linked images are looked for below it; None where there is none (stdin).

        Raises
        ------
        Unreadable
            With what is wrong, where, and the mend.
        """
        ...

    def picture(self, data: bytes, page: int, limits: Limits) -> str | None:
        """The page as a ``data:`` URI that an HTML ``<img>`` shows, or None where no picture can be made.

        Parameters
        ----------
        page : its number, from 1.
        limits : those the file was read within.
        """
        ...
