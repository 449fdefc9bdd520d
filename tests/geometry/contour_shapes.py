"""Contours for the tests of the relations between contours, built point by point."""

from __future__ import annotations

import numpy as np

from preflight.geometry.outlines import Outlines


def contour(segments, closed=True, straight=None):
    segments = np.asarray(segments, float).reshape(-1, 4, 2)
    straight = np.zeros(len(segments), bool) if straight is None else straight
    gap = 0.0 if closed else float(np.linalg.norm(segments[-1, 3] - segments[0, 0]))
    ends = np.array([0, len(segments)], np.intp)
    one = np.array([0, 1], np.intp)
    return Outlines(
        segments, straight, ends, one, segments[:1, 0].copy(), np.array([closed]), np.array([gap])
    )


def polygon(points, closed=True):
    points = np.asarray(points, float)
    stops = np.roll(points, -1, axis=0) if closed else points[1:]
    starts = points if closed else points[:-1]
    part = np.array([0.0, 1 / 3, 2 / 3, 1.0])[:, None]
    segments = starts[:, None] + (stops - starts)[:, None] * part
    return contour(segments, closed, np.ones(len(segments), bool))


def rectangle(x0, y0, x1, y1):
    return polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def circle(x, y, radius, pieces=4, turned=0.0, other=None):
    """A drawn circle, or an ellipse with half axes ``radius`` and ``other``."""
    start = turned + np.arange(pieces) * 2 * np.pi / pieces
    stop = start + 2 * np.pi / pieces
    handle = 4 / 3 * np.tan(np.pi / 2 / pieces)

    def at(angle):
        return np.stack([np.cos(angle), np.sin(angle)], axis=1)

    def along(angle):
        return np.stack([-np.sin(angle), np.cos(angle)], axis=1)

    unit = np.stack(
        [at(start), at(start) + handle * along(start), at(stop) - handle * along(stop), at(stop)], axis=1
    )
    unit[-1, 3] = unit[0, 0]
    return contour(unit * [radius, other or radius] + [x, y])


def reversed_contour(outlines):
    return contour(outlines.segments[::-1, ::-1], bool(outlines.closed[0]), outlines.straight[::-1])


def rolled(outlines, by):
    return contour(np.roll(outlines.segments, by, axis=0), True, np.roll(outlines.straight, by))


def moved(outlines, angle, shift):
    c, s = np.cos(angle), np.sin(angle)
    segments = outlines.segments @ np.array([[c, s], [-s, c]]) + np.asarray(shift, float)
    return contour(segments, bool(outlines.closed[0]), outlines.straight)


def together(*parts):
    return Outlines.joined(list(parts))
