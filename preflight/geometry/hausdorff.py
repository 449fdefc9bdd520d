"""How far chains of points lie from each other along their whole length, many pairs at once. Knows no contours."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from preflight.geometry.flatten import Polylines
from preflight.geometry.outlines import Floats, Integers

__all__ = ["SETTLED", "Looks", "hausdorff_distances"]

SETTLED = 2e-4
"""mm: how exactly the distance of two chains is found."""

_ROUNDS = 24
_ABREAST = 1
"""Edges looked at on either side of the one abreast."""

_MOST_EDGES = 200_000
"""Edges searched at a time: what bounds the memory."""


_MOST_LOOKS = 4_000_000
"""Pairs of edges that one pair of chains may come to in a search."""

_AT_ONCE = 4_000_000
"""Pairs of edges, if each came near each, of the chains that are searched at a time."""

_ROUNDS_LIKELY = 2
"""Rounds that a search takes as a rule: from the second on few pieces are left."""

_QUERIED = 512
"""Edges of a long line searched from at a time."""


class Looks:
    """How many pairs of edges may still be looked at, over all that is measured of one drawing.

    Parameters
    ----------
    edges : edges of the drawing
    """

    def __init__(self, edges: int) -> None:
        self.left = 10_000_000 + 200 * edges

    def take(self, count: int) -> bool:
        """Whether so many could be paid for; they are taken if so."""
        if count > self.left:
            return False
        self.left -= count
        return True


class _Chains(msgspec.Struct, frozen=True, eq=False):
    """Chains with what is asked of their edges again and again; an edge has the number of the point that starts it.

    ``step`` and ``inverse`` are of no use at the last point of a chain. ``share`` is the part of the chain's length
    that lies before each point, ``keys`` the same with twice the chain's number added: ascending throughout.
    """

    points: Floats
    offsets: Integers
    x: Floats
    y: Floats
    step_x: Floats
    step_y: Floats
    inverse: Floats
    share: Floats
    keys: Floats

    @classmethod
    def of(cls, chains: Polylines) -> _Chains:
        # Coordinate by coordinate: pairs of numbers are gathered several times as slowly as numbers.
        x, y = (np.ascontiguousarray(chains.points[:, k]) for k in (0, 1))
        step_x, step_y = np.diff(x, append=0.0), np.diff(y, append=0.0)
        squares = step_x * step_x + step_y * step_y
        counts, firsts, lasts = np.diff(chains.offsets), chains.offsets[:-1], chains.offsets[1:] - 1
        length = np.sqrt(squares)
        length[lasts] = 0.0
        before = np.cumsum(length) - length
        before -= np.repeat(before[firsts], counts)
        share = before / np.repeat(np.maximum(before[lasts], 1e-300), counts)
        keys = share + np.repeat(2.0 * np.arange(len(counts)), counts)
        inverse = 1.0 / np.maximum(squares, 1e-300)
        return cls(chains.points, chains.offsets, x, y, step_x, step_y, inverse, share, keys)

    def at_share(self, names: Integers, wanted: Floats) -> Integers:
        """(k,) the edge of each chain before which the wanted share of its length lies."""
        found = np.searchsorted(self.keys, names * 2.0 + np.mod(wanted, 1.0), side="right") - 1
        return np.clip(found, self.offsets[names], self.offsets[names + 1] - 2)

    def to_edges(self, edge: Integers, *places: Floats) -> list[Floats]:
        """(k,) distance of each place (k, 2) from an edge (k,), for any number of places."""
        start_x, start_y, along_x, along_y = self.x[edge], self.y[edge], self.step_x[edge], self.step_y[edge]
        scale = self.inverse[edge]
        found = []
        for place in places:
            x, y = place[:, 0] - start_x, place[:, 1] - start_y
            foot = (x * along_x + y * along_y) * scale
            np.clip(foot, 0.0, 1.0, out=foot)
            x -= along_x * foot
            y -= along_y * foot
            found.append(np.sqrt(x * x + y * y))
        return found


def hausdorff_distances(
    chains: Polylines, first: Integers, second: Integers, within: float, looks: Looks | None = None
) -> Floats:
    """(k,) Hausdorff distance of each pair of chains, within `SETTLED`; infinite where it exceeds ``within``.

    NaN where it would take more looks than are left.

    Parameters
    ----------
    first, second : (k,) int
        Chains of at least two points each.
    within : float, mm
    """
    known = _Chains.of(chains)
    looks = looks or Looks(len(chains.points))
    distance = _farthest(known, first, second, within, looks)
    rows = np.flatnonzero(distance <= within)
    distance[rows] = np.maximum(distance[rows], _farthest(known, second[rows], first[rows], within, looks))
    return distance


def _farthest(chains: _Chains, line: Integers, other: Integers, within: float, looks: Looks) -> Floats:
    """(k,) greatest distance from a point of one chain to the other chain; NaN where there are no looks left."""
    sizes = np.diff(chains.offsets)
    loads = np.cumsum(sizes[line] + sizes[other])
    borders = np.searchsorted(loads, np.arange(_MOST_EDGES, loads[-1] if len(loads) else 0, _MOST_EDGES))
    parts = np.split(np.arange(len(line)), borders)
    found = [
        _of_batch(chains, line[rows], other[rows], within, looks)
        # Three edges abreast of each.
        if looks.take(3 * int(sizes[line[rows]].sum() + sizes[other[rows]].sum()))
        else np.full(len(rows), np.nan)
        for rows in parts
        if len(rows)
    ]
    return np.concatenate([np.empty(0), *found])


def _of_batch(chains: _Chains, line: Integers, other: Integers, within: float, looks: Looks) -> Floats:
    """The distances of some pairs: by edges that stand abreast, and by a search where those do not settle it."""
    farthest, place = _settled(_Search(chains, line, other, within, _abreast(chains, line, other)))
    # Of edges looked at in part only the least distance is too great, if anything: one look at all edges from
    # the place where it is greatest tells.
    nearest = _to_chains(chains, place, other)
    rows = np.flatnonzero(~(nearest >= farthest - SETTLED / 2.0))
    sizes = np.diff(chains.offsets)
    loads = np.cumsum(sizes[line[rows]] * sizes[other[rows]])
    borders = np.searchsorted(loads, np.arange(_AT_ONCE, loads[-1] if len(loads) else 0, _AT_ONCE))
    for part in np.split(rows, borders):
        if len(part):
            candidates = _near(chains, line[part], other[part], within, looks)
            farthest[part] = (
                np.nan
                if candidates is None
                else _settled(_Search(chains, line[part], other[part], within, candidates))[0]
            )
    return farthest


class _Search(msgspec.Struct, frozen=True, eq=False):
    """Pairs of chains, and which edges of the other are to be looked at from which edge of the line."""

    chains: _Chains
    line: Integers
    other: Integers
    within: float
    candidates: tuple[Integers, Integers]


def _settled(search: _Search) -> tuple[Floats, Floats]:
    """(k,) greatest distance of each line from the edges looked at, infinite beyond the limit; (k, 2) where.

    The distance to one edge is convex along a straight piece, so that both ends of the piece bound it. Pieces whose
    bound is not yet settled are parted, abreast of a node of the other chain if there is one.
    """
    points = search.chains.points
    start, stop, row = _edges(search.chains, search.line)
    piece, edge = search.candidates
    farthest, place = np.zeros(len(search.line)), start[_firsts(row)]
    for _ in range(_ROUNDS):
        at_start, at_stop = search.chains.to_edges(edge, start[piece], stop[piece])
        least_start, least_stop, bound = (np.full(len(row), np.inf) for _ in range(3))
        np.minimum.at(least_start, piece, at_start)
        np.minimum.at(least_stop, piece, at_stop)
        np.minimum.at(bound, piece, np.maximum(at_start, at_stop))
        for least, ends in ((least_start, start), (least_stop, stop)):
            before = farthest.copy()
            np.maximum.at(farthest, row, least)
            highest = np.flatnonzero((least == farthest[row]) & (least > before[row]))
            place[row[highest]] = ends[highest]
        farthest[farthest > search.within + SETTLED] = np.inf
        length = np.sqrt(((stop - start) ** 2).sum(axis=1))
        bound = np.minimum(bound, (least_start + least_stop + length) / 2.0)
        open_ = bound > farthest[row] + SETTLED
        if not open_.any():
            break
        looked_at = open_[piece]
        piece, edge = piece[looked_at], edge[looked_at]
        share = _abreast_of_node(start, stop, piece, points[edge])[open_, None]
        piece = (np.cumsum(open_) - 1)[piece]
        start, stop, row = start[open_], stop[open_], np.tile(row[open_], 2)
        middle = start + (stop - start) * share
        piece, edge = np.concatenate([piece, piece + len(start)]), np.tile(edge, 2)
        start, stop = np.concatenate([start, middle]), np.concatenate([middle, stop])
    return farthest, place


def _abreast_of_node(start: Floats, stop: Floats, piece: Integers, node: Floats) -> Floats:
    """(m,) how far along each piece it is nearest to one of its nodes (k, 2); the middle where that is at an end."""
    along = (stop - start)[piece]
    off = node - start[piece]
    square = np.maximum((along * along).sum(axis=1), 1e-300)
    foot = (off * along).sum(axis=1) / square
    aside = np.abs(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / np.sqrt(square)
    aside[(foot < 0.02) | (foot > 0.98)] = np.inf
    least = np.full(len(start), np.inf)
    np.minimum.at(least, piece, aside)
    share = np.full(len(start), 0.5)
    chosen = np.isfinite(aside) & (aside == least[piece])
    share[piece[chosen]] = foot[chosen]
    return share


def _abreast(chains: _Chains, line: Integers, other: Integers) -> tuple[Integers, Integers]:
    """Pairs of edges that come after the same share of either chain's length, and their neighbours."""
    start, _, row = _edges(chains, line)
    firsts = _firsts(row)
    edge = _edge_numbers(chains, line)[0]
    along = (chains.share[edge] + chains.share[edge + 1]) / 2.0
    index, of_row = _point_numbers(chains, other)
    away = ((chains.points[index] - start[firsts][of_row]) ** 2).sum(axis=1)
    least = np.minimum.reduceat(away, _firsts(of_row))
    nearest = np.zeros(len(line), np.intp)
    hits = np.flatnonzero(away == least[of_row])
    nearest[of_row[hits]] = index[hits]
    # Which way the other chain runs shows a quarter of the way round.
    quarter = chains.points[chains.at_share(line, np.full(len(line), 0.25))]
    gaps = [
        ((chains.points[chains.at_share(other, chains.share[nearest] + turn)] - quarter) ** 2).sum(axis=1)
        for turn in (0.25, -0.25)
    ]
    way = np.where(gaps[0] <= gaps[1], 1.0, -1.0)
    middle = chains.at_share(other[row], chains.share[nearest][row] + way[row] * along)
    first, count = chains.offsets[other][row], np.diff(chains.offsets)[other][row] - 1
    nearby = (middle - first)[:, None] + np.arange(-_ABREAST, _ABREAST + 1)
    edges = first[:, None] + np.mod(nearby, count[:, None])
    return np.repeat(np.arange(len(row)), edges.shape[1]), edges.ravel()


