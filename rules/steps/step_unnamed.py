"""Rule ``step-unnamed``. Knows no geometry: the job finds the suspects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.job import Role
from preflight.rule import Finding, Group, Level, Millimetres, Rule, mm

if TYPE_CHECKING:
    from preflight.job import Job
    from preflight.job.naming.suspects import Suspect

__all__ = ["UnnamedStep"]


class UnnamedStep(Rule):
    """A line that looks like a cut line and that nothing names as one; an error where no other cut line is on the page.

    What it finds
    -------------
    A contour without fill, stroked no wider than {thin}, closed (its ends at most {closed_within} apart), that
    goes round printing art and has a layer, a spot colour or a loud stroke colour (no grey) of its own. The value
    is its stroke width.

    Why it matters
    --------------
    If it is a cut line, it will not be cut, and be printed as a hairline unless its layer does not print. Every shop's names differ: the profile has to know
    the customer's.

    Known limits
    ------------
    A guess. A thin frame in a colour of its own that is meant to be printed is a false alarm: name its layer in the
    profile, ``information`` or ``ignored`` under ``[names]``. A cut line in black, grey or a colour of the art, on the
    layer of the art, is not found. While the page has no cut step and the profile expects one, the finding is an error
    whatever the level set, and step-missing keeps still. Lines that step-misspelt or step-printed report are left to them.

    How to mend it
    --------------
    Add the line that the finding gives to the profile, or rename the layer or spot colour in the file.
    """

    id = "step-unnamed"
    group = Group.STEPS
    level = Level.WARNING

    class Settings(Rule.Settings):
        """Settings of step-unnamed."""

        thin: Millimetres = mm(
            0.3, "cut lines are drawn as hairlines; art has few unfilled contours this thin"
        )
        closed_within: Millimetres = mm(1.0, "a customer's cut line may be left open by mistake")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each suspect."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        expects = job.profile.job.expects_cut and "step-missing" in job.in_force
        stands_in = expects and not job.of_role(Role.CUT)
        for suspect in job.suspects.unnamed(self.settings.thin, self.settings.closed_within):
            item = suspect.item
            finding = self.finding(
                f"A thin line round art looks like a cut line: it has {_apart(suspect)}, and no step is named so.",
                f"If it is to be cut, write in the profile: {_profile_line(suspect)}",
                of=item,
                bounds=item.box,
                measured=item.object.stroke.width,
                limit=self.settings.thin,
            )
            if stands_in:
                finding = msgspec.structs.replace(finding, level=Level.ERROR)
            yield finding


def _apart(suspect: Suspect) -> str:
    if suspect.spot is not None:
        return f"the spot colour “{suspect.spot}” to itself"
    if suspect.layer is not None:
        return f"the layer “{suspect.layer}” to itself"
    return f"the colour {suspect.stroke} to itself"


def _profile_line(suspect: Suspect) -> str:
    key, value = "names", suspect.spot or suspect.layer
    if value is None:
        key, value = "strokes", suspect.stroke or ""
    quoted = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'[steps.PartialCutting] {key} = ["{quoted}"] (or [steps.Cutting] for a through cut).'
