"""Finds the colour space that a name or definition of a PDF stands for (ISO 32000-1 8.6). Paints nothing itself."""

from __future__ import annotations

from typing import Any

import pikepdf

from preflight.artwork.model import Spot
from preflight.readers.pdf.colour_space import ColourSpace
from preflight.readers.pdf.context import Context

__all__ = ["ColourSpace", "Colours"]


class Colours:
    """The colour spaces and named colours met while one page is read."""

    def __init__(self, context: Context) -> None:
        self.context = context

    def space_of(self, value: Any, resources: pikepdf.Object | None, *, inline: bool = False) -> ColourSpace:
        """The colour space of a name (``"DeviceCMYK"``, ``"CS0"``, a name object) or a definition.

        Never raises for what the file holds: a broken space is noted and painted `PaintKind.UNKNOWN`.

        Parameters
        ----------
        value : str without slash, `pikepdf.Name` or `pikepdf.Array`.
        resources : resource dictionary in force, for names and for the Default spaces.
        inline : whether the abbreviations of inline images (G, RGB, CMYK, I) are meant.
        """
        raise NotImplementedError

    def collect(self, resources: pikepdf.Object | None) -> None:
        """Meet every colour space that a resource dictionary defines, used or not."""
        raise NotImplementedError

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The named colours met so far; one name with two definitions is there twice."""
        raise NotImplementedError
