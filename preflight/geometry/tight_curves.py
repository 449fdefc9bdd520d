"""Where single cubic curves bend more tightly than a radius, exact. Knows no contours and no corners."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.geometry import cubics
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["ALIKE", "CUSP", "Cusps", "Stretches", "tight_stretches"]

ALIKE = 6
"""Decimals, mm: of places whose radii agree so far the first counts, so that the noise of a file's numbers does not choose."""

CUSP = 1e-6
"""Speed, as a fraction of the longest side of the control polygon, below which a curve stands still."""


class Stretches(msgspec.Struct, frozen=True, eq=False):
    """Parts of curves, (k,) each: curve, parameters, signed turn in degrees, least radius and where it is."""

    segment: Integers
    start: Floats
    stop: Floats
    turn: Floats
    radius: Floats
    tightest_at: Floats

    def chosen(self, rows: Integers) -> Stretches:
        """Some of the stretches."""
        return Stretches(
            self.segment[rows],
            self.start[rows],
            self.stop[rows],
            self.turn[rows],
            self.radius[rows],
            self.tightest_at[rows],
        )


class Cusps(msgspec.Struct, frozen=True, eq=False):
    """Places, (k,) each, inside curves where they stop and turn straight back: curve and parameter."""

    segment: Integers
    at: Floats


def tight_stretches(curves: Floats, radius: float) -> tuple[Stretches, Cusps]:
    """Longest parts of curves (n, 4, 2) with a radius of curvature below the limit, and cusps.

    Between places where the curvature is extreme it runs one way, so each crossing of the limit is found by
    bisection. At a handle pulled back into its node the curvature is infinite in one point; the least radius
    of such a part is its length divided by its turn.
    """
    rows = np.flatnonzero(_may_be_tight(curves, radius))
    if not len(rows):
        none = np.empty(0, np.intp)
        return Stretches(none, *(np.empty(0) for _ in range(5))), Cusps(none, np.empty(0))
    chosen = curves[rows]
    stops = _still_points(chosen)
    cusps = _cusps(chosen, stops)
    # Pieces on which the curvature is monotone: between extremes, inflections and places of least speed.
    limits = np.concatenate([_extremes(chosen), stops, np.tile([0.0, 1.0], (len(rows), 1))], axis=1)
    limits = np.sort(np.where(np.isnan(limits), 1.0, limits), axis=1)
    owner = np.repeat(np.arange(len(rows)), limits.shape[1] - 1)
    low, high = limits[:, :-1].ravel(), limits[:, 1:].ravel()
    real = high - low > 1e-9
    owner, low, high = owner[real], low[real], high[real]
    owner, low, high = _tight_part(chosen, owner, low, high, radius)
    parts = _joined_pieces(chosen, owner, low, high, cusps)
    return (
        Stretches(rows[parts.segment], parts.start, parts.stop, parts.turn, parts.radius, parts.tightest_at),
        Cusps(rows[cusps.segment], cusps.at),
    )


def _may_be_tight(curves: Floats, radius: float) -> Flags:
    """(n,) whether the bound of the curvature by Bernstein coefficients leaves room for a tight place."""
    a, b, c = (curves[:, k + 1] - curves[:, k] for k in range(3))
    # P' × P'' and |P'|² have these coefficients, up to the factors 18 and 9.
    ab, bc, ac = cubics.cross(a, b), cubics.cross(b, c), cubics.cross(a, c)
    bend = np.maximum(np.maximum(np.abs(ab), np.abs(bc)), np.abs(ac) / 2.0)
    aa, bb, cc = ((v * v).sum(axis=1) for v in (a, b, c))
    dot_ab, dot_bc, dot_ac = (a * b).sum(axis=1), (b * c).sum(axis=1), (a * c).sum(axis=1)
    speed = np.minimum(np.minimum(aa, cc), np.minimum(dot_ab, dot_bc))
    speed = np.maximum(np.minimum(speed, (dot_ac + 2.0 * bb) / 3.0), 0.0)
    straight_on = (dot_ab > 0.0) & (dot_bc > 0.0) & (dot_ac > 0.0) & (bend <= 1e-12 * (aa + bb + cc))
    return np.asarray((2.0 / 3.0 * bend * radius >= speed * np.sqrt(speed)) & ~straight_on)


