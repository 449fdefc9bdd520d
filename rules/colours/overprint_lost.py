"""Rule ``overprint-lost``. Knows no geometry: the job finds what lies beneath."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.job import Role, step_words
from preflight.rule import Finding, Group, Level, Millimetres, Rule, falls_short, mm

if TYPE_CHECKING:
    from preflight.job import JobObject
    from preflight.job.job import Job
    from preflight.job.printing.overprints import Place

__all__ = ["LostOverprint"]


class LostOverprint(Rule):
    """White that vanishes because it is set to overprint; or, at most a warning, a cut line, mark or varnish that knocks out art.

    What it finds
    -------------
    White paint set to overprint above ink that it does not take away: it is not there in print. After ISO 32000-1, 8.6.7, CMYK
    white in overprint mode 1 takes away nothing; other process white takes away the four process inks and leaves separations; a
    separation at a tint of 0 takes away its own ink only. And a cut line, mark or varnish in a separation of its own that does
    not overprint above printed art: the art is left out beneath it, which is at most a warning, whatever the level of the rule.
    The value is the longer side of the place where it lies over the art; places below {least_size} are passed over.

    Why it matters
    --------------
    The screen shows the white, the print does not: lettering is gone, a white base is missing. A cut line that knocks out leaves
    a bare hairline in the art, which shows wherever the knife drifts from it; a varnish takes the art away altogether.

    Known limits
    ------------
    Only PDF can say overprint. What lies beneath is judged as it stands before the object is painted, by regions; an image, a
    shading, a pattern or text whose font is not in the file counts as printed all over its box, and the finding says so. White that
    is see-through, blended, or part of an image or pattern is not judged, and what lies in one see-through group does not cover each
    other. Printers that take DeviceGray for the black plate lose white in it too, which is not reported. A shop whose software
    takes the steps out before it prints may switch the rule off. Where things lie over one another by the thousand the rest is
    listed as not checked.

    How to mend it
    --------------
    Switch overprint off for the white object. Switch it on for the cut line, mark or varnish.
    """

    id = "overprint-lost"
    group = Group.COLOURS
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of overprint-lost."""

        least_size: Millimetres = mm(
            1.0, "where two things only graze each other, nobody sees which one is on top"
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each object."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for place in job.overprints.vanishing():
            yield from self._told(
                place,
                f"White is set to overprint and vanishes: {_what(place)} beneath prints through it.",
                "Switch overprint off for it.",
            )
        for place in job.overprints.knock_outs():
            for finding in self._told(
                place,
                f"{_named(place.item)} does not overprint: it knocks out {_what(place)} beneath.",
                "Set it to overprint.",
            ):
                milder = max(finding.level, Level.WARNING, key=lambda level: level.rank)
                yield msgspec.structs.replace(finding, level=milder)

    def _told(self, place: Place, message: str, hint: str) -> Iterator[Finding]:
        if falls_short(place.size, self.settings.least_size):
            return
        yield self.finding(
            message,
            hint,
            of=(place.item, place.beneath),
            at=place.point,
            bounds=place.box,
            measured=place.size,
            limit=self.settings.least_size,
        )


def _what(place: Place) -> str:
    if place.sure:
        return "the art"
    kind = str(place.beneath.object.kind)
    what = {"path": "a gradient or pattern", "image": "an image"}.get(kind, kind)
    return f"{what} (taken to print all over)"


def _named(item: JobObject) -> str:
    role = item.assignment.role
    if role is Role.CUT:
        return f"A {step_words(item.assignment.step or '').lower()} line"
    return "A registration mark" if role is Role.MARK else "Varnish"
