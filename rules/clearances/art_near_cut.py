"""Rule ``art-near-cut``. Knows no geometry: the job measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["ArtNearCut"]


class ArtNearCut(Rule):
    """Printed art that is not meant to bleed and comes too near the cut.

    What it finds
    -------------
    Art inside a piece that does not reach its cut but comes closer to it than {margin}; lettering that does so on a ground
    that bleeds; and art outside that belongs to no piece's bleed and comes closer than {drift}. One finding for each piece
    and side, and one for each text on such a ground; the value is the least distance, between the two points.

    Why it matters
    --------------
    Contour cutting is good to about a millimetre. Art that is to end just inside the edge looks crooked when the cut
    shifts, or loses its rim; what stands just outside ends up on the sticker.

    Known limits
    ------------
    Art is judged as one area: what stands on a background that bleeds is not told from the background, unless the file
    holds it as text with its letters. A frame that reaches
    the cut is meant to bleed, however thin. A bleed that is longer than asked by up to {drift} is no stray art to the
    pieces beside it. What may or may not print, such as a pattern, is left out and noted. Pieces
    that an open contour should bound, creases and folds are not judged.

    How to mend it
    --------------
    Move or scale the art so that {margin} stay free inside the cut, or let it bleed past the cut.
    """

    id = "art-near-cut"
    group = Group.CLEARANCES
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of art-near-cut."""

        margin: Millimetres = mm(
            2.0,
            "inside the cut 1/16 in at the least and 1/8 in as a rule are customary",
            Basis.COMMON_PRACTICE,
        )
        drift: Millimetres = mm(
            1.0, "outside the cut; contour cutting is good to about 1 mm", Basis.COMMON_PRACTICE
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each piece and side of its cut."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        margin, drift = self.settings.margin, self.settings.drift
        clearances = job.clearances
        for near in chain(clearances.near_art(margin, drift), clearances.near_lettering(margin)):
            limit = margin if near.inside else drift
            side = "inside" if near.inside else "outside"
            mend = f"Keep {limit:g} mm free {side} the cut"
            if near.lettering is None:
                mend += (
                    ", or let the art bleed past it" if near.inside else ", or let the art run on across it"
                )
            what = "Art" if near.lettering is None else "Lettering"
            yield self.finding(
                f"{what} comes within {near.distance:.2f} mm of the {step_words(near.step).lower()} on the {side} "
                "without crossing it: a cut that drifts will show it.",
                f"{mend}.",
                of=near.item if near.lettering is None else (near.lettering, near.item),
                at=[near.here, near.there],
                bounds=near.box,
                measured=near.distance,
                limit=limit,
            )
