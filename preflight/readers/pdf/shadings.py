"""Shadings and patterns as paints (ISO 32000-1 8.7). Knows no operator; draws nothing."""

from __future__ import annotations

from typing import Any

import msgspec
import pikepdf

from preflight.artwork.model import Paint
from preflight.readers.pdf.colour_space import ColourSpace
from preflight.readers.pdf.colour_spaces import Colours

__all__ = ["Shading", "pattern_paint", "shading_of"]


class Shading(msgspec.Struct, frozen=True):
    """A shading as it is painted.

    Attributes
    ----------
    paint : `PaintKind.GRADIENT` with its stops, or `PaintKind.UNKNOWN` where it could not be read.
    box : x0, y0, x1, y1 in the shading's own space (user space for ``sh``) beyond which it paints nothing;
        ends are ±inf where it has none. The clip in force bounds it further.
    """

    paint: Paint
    box: tuple[float, float, float, float]


def shading_of(value: Any, resources: pikepdf.Object | None, colours: Colours) -> Shading:
    """The shading of a shading dictionary or stream, for ``sh``; never raises for what the file holds."""
    raise NotImplementedError


def pattern_paint(
    value: Any,
    resources: pikepdf.Object | None,
    colours: Colours,
    base: ColourSpace | None = None,
    values: tuple[float, ...] = (),
) -> Paint:
    """The paint of a pattern dictionary, for ``scn`` and ``SCN``; never raises for what the file holds.

    ``base`` is the pattern space's underlying space and ``values`` the numbers before the pattern's name, both
    only for uncoloured tiling patterns.
    """
    raise NotImplementedError
