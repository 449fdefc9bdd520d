"""Basic shapes as outlines. Knows no file format."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from preflight.geometry.outlines import Flags, Floats, Outlines

__all__ = ["KAPPA", "ellipse", "ellipses", "line", "polygon", "rectangle", "rectangles", "straight_cubics"]

KAPPA = 4.0 / 3.0 * (np.sqrt(2.0) - 1.0)
"""Length of the handles of a quarter circle of radius 1; the curve leaves the circle by 2.73e-4 at most."""


def straight_cubics(starts: Floats, ends: Floats) -> Floats:
    """Lines (n, 4, 2) from starts to ends (n, 2), control points at thirds."""
    segments = np.empty((len(starts), 4, 2))
    segments[:, 0] = starts
    segments[:, 1] = starts + (ends - starts) / 3.0
    segments[:, 2] = starts + (ends - starts) * (2.0 / 3.0)
    segments[:, 3] = ends
    return segments


def rectangle(
    x: float, y: float, width: float, height: float, radius_x: float = 0.0, radius_y: float = 0.0
) -> Outlines:
    """A closed rectangle, drawn as the standard says: right along the top first, y pointing down.

    Radii are cut to half the sides. A side that is zero or negative draws nothing.
    """
    if not (width > 0.0 and height > 0.0):
        return Outlines.empty(1)
    rx, ry = min(max(radius_x, 0.0), width / 2.0), min(max(radius_y, 0.0), height / 2.0)
    right, bottom = x + width, y + height
    if rx == 0.0 or ry == 0.0:
        return rectangles(np.array([[x, y]]), np.array([[width, height]]))
    corners = [
        ((right - rx, y), (right, y + ry), (1.0, 0.0)),
        ((right, bottom - ry), (right - rx, bottom), (0.0, 1.0)),
        ((x + rx, bottom), (x, bottom - ry), (-1.0, 0.0)),
        ((x, y + ry), (x + rx, y), (0.0, -1.0)),
    ]
    pieces: list[Floats] = []
    straight: list[bool] = []
    at = np.array([x + rx, y])
    for before, after, (along_x, along_y) in corners:
        start, stop = np.array(before), np.array(after)
        # Sides eaten up by the radii are no segments.
        if not np.array_equal(at, start):
            pieces.append(straight_cubics(at[None], start[None])[0])
            straight.append(True)
        pieces.append(_quarter(start, stop, np.array([along_x, along_y])))
        straight.append(False)
        at = stop
    return _one_contour(np.array(pieces), np.array(straight), closed=True)


def ellipse(cx: float, cy: float, radius_x: float, radius_y: float) -> Outlines:
    """A closed ellipse of four pieces a quarter each, from the right by way of the bottom, y down.

    Each quarter is halved, so that the curve stays within 1e-5 of the radius. A radius that is zero or
    negative draws nothing.
    """
    if not (radius_x > 0.0 and radius_y > 0.0):
        return Outlines.empty(1)
    return ellipses(np.array([[cx, cy]]), np.array([[radius_x, radius_y]]))


def ellipses(centres: Floats, radii: Floats) -> Outlines:
    """Many ellipses as `ellipse` draws them, an object each.

    Parameters
    ----------
    centres : (n, 2)
    radii : (n, 2)
        Both above zero.
    """
    angles = np.arange(9) * (np.pi / 4.0)
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    # The extremes are exact, and the last point is the first.
    unit[np.abs(unit) < 1e-15] = 0.0
    unit[8] = unit[0]
    handle = 4.0 / 3.0 * np.tan(np.pi / 16.0)
    turned = np.column_stack([-unit[:, 1], unit[:, 0]]) * handle
    pieces = np.stack([unit[:-1], unit[:-1] + turned[:-1], unit[1:] - turned[1:], unit[1:]], axis=1)
    segments = pieces * radii[:, None, None, :] + centres[:, None, None, :]
    return _alike(segments, straight=False, gaps=np.zeros(len(segments)))


def rectangles(corners: Floats, sizes: Floats) -> Outlines:
    """Many rectangles with square corners as `rectangle` draws them, an object each.

    Parameters
    ----------
    corners : (n, 2)
        Top left, y pointing down.
    sizes : (n, 2)
        Width and height, both above zero.
    """
    steps = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    points = corners[:, None, :] + steps * sizes[:, None, :]
    after = np.roll(points, -1, axis=1)
    segments = straight_cubics(points.reshape(-1, 2), after.reshape(-1, 2)).reshape(-1, 4, 4, 2)
    return _alike(segments, straight=True, gaps=np.abs(sizes[:, 1]))


def line(x1: float, y1: float, x2: float, y2: float) -> Outlines:
    """One straight segment, open; of zero length where both ends coincide."""
    return polygon([(x1, y1), (x2, y2)], closed=False)


def polygon(points: Sequence[tuple[float, float]] | Floats, closed: bool = True) -> Outlines:
    """A chain of straight segments through points (k, 2); ``closed`` false makes it a polyline.

    One point makes a contour without segments, no point no contour.
    """
    chain = np.asarray(points, np.float64).reshape(-1, 2)
    if len(chain) == 0:
        return Outlines.empty(1)
    gap = float(np.hypot(*(chain[-1] - chain[0])))
    if closed and not np.array_equal(chain[-1], chain[0]):
        chain = np.concatenate([chain, chain[:1]])
    segments = straight_cubics(chain[:-1], chain[1:])
    return _one_contour(segments, np.ones(len(segments), bool), closed, chain[0], gap)


def _quarter(start: Floats, stop: Floats, along: Floats) -> Floats:
    """Quarter of an ellipse that leaves ``start`` in an axis direction and turns to ``stop``."""
    reach = stop - start
    first = np.where(along != 0.0, reach, 0.0)
    return np.array([start, start + KAPPA * first, stop - KAPPA * (reach - first), stop])


def _alike(segments: Floats, straight: bool, gaps: Floats) -> Outlines:
    """Closed contours (n, k, 4, 2) of k segments each, an object each."""
    count, each = segments.shape[:2]
    return Outlines(
        segments=segments.reshape(-1, 4, 2),
        straight=np.full(count * each, straight),
        contour_offsets=np.arange(count + 1, dtype=np.intp) * each,
        object_offsets=np.arange(count + 1, dtype=np.intp),
        starts=segments[:, 0, 0].copy(),
        closed=np.ones(count, bool),
        gaps=gaps,
    )


def _one_contour(
    segments: Floats, straight: Flags, closed: bool, start: Floats | None = None, gap: float = 0.0
) -> Outlines:
    first = segments[0, 0] if start is None else start
    return Outlines(
        segments=segments,
        straight=straight,
        contour_offsets=np.array([0, len(segments)], np.intp),
        object_offsets=np.array([0, 1], np.intp),
        starts=np.array(first, np.float64).reshape(1, 2),
        closed=np.array([closed]),
        gaps=np.array([gap]),
    )