def _powers(curves: Floats) -> tuple[Floats, Floats, Floats]:
    """Coefficients of P' = a t² + b t + c."""
    p0, p1, p2, p3 = (curves[:, k] for k in range(4))
    return 3.0 * (p3 - 3.0 * p2 + 3.0 * p1 - p0), 6.0 * (p2 - 2.0 * p1 + p0), 3.0 * (p1 - p0)


def _product(one: Floats, other: Floats) -> Floats:
    """Product of polynomials (k, m), (k, n), lowest power first."""
    result = np.zeros((len(one), one.shape[1] + other.shape[1] - 1))
    for power in range(one.shape[1]):
        result[:, power : power + other.shape[1]] += one[:, power, None] * other
    return result


def _roots(polynomial: Floats) -> Floats:
    """(k, degree) real roots between 0 and 1 of polynomials, lowest power first; NaN for the others."""
    degree = polynomial.shape[1] - 1
    size = np.abs(polynomial).max(axis=1, keepdims=True)
    scaled = polynomial / np.where(size > 0.0, size, 1.0)
    # A leading coefficient of nothing has its roots at infinity: lifted just enough to be divided by.
    lead = scaled[:, -1]
    lead = np.where(np.abs(lead) < 1e-14, 1e-14, lead)
    companion = np.zeros((len(polynomial), degree, degree))
    companion[:, np.arange(1, degree), np.arange(degree - 1)] = 1.0
    companion[:, :, -1] = -scaled[:, :-1] / lead[:, None]
    roots = np.linalg.eigvals(companion)
    # A double root comes out as a pair a little off the real axis.
    good = (np.abs(roots.imag) < 1e-5) & (roots.real > 0.0) & (roots.real < 1.0)
    return np.where(good, roots.real, np.nan)


