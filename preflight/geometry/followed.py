"""Which segments are followed piece by piece to see where they run along others, as long as it can be paid for. Knows no runs."""

from __future__ import annotations

import numpy as np

from preflight.geometry import cubics
from preflight.geometry.distinct import distinct
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.geometry.strands import Strands
from preflight.geometry.turning_back import may_turn_back

__all__ = ["followed"]

_PIECES = 200_000
"""Pieces of all segments together that are followed, beyond the free ones: some two seconds of work and 200 MB."""

_FREE = 16
"""Pieces of a segment that are free."""

_MOST_ASKED = 20_000
"""Segments of which it is worked out whether they turn back: more are not worth the time."""


def followed(
    strands: Strands,
    beside: Integers,
    paired: Integers,
    curled: Integers,
    within: float,
    flat: float,
    aslant: float,
) -> tuple[Integers, Integers, Integers]:
    """Segments to be followed, contours that may run along themselves, and contours none of whose segments are followed.

    Where all come to too many pieces, first those that surely do not turn back on themselves are left out, then the contours
    that come to the most pieces.

    Parameters
    ----------
    beside : (n,) int
        Segments that may run along those of other contours.
    paired, curled : (n,) int
        Those that may run along others of their own contour, and those that bend so far that they may along themselves.
    within : float, mm
    flat : float, mm
        How far a piece may bend.
    aslant : float, radians
        See :func:`preflight.geometry.turning_back.may_turn_back`.
    """
    none = curled[:0]
    used = distinct(np.concatenate([beside, paired, curled]))
    pieces = np.ceil(np.sqrt(cubics.bends(strands.segments[used]) / flat))
    if pieces.sum() <= _PIECES + _FREE * len(used):
        return used, distinct(strands.contour[np.concatenate([paired, curled])]), none
    alone = np.flatnonzero(np.isin(used, curled) & ~np.isin(used, beside) & ~np.isin(used, paired))
    alone = alone[pieces[alone] > _FREE]
    asked = alone[np.argsort(-pieces[alone], kind="stable")][:_MOST_ASKED]
    ahead = asked[~may_turn_back(strands.segments[used[asked]], within, aslant)]
    curled = curled[~np.isin(curled, used[ahead])]
    on = np.ones(len(used), bool)
    on[ahead] = False
    used, pieces = used[on], pieces[on]
    unfollowed = _dearest(strands, used, pieces)
    used = used[~unfollowed[strands.contour[used]]]
    own = np.concatenate([paired, curled])
    own = own[~unfollowed[strands.contour[own]]]
    return used, distinct(strands.contour[own]), np.flatnonzero(unfollowed)


def _dearest(strands: Strands, used: Integers, pieces: Floats) -> Flags:
    """(c,) the contours with the most pieces, without which the rest can be paid for."""
    count = len(strands.offsets) - 1
    asked = np.bincount(strands.contour[used], pieces, count)
    beyond = asked - _FREE * np.bincount(strands.contour[used], minlength=count)
    order = np.argsort(beyond, kind="stable")
    dear: Flags = np.zeros(count, bool)
    dear[order] = np.cumsum(np.maximum(beyond[order], 0.0)) > _PIECES
    return dear
