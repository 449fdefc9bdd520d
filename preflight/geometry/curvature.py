"""Corners a knife cannot turn: curves too tight and angles too sharp. Knows no knife and no limit of a job."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.clusters import linked
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
from preflight.geometry.strands import Strands
from preflight.geometry.tight_curves import ALIKE, Stretches, tight_stretches

__all__ = ["LEAST_TURN", "RADIUS_SLACK", "Corners", "tight_corners"]

RADIUS_SLACK = 0.025
"""Cubics that draw a true circle are tighter than the circle in places, up to 0.8 % if they are four and 2.4 % if
they are three; this much is let pass."""

_STILL_TIGHT = 1.07
"""And looser in others, up to 6.7 % if they are three: a corner goes on up to this many times the radius, so that
such a circle is one corner and not six."""

LEAST_TURN = 15.0
"""Degrees. A handle pulled back into its node makes the curve infinitely tight at one point without turning
anywhere; only a stretch that turns at least so far is a corner."""

_PASSED_OVER = 0.01
"""mm. A single segment this short between two longer ones is rounding: the corner is that of its neighbours."""

_HANDLE = 1e-3  # mm: a handle shorter than this points nowhere; the next control point gives the direction


class Corners(msgspec.Struct, frozen=True, eq=False):
    """Corners found, in the order of the contours and along each.

    Attributes
    ----------
    contour : (k,) int
    point : (k, 2)
        The node of a sharp corner; the tightest point of a curved one.
    value : (k,)
        Interior angle in degrees of a sharp corner; least radius of curvature of a curved one.
    is_curved : (k,) bool
    """

    contour: Integers
    point: Floats
    value: Floats
    is_curved: Flags


def tight_corners(
    drawn: Outlines | Strands,
    least_radius: float,
    least_angle: float,
    least_turn: float = LEAST_TURN,
    closed_within: float = 0.01,
) -> Corners:
    """Curved corners of a radius below ``least_radius`` and corners sharper than ``least_angle``.

    A curved corner is a longest stretch, over several segments too, on which the radius of curvature hardly rises
    above the limit, is below it somewhere by more than `RADIUS_SLACK`, and which turns by ``least_turn`` or more. A curve drawn as short
    straight lines has corners only. A cusp inside a segment is a corner of angle 0. Segments without length
    are passed over, and so is a single one that has next to none (`_PASSED_OVER`).

    Parameters
    ----------
    least_radius : float, mm
    least_angle, least_turn : float, degrees
    closed_within : float, mm
        The ends of a contour this close together form a corner too, whether or not the file closed it.
    """
    strands = Strands.of(drawn, closed_within)
    sharp, angle = _sharp_nodes(strands, least_angle)
    curves = strands.segments
    stretches, cusps = tight_stretches(curves, least_radius * _STILL_TIGHT)
    tight = _merged(strands, stretches, least_turn, least_radius * (1.0 - RADIUS_SLACK))
    parts = [
        (sharp, np.ones(len(sharp)), angle, curves[sharp, 3], np.zeros(len(sharp), bool)),
        (
            tight.segment,
            tight.tightest_at,
            tight.radius,
            cubics.points_at(curves[tight.segment], tight.tightest_at),
            np.ones(len(tight.segment), bool),
        ),
        (
            cusps.segment,
            cusps.at,
            np.zeros(len(cusps.at)),
            cubics.points_at(curves[cusps.segment], cusps.at),
            np.zeros(len(cusps.at), bool),
        ),
    ]
    if least_angle <= 0.0:
        parts.pop()
    segment, at, value, point, is_curved = (np.concatenate(column) for column in zip(*parts, strict=True))
    order = np.lexsort((at, segment))
    return Corners(strands.contour[segment[order]], point[order], value[order], is_curved[order])


def _directions(curves: Floats) -> tuple[Floats, Floats]:
    """(n, 2) direction in which each curve sets out and arrives, by the next control point that is distinct."""
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))

    def first_distinct(*vectors: Floats) -> Floats:
        chosen = vectors[-1]
        for vector in vectors[-2::-1]:
            real = (vector * vector).sum(axis=1, keepdims=True) > _HANDLE * _HANDLE
            chosen = np.where(real, vector, chosen)
        return chosen

    return first_distinct(p1 - p0, p2 - p0, p3 - p0), first_distinct(p3 - p2, p3 - p1, p3 - p0)


def _sharp_nodes(strands: Strands, least_angle: float) -> tuple[Integers, Floats]:
    """Segments at whose end the contour turns too sharply, and the interior angle there in degrees."""
    leaving, arriving = _directions(strands.segments)
    following, short = _over_the_short(strands)
    rows = np.flatnonzero((following >= 0) & ~short)
    came, goes = arriving[rows], leaving[following[rows]]
    ahead = (came * goes).sum(axis=1)
    squares = (came * came).sum(axis=1) * (goes * goes).sum(axis=1)
    # Screened by the cosine with a little to spare, then measured by the better conditioned arc tangent.
    edge = np.cos(np.radians(min(least_angle + 0.1, 180.0)))
    likely = (ahead <= -edge * np.sqrt(squares)) & (squares > 0.0)
    rows, came, goes, ahead = rows[likely], came[likely], goes[likely], ahead[likely]
    across = np.abs(came[:, 0] * goes[:, 1] - came[:, 1] * goes[:, 0])
    angle = np.degrees(np.arctan2(across, -ahead))
    sharp = angle < least_angle - 1e-9
    return rows[sharp], angle[sharp]


def _over_the_short(strands: Strands) -> tuple[Integers, Flags]:
    """(n,) the next segment of each, single short ones passed over, and which those are."""
    size = strands.boxes[:, 2:] - strands.boxes[:, :2]
    short: Flags = size.max(axis=1, initial=0.0) <= _PASSED_OVER
    rows = np.flatnonzero(short)
    before, after = strands.preceding[rows], strands.following[rows]
    single = (before >= 0) & (after >= 0) & ~short[before] & ~short[after] & (before != after)
    short[rows[~single]] = False
    following = strands.following.copy()
    following[before[single]] = after[single]
    return following, short


def _merged(strands: Strands, parts: Stretches, least_turn: float, radius: float) -> Stretches:
    """Stretches joined across nodes without a corner, and of those the ones that turn far enough and are tight enough somewhere."""
    if not len(parts.segment):
        return parts
    leaving, arriving = _directions(strands.segments)
    # A stretch that ends with its segment goes on in the one that starts with the next, if that bends alike.
    begins = np.full(len(strands.segments), -1)
    heads = np.flatnonzero(parts.start <= 0.0)
    begins[parts.segment[heads]] = heads
    tails = np.flatnonzero((parts.stop >= 1.0) & (strands.following[parts.segment] >= 0))
    next_segment = strands.following[parts.segment[tails]]
    heirs = begins[next_segment]
    came, goes = arriving[parts.segment[tails]], leaving[next_segment]
    kink = np.degrees(
        np.arctan2(came[:, 0] * goes[:, 1] - came[:, 1] * goes[:, 0], (came * goes).sum(axis=1))
    )
    on = (heirs >= 0) & (np.abs(kink) <= LEAST_TURN)
    on[on] &= parts.turn[tails[on]] * parts.turn[heirs[on]] > 0.0
    links_from, links_to = tails[on], heirs[on]
    label = linked(len(parts.segment), links_from, links_to)
    turn = np.bincount(label, np.abs(parts.turn), len(label))
    turn += np.bincount(label[links_from], np.abs(kink[on]), len(label))
    # The tightest part speaks for the whole stretch.
    order = np.lexsort((np.round(parts.radius, ALIKE), label))
    first = order[np.unique(label[order], return_index=True)[1]]
    return parts.chosen(first[(turn[label[first]] >= least_turn - 1e-9) & (parts.radius[first] < radius)])
