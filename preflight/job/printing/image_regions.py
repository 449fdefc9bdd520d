"""Where images print, traced from their alpha. Knows no role and no paint order."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import shapely

from preflight.artwork import Artwork
from preflight.geometry.layering import of_dimension
from preflight.geometry.rings import polygons
from preflight.geometry.tracing import beside, traced

__all__ = ["ImageRegions"]

_HALF = 127.5
"""Alpha above which a pixel counts as printed; an edge softened over a pixel is traced along its middle."""

_FAINT = 10.5
"""Alpha from 4 % on is seen as a tint; what lies between that and a half is told apart unless it only softens an edge."""

_SOFT_EDGE = 2
"""Pixels over which an edge may be softened."""


class _Traced(NamedTuple):
    """Regions in the unit square of an image; None where they cannot be had."""

    solid: Any
    faint: Any


class ImageRegions:
    """Regions of images that are not opaque everywhere; an image drawn again and again is decoded once."""

    def __init__(self, artwork: Artwork) -> None:
        self._artwork = artwork
        self._known: dict[Callable[[], Any], _Traced] = {}

    def of(self, index: int, faint: bool) -> Any:
        """Where an image prints, mm; None where that cannot be told.

        Parameters
        ----------
        index : the object's, one of ``artwork.alphas``.
        faint : ask for where it is fainter than half opaque, not only along its edges, in place of where it is not.
        """
        alpha = self._artwork.alphas[index]
        found = self._known.get(alpha.decode)
        if found is None:
            found = self._known[alpha.decode] = _trace(alpha.decode())
        region = found.faint if faint else found.solid
        if region is None:
            return None
        a, b, c, d, e, f = alpha.matrix
        linear = np.array([[a, b], [c, d]])
        placed = shapely.transform(region, lambda points: points @ linear + (e, f))
        quad = polygons(self._artwork.outlines.of_objects([index]), ["nonzero"], 0.01)[0]
        shown = shapely.bounds(quad)
        # An SVG image may be sliced to fit its box: not all of its pixels then show.
        reach = shapely.bounds(placed)
        if np.any(reach[:2] < shown[:2] - 1e-6) or np.any(reach[2:] > shown[2:] + 1e-6):
            placed = of_dimension(np.array([shapely.intersection(placed, quad)]), np.array([2]))[0]
        return placed


def _trace(pixels: Any) -> _Traced:
    if pixels is None:
        return _Traced(None, shapely.Polygon())
    rows, columns = pixels.shape
    soft = beside(pixels, _FAINT, _HALF, _SOFT_EDGE)
    found = [traced(one, _HALF) for one in (pixels, soft)]
    units = [
        None if one is None else shapely.transform(one, lambda points: points / (columns, rows))
        for one in found
    ]
    return _Traced(*units)
