"""How many nodes a contour needs, and its very short steps. Knows no knife and no limit of a job."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.strands import Strands

__all__ = ["ShortSteps", "excess", "needed_nodes", "short_steps"]

_CORNER = np.cos(np.radians(30.0))
"""A node at which the contour turns by more than this is a corner: its segments are never made one."""


class ShortSteps(msgspec.Struct, frozen=True, eq=False):
    """Segments shorter than a limit.

    Attributes
    ----------
    contour, segment : (k,) int
    length : (k,) mm
    point : (k, 2) middle of the segment's ends
    counts : (c,) int, number in each contour
    """

    contour: Integers
    segment: Integers
    length: Floats
    point: Floats
    counts: Integers


def short_steps(outlines: Outlines, shorter_than: float) -> ShortSteps:
    """Segments shorter than ``shorter_than`` mm, those without any length (doubled nodes) among them."""
    segments = outlines.segments
    chord = np.linalg.norm(segments[:, 3] - segments[:, 0], axis=1)
    rows = np.flatnonzero(chord < shorter_than)  # no curve is shorter than its chord
    length = cubics.arc_lengths(segments[rows], np.zeros(len(rows)), np.ones(len(rows)))
    short = length < shorter_than
    rows, length = rows[short], length[short]
    contour = outlines.contour_of_segment[rows]
    middle = (segments[rows, 0] + segments[rows, 3]) / 2.0
    return ShortSteps(contour, rows, length, middle, np.bincount(contour, minlength=outlines.contour_count))


def needed_nodes(outlines: Outlines, tolerance: float) -> Integers:
    """(c,) estimate of the nodes each contour needs to keep its shape within ``tolerance`` mm.

    Neighbouring segments are made one cubic, round after round, wherever that keeps within the tolerance and
    no corner lies between. What is left is an upper estimate: a patient hand may do with fewer. The first
    node of a closed contour always stays. Segments without length need no node.
    """
    strands = Strands.of(outlines)
    curves, contour = strands.segments, strands.contour
    spent = np.zeros(len(curves))
    active = np.ones(len(curves), bool)
    parity, idle = 0, 0
    while idle < 2 and len(curves) > 1:
        before = _pairs(contour, active, parity)
        joined, error = _joined(curves[before], curves[before + 1], tolerance)
        error = error + np.maximum(spent[before], spent[before + 1])
        good = error <= tolerance
        taken = before[good]
        idle = 0 if len(taken) else idle + 1
        if not len(taken):
            parity = 1 - parity
        if len(taken):
            # Only around what changed can another round find more.
            curves, spent = curves.copy(), spent.copy()
            curves[taken], spent[taken] = joined[good], error[good]
            changed = np.zeros(len(curves), bool)
            changed[taken] = True
            waiting = active & ~_covered(len(curves), before)
            keep = np.ones(len(curves), bool)
            keep[taken + 1] = False
            active = (
                changed
                | waiting
                | np.append(changed[1:], False)
                | np.append([False, False], changed[:-2])[: len(changed)]
            )
            curves, contour, spent, active = curves[keep], contour[keep], spent[keep], active[keep]
    counts = np.bincount(contour, minlength=outlines.contour_count)
    ends = outlines.starts.copy()
    filled = outlines.segment_counts > 0
    ends[filled] = outlines.ends[filled]
    apart = np.linalg.norm(ends - outlines.starts, axis=1) > 1e-6
    return np.asarray(counts + (~outlines.closed & apart & (counts > 0)))


excess = needed_nodes
"""The name by which the contours' views ask for it."""


def _covered(count: int, before: Integers) -> Flags:
    covered = np.zeros(count, bool)
    covered[before] = True
    covered[before + 1] = True
    return covered


def _pairs(contour: Integers, active: Flags, parity: int) -> Integers:
    """First of every second pair of neighbours of one contour, one of them at least active."""
    place = np.arange(len(contour))
    begins = np.append(True, contour[1:] != contour[:-1])
    within = place - np.maximum.accumulate(np.where(begins, place, 0))
    usable = (within[:-1] % 2 == parity) & ~begins[1:] & (active[:-1] | active[1:])
    return np.flatnonzero(usable)


def _joined(one: Floats, other: Floats, tolerance: float) -> tuple[Floats, Floats]:
    """One cubic for two that follow each other, and how far it strays from them; infinite where it cannot be.

    The inverse of cutting a cubic in two: the handles at the node tell where it was cut. Exact for curves
    that were cut, and a good guess for others.
    """
    came, goes = one[:, 3] - one[:, 2], other[:, 1] - other[:, 0]
    a, b = np.hypot(came[:, 0], came[:, 1]), np.hypot(goes[:, 0], goes[:, 1])
    error = np.full(len(one), np.inf)
    joined = one.copy()
    smooth = (came * goes).sum(axis=1) >= _CORNER * a * b
    rows = np.flatnonzero(smooth & (a > 0.0) & (b > 0.0))
    share = (a[rows] / (a[rows] + b[rows]))[:, None]
    first, last = one[rows, 0], other[rows, 3]
    handle_1 = first + (one[rows, 1] - first) / share
    handle_2 = last + (other[rows, 2] - last) / (1.0 - share)
    s = 1.0 - share
    node = s * s * (s * first + 3.0 * share * handle_1) + share * share * (3.0 * s * handle_2 + share * last)
    # The node itself is a cheap first test that nearly all needed nodes fail.
    off, heading = node - one[rows, 3], came[rows] / a[rows][:, None]
    aside = np.abs(off[:, 0] * heading[:, 1] - off[:, 1] * heading[:, 0])
    likely = aside <= 1.5 * tolerance
    rows = rows[likely]
    joined[rows] = np.stack([first[likely], handle_1[likely], handle_2[likely], last[likely]], axis=1)
    error[rows] = _strays(joined[rows], one[rows], other[rows], share[likely, 0])
    return joined, error


def _strays(joined: Floats, one: Floats, other: Floats, share: Floats) -> Floats:
    """(k,) greatest distance of sample points of two curves from the one that is to replace them."""
    part = np.linspace(0.0, 1.0, 4)[1:]
    points = np.concatenate(
        [cubics.points_at(one[:, None], part), cubics.points_at(other[:, None], part[:-1])], axis=1
    )
    t = np.concatenate([share[:, None] * part, share[:, None] + (1.0 - share[:, None]) * part[:-1]], axis=1)
    for _ in range(2):
        speed = cubics.first_derivatives(joined[:, None], t)
        apart = points - cubics.points_at(joined[:, None], t)
        square = np.maximum((speed * speed).sum(axis=2), 1e-300)
        t = np.clip(t + (apart * speed).sum(axis=2) / square, 0.0, 1.0)
    apart = points - cubics.points_at(joined[:, None], t)
    return np.asarray(np.sqrt((apart * apart).sum(axis=2)).max(axis=1, initial=0.0))