def _near(
    chains: _Chains, line: Integers, other: Integers, within: float, looks: Looks
) -> tuple[Integers, Integers] | None:
    """Pairs of edges whose boxes come within the distance; None where they are more than may be looked at.

    Every other chain has a place of its own in the search tree, so that chains lying on each other are not
    searched in vain.
    """
    targets, slot = _numbered(other)
    edge, edge_slot = _edge_numbers(chains, targets)
    start, stop, row = _edges(chains, line)
    apart = 2.0 * (np.ptp(chains.points[:, 0]) + within + 1.0)
    place = np.stack([edge_slot * apart, np.zeros(len(edge_slot))], axis=1)
    ends = np.stack([chains.points[edge] + place, chains.points[edge + 1] + place], axis=1)
    shift = np.stack([slot[row] * apart, np.zeros(len(row))], axis=1)
    reach = within + SETTLED
    around = np.stack(
        [np.minimum(start, stop) + shift - reach, np.maximum(start, stop) + shift + reach], axis=1
    )
    # A line from corner to corner has the box that is asked for, and is made faster than the box.
    tree, asked = shapely.STRtree(shapely.linestrings(ends)), shapely.linestrings(around)
    kept, count, step = [], 0, len(asked) if len(asked) * len(ends) <= _MOST_LOOKS else _QUERIED
    for begin in range(0, len(asked), step):
        piece, found = tree.query(asked[begin : begin + step])
        count += len(piece)
        if count > _MOST_LOOKS or not looks.take(_ROUNDS_LIKELY * len(piece)):
            return None
        kept.append((piece + begin, edge[found]))
    pieces, edges = (np.concatenate(column) for column in zip(*kept, strict=True))
    return pieces, edges


