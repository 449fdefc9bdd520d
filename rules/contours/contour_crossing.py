"""Rule ``contour-crossing``. Knows no geometry: the job finds the places."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Rule, names

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.cutting.meetings import Meeting
    from preflight.job.cutting.tangles import Tangle

__all__ = ["CrossingContours"]


class CrossingContours(Rule):
    """Two cut contours that cross each other.

    What it finds
    -------------
    Two different contours, of one step or of two, that cross; lines of one step that pieces side by side have in common, and that end on
    other cuts, may cross each other. One finding for each pair, with every place. The value is
    the number of places. Contours that cross so often that not all places were looked for are told as one tangle: how many contours
    and places it has. Pairs of steps that may cross: {may_cross}.

    Why it matters
    --------------
    Each piece is cut into by its neighbour's contour. A kiss cut that crosses a through cut is cut off with part of its
    label outside the piece.

    Known limits
    ------------
    Contours that only touch are not reported; running along each other for a stretch and parting on the same side again
    is touching. Two that change sides over such a stretch cross once, where it begins. A stretch long enough for contour-overlap
    (its ``least_length``) is reported there and not here, as long as that rule is on. Of copies of one contour only the first is judged.
    How far a perforation or a crease may leave its piece is judged by step-order, which is why those steps may cross
    a through cut here. Where contours cross many thousands of times, only some of the places are looked for, "or more" is said,
    and a note says of which contours not all was checked. A tangle counts as another fault once it has other contours or places; a
    contour that carries a waiver is told by itself. Open lines of one such step may cross too: coupons are perforated in a grid.

    How to mend it
    --------------
    Move the pieces apart, or unite the two contours if they are meant to be one piece. Of a tangle most lines are seldom meant to be
    cut: take them off the layer. If the two steps may cross
    in your shop, add the pair to ``may_cross`` in the profile.
    """

    id = "contour-crossing"
    group = Group.CONTOURS
    level = Level.ERROR
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of contour-crossing."""

        may_cross: tuple[str, ...] = names(
            (
                "Perforating + Cutting",
                "Creasing + Cutting",
                "Folding + Cutting",
                "Perforating + Perforating",
                "Creasing + Creasing",
                "Folding + Folding",
                "Perforating + Creasing",
                "Perforating + Folding",
            ),
            "tear and fold lines run out to the edge of the piece and across each other",
            Basis.COMMON_PRACTICE,
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each pair of contours that cross."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        from preflight.job.cutting.tangles import parted  # only where there are cuts

        allowed = {frozenset(part.strip() for part in pair.split("+")) for pair in self.settings.may_cross}
        parting = job.common_lines.part_each_other
        crossing = [
            met
            for met in job.meetings.crossing_pairs()
            if frozenset((met.first.step, met.second.step)) not in allowed
            and not parting(met.first, met.second)
        ]
        pairs, tangles = parted(crossing)
        for met in pairs:
            yield self._pair(met)
        for tangle in tangles:
            yield self._tangle(tangle)

    def _pair(self, met: Meeting) -> Finding:
        first, second = (step_words(one.step).lower() for one in (met.first, met.second))
        told = f"Two {first} contours cross" if first == second else f"A {second} crosses a {first}"
        count = len(met.points)
        places = f"at {count} places" if count > 1 else "at one place"
        return self.finding(
            f"{told} {places}{' or more' if met.partial else ''}.",
            _mend(met.first.step, met.second.step),
            of=(met.second, met.first),
            at=met.points,
            measured=count,
            limit=0,
            unit="places",
        )

    def _tangle(self, tangle: Tangle) -> Finding:
        first, second = (step_words(one.step).lower() for one in (tangle.first, tangle.second))
        count, places = len(tangle.contours), len(tangle.points)
        told = (
            f"{first} contours cross each other"
            if first == second
            else f"{first} and {second} contours cross"
        )
        return self.finding(
            f"At least {count:,} {told}, at {places:,} places or more.",
            _mend(tangle.first.step, tangle.second.step),
            of=tangle.contours,
            at=tangle.points,
            subject=f"tangle of {count} contours, {places} places",
            measured=places,
            limit=0,
            unit="places",
        )


def _mend(first: str, second: str) -> str:
    if first == second:
        return "Move the pieces apart, or unite the two contours."
    return (
        "Move one of them so that they no longer cross; if these steps may cross in your shop, add "
        f'"{first} + {second}" to rules.contour-crossing.may_cross in the profile.'
    )