def _hodograph(curves: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Polynomials of the x and y of P' and P''."""
    a, b, c = _powers(curves)
    first = [np.stack([c[:, k], b[:, k], a[:, k]], axis=1) for k in (0, 1)]
    second = [np.stack([b[:, k], 2.0 * a[:, k]], axis=1) for k in (0, 1)]
    return first[0], first[1], second[0], second[1]


def _still_points(curves: Floats) -> Floats:
    """(k, 3) places of extreme speed: P' · P'' = 0."""
    x, y, xx, yy = _hodograph(curves)
    return _roots(_product(x, xx) + _product(y, yy))


def _extremes(curves: Floats) -> Floats:
    """(k, m) places of extreme curvature, and inflections."""
    x, y, xx, yy = _hodograph(curves)
    bend = (_product(x, yy) - _product(y, xx))[:, :3]  # the cubes cancel
    speed = _product(x, x) + _product(y, y)
    along = _product(x, xx) + _product(y, yy)
    slope = bend[:, 1:] * np.arange(1, 3)
    return np.concatenate(
        [_roots(_product(slope, speed) - 3.0 * _product(bend, along)), _roots(bend)], axis=1
    )


def _cusps(curves: Floats, stops: Floats) -> Cusps:
    segment = np.repeat(np.arange(len(curves)), stops.shape[1])
    at = stops.ravel()
    inside = (at > 1e-6) & (at < 1.0 - 1e-6)
    segment, at = segment[inside], at[inside]
    speed = np.linalg.norm(cubics.first_derivatives(curves[segment], at), axis=1)
    scale = np.linalg.norm(np.diff(curves[segment], axis=1), axis=2).max(axis=1)
    still = speed <= CUSP * scale
    segment, at = segment[still], at[still]
    before, after = np.maximum(at - 1e-3, 0.0), np.minimum(at + 1e-3, 1.0)
    turns_back = (
        cubics.first_derivatives(curves[segment], before) * cubics.first_derivatives(curves[segment], after)
    ).sum(axis=1) < 0.0
    segment, at = segment[turns_back], at[turns_back]
    order = np.lexsort((at, segment))
    segment, at = segment[order], at[order]
    twice = np.zeros(len(segment), bool)
    twice[1:] = (segment[1:] == segment[:-1]) & (at[1:] - at[:-1] < 1e-4)
    return Cusps(segment[~twice], at[~twice])


def _radius(curves: Floats, t: Floats) -> Floats:
    """Radius of curvature; 0 where the curve stands still."""
    first, second = cubics.first_derivatives(curves, t), cubics.second_derivatives(curves, t)
    speed = np.sqrt((first * first).sum(axis=-1))
    bend = np.abs(cubics.cross(first, second))
    return np.asarray(np.where(bend > 0.0, speed**3 / np.where(bend > 0.0, bend, 1.0), np.inf))


def _tight_part(
    curves: Floats, owner: Integers, low: Floats, high: Floats, radius: float
) -> tuple[Integers, Floats, Floats]:
    """Of pieces with monotone curvature the part below the radius."""
    # Judged a hair inside the piece: at its ends the curve may stand still.
    inset = (high - low) * 1e-6
    at_low = _radius(curves[owner], low + inset) < radius
    at_high = _radius(curves[owner], high - inset) < radius
    mixed = at_low != at_high
    tight, loose = np.where(at_low, low, high)[mixed], np.where(at_low, high, low)[mixed]
    for _ in range(50):
        middle = (tight + loose) / 2.0
        below = _radius(curves[owner[mixed]], middle) < radius
        tight, loose = np.where(below, middle, tight), np.where(below, loose, middle)
    low, high = low.copy(), high.copy()
    rows = np.flatnonzero(mixed)
    from_low = at_low[rows]
    high[rows[from_low]] = tight[from_low]
    low[rows[~from_low]] = tight[~from_low]
    keep = (at_low | at_high) & (high > low)
    return owner[keep], low[keep], high[keep]


def _joined_pieces(curves: Floats, owner: Integers, low: Floats, high: Floats, cusps: Cusps) -> Stretches:
    """Neighbouring pieces that bend the same way as one stretch; a cusp parts them."""
    curve = curves[owner]
    turn = _turn(curve, low, high)
    length = cubics.arc_lengths(curve, low, high)
    # The tightest point of a monotone piece is one of its ends, unless the curve stands still there.
    ends = np.stack([low, high], axis=1)
    speed = np.linalg.norm(cubics.first_derivatives(curve[:, None], ends), axis=2)
    scale = np.linalg.norm(np.diff(curve, axis=1), axis=2).max(axis=1, initial=0.0)
    radii = np.where(speed > CUSP * scale[:, None], _radius(curve[:, None], ends), np.inf)
    mean = length / np.maximum(np.radians(np.abs(turn)), 1e-12)
    least = radii.min(axis=1, initial=np.inf)
    singular = (speed <= CUSP * scale[:, None]).any(axis=1)
    at = np.where(radii[:, 0] <= radii[:, 1] + 10.0**-ALIKE, low, high)
    at = np.where(singular, (low + high) / 2.0, at)
    least = np.where(singular, np.minimum(least, mean), least)
    fresh = np.ones(len(owner), bool)
    fresh[1:] = (owner[1:] != owner[:-1]) | (low[1:] - high[:-1] > 1e-7) | (turn[1:] * turn[:-1] < 0.0)
    key_cusp = cusps.segment + cusps.at
    if len(key_cusp) and len(owner):
        nearest = np.abs((owner + low)[:, None] - key_cusp[None, :]).min(axis=1)
        fresh |= nearest < 1e-6
    label = np.cumsum(fresh) - 1
    begins = np.flatnonzero(fresh)
    stops = np.append(begins[1:], len(owner))[: len(begins)] - 1
    order = np.lexsort((np.round(least, ALIKE), label))
    tightest = order[np.unique(label[order], return_index=True)[1]] if len(owner) else begins
    total = np.zeros(len(begins))
    np.add.at(total, label, turn)
    return Stretches(owner[begins], low[begins], high[stops], total, least[tightest], at[tightest])


def _turn(curves: Floats, low: Floats, high: Floats) -> Floats:
    """(k,) signed turn of the tangent in degrees between two parameters, not counting a half turn at a cusp."""
    t = low[:, None] + (high - low)[:, None] * np.linspace(1e-6, 1.0 - 1e-6, 9)
    headings = cubics.first_derivatives(curves[:, None], t)
    before, after = headings[:, :-1], headings[:, 1:]
    return np.asarray(
        np.degrees(np.arctan2(cubics.cross(before, after), (before * after).sum(axis=2)).sum(axis=1))
    )
