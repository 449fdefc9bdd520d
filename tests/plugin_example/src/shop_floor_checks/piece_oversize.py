"""Rule ``piece-oversize``. Knows the job, no file format and no report."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, exceeds, mm, names

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["OversizePiece"]


class OversizePiece(Rule):
    """A piece too long for the sleeve it is sold in.

    What it finds
    -------------
    A contour of the steps {steps} whose longer side, measured along the page, is above {longest}.

    Why it matters
    --------------
    The piece is printed, cut and weeded before anyone at the packing bench finds that it does not go in.

    Known limits
    ------------
    The side is that of the upright box: a long piece drawn at 45° measures less than it is long.

    How to mend it
    --------------
    Scale the sticker down, or agree on a larger sleeve and raise ``longest`` in the profile.
    """

    id = "piece-oversize"
    group = Group.HOUSE
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of piece-oversize."""

        longest: Millimetres = mm(
            150, "inside of the sleeve the tea room sells stickers in", Basis.ASSUMPTION
        )
        steps: tuple[str, ...] = names(("Cutting", "PartialCutting"), "the cuts that free a piece")

    def check(self, job: Job) -> Iterator[Finding]:
        """One finding for each contour that is too long."""
        limit = self.settings.longest
        for contour in job.cuts.contours:
            if contour.box is None or contour.step not in self.settings.steps:
                continue
            x0, y0, x1, y1 = contour.box
            side = max(x1 - x0, y1 - y0)
            if exceeds(side, limit):
                yield self.finding(
                    f"The piece is {side:.1f} mm long; the sleeve takes {limit:g} mm.",
                    "Scale it down, or agree on a larger sleeve.",
                    of=contour,
                    bounds=contour.box,
                    measured=side,
                    limit=limit,
                )
