"""Rule ``colour-space``. Knows no paint: the job tells the spaces in use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Self

from preflight.job import Role
from preflight.job.colours.spaces import SPACES
from preflight.rule import Finding, Group, Level, Rule, SettingError, names

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["RefusedColourSpace"]


class RefusedColourSpace(Rule):
    """Art in a colour space that the job does not accept.

    What it finds
    -------------
    Fills, strokes, gradients and images of the art that are given in a space other than {accepted}, one finding a space. RGB is any
    colour of a screen, all of CSS's among them but Lab and its kin; ICC is a colour by a profile that the file brings along; calibrated are
    PDF's CalRGB and CalGray; named are swatches and separations.

    Why it matters
    --------------
    Each space goes through another conversion on its way to the printer. A shop that prepares its work for one of them gets
    dull greens from RGB, and four-ink black lettering from grey, when a piece of art slips through in another.

    Known limits
    ------------
    SVG has screen colours, and with them nearly everything is RGB: a shop that takes SVG accepts RGB. An indexed image is told by
    what the file says of its palette. All spaces are accepted unless the profile names those that are.

    How to mend it
    --------------
    Convert the art in the drawing program, with the profile the shop asks for.
    """

    id = "colour-space"
    group = Group.COLOURS
    level = Level.WARNING
    needs = Role.PRINT

    class Settings(Rule.Settings):
        """Settings of colour-space."""

        accepted: tuple[str, ...] = names(SPACES, "no space is refused unless the shop says so")

        @classmethod
        def parsed(cls, raw: Mapping[str, object]) -> Self:
            """As any table; a word that stands for no space is refused."""
            table = super().parsed(raw)
            known = {space.casefold() for space in SPACES}
            for word in table.accepted:
                if word.casefold() not in known:
                    raise SettingError(
                        f"{word!r} is no colour space; write one of {', '.join(SPACES)}", "accepted"
                    )
            return table

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each space."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        accepted = {name.casefold() for name in self.settings.accepted}
        if accepted.issuperset(space.casefold() for space in SPACES):
            return  # nothing to look for on most jobs
        for space, items in job.colours.spaces().items():
            if space.casefold() in accepted:
                continue
            first = items[0]
            more = f" and {len(items) - 1:,} more" if len(items) > 1 else ""
            yield self.finding(
                f"Art is in {_WORDS.get(space, space)}, which this job does not accept: {first.reference.ref}{more}.",
                f"Convert it to {' or '.join(self.settings.accepted)}.",
                of=first,
                bounds=first.box,
                subject=space,
            )


_WORDS = {
    "ICC": "a colour space by a profile",
    "calibrated": "a calibrated colour space",
    "named": "a named colour",
}
