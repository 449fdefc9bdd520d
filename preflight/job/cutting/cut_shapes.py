"""Sizes, corners and nodes of single cut contours. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import msgspec
import numpy as np

from preflight.geometry.curvature import tight_corners
from preflight.geometry.nodes import excess
from preflight.geometry.outlines import Floats
from preflight.job.cutting.cuts import CutContour, Cuts

__all__ = ["CornersOf", "CutShapes", "NodeUse"]

NO_LENGTH = 1e-6
"""mm. A step or a contour shorter than this has no length: its nodes lie on each other."""


class CornersOf(msgspec.Struct, frozen=True, eq=False):
    """Corners of one contour and one kind, tightest first.

    ``values`` are radii in mm where ``curved``, else angles between the sides in degrees; ``points`` (k, 2) mm.
    """

    contour: CutContour
    curved: bool
    values: list[float]
    points: Floats


class NodeUse(msgspec.Struct, frozen=True, eq=False):
    """Nodes of one contour: how many it has, how many its shape needs, its short steps.

    ``short`` lengths in mm, shortest first; ``places`` (k, 2) their middles.
    """

    contour: CutContour
    nodes: int
    needed: int
    short: list[float]
    places: Floats


class CutShapes:
    """Views of each contour's own shape, computed when asked for."""

    def __init__(self, cuts: Cuts) -> None:
        self._cuts = cuts

    def fragments(self, least_size: float, steps: tuple[str, ...]) -> list[tuple[CutContour, float]]:
        """Contours that hold a point, have no length, or are specks; with the longer side of their box, mm.

        Specks, smaller than ``least_size``, are looked for on the given steps only.
        """
        boxes = self._cuts.boxes
        sizes = np.nan_to_num(np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]), nan=0.0)
        bare = (self._cuts.outlines.segment_counts == 0) | (sizes <= NO_LENGTH)
        sizes = np.where(bare, 0.0, sizes)
        judged = np.array([step in steps for step in self._cuts.steps], bool)
        small = bare | (judged & (sizes < least_size - NO_LENGTH))
        return [(self._cuts.contours[index], float(sizes[index])) for index in np.flatnonzero(small).tolist()]

    def tight_corners(self, least_radius: float, least_angle: float) -> Iterator[CornersOf]:
        """Corners below a radius (mm) or an angle (degrees), by contour and kind."""
        corners = tight_corners(self._cuts.strands, least_radius, least_angle)
        # Corners of a regular star are alike but for noise: they keep their order along the contour.
        order = np.lexsort((np.round(corners.value, 6), corners.is_curved, corners.contour))
        keys = np.stack([corners.contour[order], corners.is_curved[order]], axis=1)
        for rows in _runs_of_equal(keys):
            chosen = order[rows]
            yield CornersOf(
                self._cuts.contours[int(corners.contour[chosen[0]])],
                bool(corners.is_curved[chosen[0]]),
                corners.value[chosen].tolist(),
                corners.point[chosen],
            )

    def node_use(
        self, tolerance: float, short_below: float, least_nodes: int, least_short: int
    ) -> Iterator[NodeUse]:
        """Nodes and short steps of the contours that have many of either.

        Parameters
        ----------
        tolerance : mm, how far the shape may change when drawn with fewer nodes.
        short_below : mm, steps from node to node shorter than this are listed.
        least_nodes, least_short : contours with fewer nodes and fewer short steps than these are passed over,
            which keeps a sheet of plain contours from being simplified for nothing.
        """
        outlines = self._cuts.outlines
        many = np.flatnonzero(outlines.segment_counts + 1 >= least_nodes)
        needed = outlines.segment_counts + 1
        needed[many] = excess(outlines.of_contours(many), tolerance)
        lengths = self._cuts.segment_lengths
        middles = outlines.segments[:, [0, 3]].mean(axis=1)
        short = np.flatnonzero((lengths < short_below) & (lengths > NO_LENGTH))
        owners = outlines.contour_of_segment[short]
        first = np.searchsorted(owners, np.arange(outlines.contour_count + 1))
        crowded = (np.diff(first) >= least_short) & (outlines.segment_counts > 0)
        crowded[many] = True
        for index in np.flatnonzero(crowded).tolist():
            own = short[first[index] : first[index + 1]]
            own = own[np.argsort(lengths[own], kind="stable")]
            contour = self._cuts.contours[index]
            open_ends = 0 if contour.closed or contour.gap <= NO_LENGTH else 1
            yield NodeUse(
                contour, contour.segments + open_ends, int(needed[index]), lengths[own].tolist(), middles[own]
            )


def _runs_of_equal(keys: Floats) -> Iterator[slice]:
    """Slices over which the rows of ``keys`` (k, m) stay the same."""
    if not len(keys):
        return
    borders = np.flatnonzero((keys[1:] != keys[:-1]).any(axis=1)) + 1
    edges = [0, *borders.tolist(), len(keys)]
    yield from (slice(start, stop) for start, stop in pairwise(edges))
