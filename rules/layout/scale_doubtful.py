"""Rule ``scale-doubtful``. Knows the page, nothing of what is on it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.rule import Finding, Group, Level, Millimetres, Rule, exceeds, falls_short, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["DoubtfulScale"]

_PIXELS_PER_INCH = 96.0
"""CSS Values 4, 6.2: one inch is 96 px."""


class DoubtfulScale(Rule):
    """A size that a person should confirm: it rests on pixels, or is out of all proportion.

    What it finds
    -------------
    An SVG that was most likely drawn at 72 or 90 pixels to the inch, and so is read too small or too large: the value is that
    number, the limit the 96 of the standard. One that states its size in pixels, or none at all: a note, as it may well be right.
    A page whose longer side is above {greatest_size} or below {least_size}: the value is that side. None of these where
    ``[job] scale`` or ``width`` is set, or ``--scale`` or ``--width`` given: somebody has then confirmed the size.

    Why it matters
    --------------
    All distances, line weights and resolutions are judged at the size the file says. If that is wrong, so is every judgement, and
    a job printed at three quarters of its size goes into the bin.

    Known limits
    ------------
    What a program counted is guessed from what it leaves in the file and from paper sizes. A drawing at 1:10 whose size is stated in
    millimetres looks like any other unless it is tiny.

    How to mend it
    --------------
    Confirm the size with ``--scale 1`` or state the right one with ``--width``; for good under ``[job]`` in the profile. Or export the
    file with its size in millimetres.
    """

    id = "scale-doubtful"
    group = Group.LAYOUT
    level = Level.WARNING

    class Settings(Rule.Settings):
        """Settings of scale-doubtful."""

        least_size: Millimetres = mm(10.0, "nothing is ordered whose longer side is smaller")
        greatest_size: Millimetres = mm(50_000.0, "a roll is about 50 m long; from memory")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for the units, one for the size."""
        stated = job.profile.job
        return () if stated.scale is not None or stated.width is not None else self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        page = job.artwork.page
        whole = (0.0, 0.0, page.width, page.height)
        if page.pixels_per_inch != _PIXELS_PER_INCH:
            factor = _PIXELS_PER_INCH / page.pixels_per_inch
            width = f"{factor * page.width:.2f} mm"
            yield self.finding(
                f"It seems to be drawn at {page.pixels_per_inch:g} pixels to the inch: it is judged at "
                f"{_size(page.width, page.height)}, and was drawn to be {_size(factor * page.width, factor * page.height)}.",
                f"Say which is right: --width '{width}', or --scale 1 for the size it is judged at.",
                bounds=whole,
                subject="units",
                measured=page.pixels_per_inch,
                limit=_PIXELS_PER_INCH,
                unit="px/in",
            )
        elif not page.certain:
            finding = self.finding(
                f"The size is not stated in a unit of length: it is taken for {_size(page.width, page.height)}, "
                f"at {_PIXELS_PER_INCH:g} pixels to the inch.",
                "Confirm it with --scale 1, state it with --width, or export the file with its size in millimetres.",
                bounds=whole,
                subject="units",
            )
            yield msgspec.structs.replace(finding, level=Level.NOTE)
        longer = max(page.width, page.height)
        limits = self.settings.least_size, self.settings.greatest_size
        if falls_short(longer, limits[0]) or exceeds(longer, limits[1]):
            small = falls_short(longer, limits[0])
            yield self.finding(
                f"The page is only {_size(page.width, page.height)}."
                if small
                else f"The page is {_size(page.width, page.height)}.",
                "Confirm it with --scale 1, or state what it is made at: --scale 10 for a drawing at a tenth.",
                bounds=whole,
                subject="size",
                measured=longer,
                limit=limits[0] if small else limits[1],
            )


def _size(width: float, height: float) -> str:
    return f"{width:,.1f} × {height:,.1f} mm"