def _to_chains(chains: _Chains, points: Floats, other: Integers) -> Floats:
    """(k,) distance of each point from a whole chain."""
    edge, row = _edge_numbers(chains, other)
    (away,) = chains.to_edges(edge, points[row])
    return np.asarray(np.minimum.reduceat(away, _firsts(row)))


def _numbered(names: Integers) -> tuple[Integers, Integers]:
    """The distinct names, and the number of each name among them."""
    order = np.argsort(names, kind="stable")
    fresh = np.append(True, names[order][1:] != names[order][:-1])
    numbers = np.empty(len(names), np.intp)
    numbers[order] = np.cumsum(fresh) - 1
    return names[order][fresh], numbers


def _firsts(rows: Integers) -> Integers:
    """Where each run of equal, ascending numbers starts."""
    return np.flatnonzero(np.append(True, rows[1:] != rows[:-1]))


def _point_numbers(chains: _Chains, names: Integers, less: int = 0) -> tuple[Integers, Integers]:
    """Numbers of the points of some chains, without their last ``less``; and the place of the chain among the names."""
    counts = np.diff(chains.offsets)[names] - less
    row = np.repeat(np.arange(len(names)), counts)
    return np.arange(len(row)) + np.repeat(chains.offsets[names] - np.cumsum(counts) + counts, counts), row


def _edge_numbers(chains: _Chains, names: Integers) -> tuple[Integers, Integers]:
    """Numbers of the points that start the edges of some chains, and the place of the chain among the names."""
    return _point_numbers(chains, names, 1)


def _edges(chains: _Chains, names: Integers) -> tuple[Floats, Floats, Integers]:
    """Start and stop (m, 2) of all edges of some chains, and (m,) the place of the chain among the names."""
    index, row = _edge_numbers(chains, names)
    return chains.points[index], chains.points[index + 1], row
