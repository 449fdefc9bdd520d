"""Elliptical arcs to cubic Béziers. Knows the endpoint form of SVG, no path text."""

from __future__ import annotations

import numpy as np

from .outlines import Floats, Integers

__all__ = ["arcs_to_cubics"]

EIGHTH = np.pi / 4
"""One cubic spans at most an eighth turn: off the true arc by 4.2e-6 of the radius. A quarter turn would be off
by 2.7e-4, more than the 1e-4 the model promises."""


def arcs_to_cubics(starts: Floats, arguments: Floats) -> tuple[Floats, Integers]:
    """Cubics along elliptical arcs.

    Out-of-range radii are mended as SVG 2, B.2.5 says: absolute values, scaled up where too small. A zero
    radius gives a straight line, coincident ends give nothing.

    Parameters
    ----------
    starts : (n, 2) float64
        Current points.
    arguments : (n, 7) float64
        rx, ry, rotation in degrees, large-arc flag, sweep flag, absolute x, y.

    Returns
    -------
    segments : (m, 4, 2) float64, arc after arc
    counts : (n,) int
        Number of segments of each arc.
    """
    ends = arguments[:, 5:7]
    radii = np.abs(arguments[:, 0:2])
    turn = np.radians(arguments[:, 2] % 360.0)
    large, sweep = arguments[:, 3] != 0, arguments[:, 4] != 0
    nothing = (starts == ends).all(axis=1)
    line = ~nothing & (radii == 0).any(axis=1)
    safe = np.where((radii == 0).any(axis=1, keepdims=True), 1.0, radii)

    cos, sin = np.cos(turn), np.sin(turn)
    half = (starts - ends) / 2
    x1 = cos * half[:, 0] + sin * half[:, 1]
    y1 = -sin * half[:, 0] + cos * half[:, 1]
    excess = (x1 / safe[:, 0]) ** 2 + (y1 / safe[:, 1]) ** 2
    safe = safe * np.sqrt(np.maximum(excess, 1.0))[:, None]
    ux, uy = x1 / safe[:, 0], y1 / safe[:, 1]
    square = ux**2 + uy**2
    # On the unit circle the centre stands square to the chord.
    away = np.sqrt(np.maximum(1.0 / np.where(square > 0, square, 1.0) - 1.0, 0.0))
    away = np.where(large == sweep, -away, away)
    cx, cy = away * uy, -away * ux
    first = np.arctan2(uy - cy, ux - cx)
    swept = np.arctan2(-uy - cy, -ux - cx) - first
    swept = np.where(sweep & (swept < 0), swept + 2 * np.pi, swept)
    swept = np.where(~sweep & (swept > 0), swept - 2 * np.pi, swept)

    # The centre of half a turn is off by the root of what is rounded: that must not make it a piece more.
    counts = np.maximum(1, np.ceil(np.abs(swept) / EIGHTH - 1e-6)).astype(np.intp)
    counts = np.where(nothing, 0, np.where(line, 1, counts))
    owner = np.repeat(np.arange(len(starts)), counts)
    within = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    step = (swept / np.maximum(counts, 1))[owner]
    unit = _unit_arcs(first[owner] + step * within, step) + np.stack([cx, cy], axis=1)[owner, None, :]
    scaled = unit * safe[owner, None, :]
    turned = np.stack(
        [
            cos[owner, None] * scaled[..., 0] - sin[owner, None] * scaled[..., 1],
            sin[owner, None] * scaled[..., 0] + cos[owner, None] * scaled[..., 1],
        ],
        axis=-1,
    )
    segments = turned + ((starts + ends) / 2)[owner, None, :]
    thirds = np.arange(4)[None, :, None] / 3
    straight = starts[owner, None, :] * (1 - thirds) + ends[owner, None, :] * thirds
    segments = np.where(line[owner, None, None], straight, segments)
    # The ends are the file's own numbers, not what the trigonometry gives back.
    segments[within == 0, 0] = starts[owner[within == 0]]
    last = within == counts[owner] - 1
    segments[last, 3] = ends[owner[last]]
    return segments, counts


def _unit_arcs(first: Floats, swept: Floats) -> Floats:
    """(n, 4, 2) cubics on the unit circle from angle ``first`` over ``swept`` radians."""
    handle = 4 / 3 * np.tan(swept / 4)
    last = first + swept
    start = np.stack([np.cos(first), np.sin(first)], axis=1)
    end = np.stack([np.cos(last), np.sin(last)], axis=1)
    start_tangent = np.stack([-start[:, 1], start[:, 0]], axis=1)
    end_tangent = np.stack([-end[:, 1], end[:, 0]], axis=1)
    return np.stack(
        [start, start + handle[:, None] * start_tangent, end - handle[:, None] * end_tangent, end], axis=1
    )
