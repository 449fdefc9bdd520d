"""Rule ``text-live``. Knows no font and no file format."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import msgspec

from preflight.rule import Finding, Group, Level, Rule, flag

from .quoting import quoted

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["LiveText"]


class LiveText(Rule):
    """Text that is still text, and whose font the file does not hold; where embedded fonts are reported too, a warning at most.

    What it finds
    -------------
    Printed text that whoever opens the file draws with a font of their own: every text element of an SVG, and text of a PDF whose
    font is not embedded or cannot be opened. Text of a PDF whose font is embedded is in order; where a shop wants all lettering as
    outlines it can have that reported too, at most as a warning (now: {embedded}).

    Why it matters
    --------------
    A machine that lacks the font takes another one: letters change their shape and width, lines run out of the sticker, special
    characters become boxes. It is seen when the vinyl is printed.

    Known limits
    ------------
    Fonts that an SVG brings along itself count as not held, since programs that print seldom heed them. Text on layers for white,
    varnish and information is not judged, nor is text in a cut step, which step-painted reports; hidden text, such as that laid
    over a scan, is left alone. The box of text without its font is an estimate.

    How to mend it
    --------------
    Turn the text into outlines, or export a PDF with its fonts embedded. Keep a copy with live text for later changes.
    """

    id = "text-live"
    group = Group.CONTENT
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of text-live."""

        embedded: bool = flag(False, "an embedded font draws the same letters on every machine")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each piece of text."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for item in job.content.texts:
            drawn = item.object
            if drawn.font_held and not self.settings.embedded:
                continue
            font = f"the font “{drawn.font}”" if drawn.font else "its font"
            finding = self.finding(
                f"{quoted(drawn.text)} is live text with {font} embedded."
                if drawn.font_held
                else f"{quoted(drawn.text)} is live text, and the file does not hold {font}.",
                "Turn it into outlines." if drawn.font_held else "Turn it into outlines, or embed the font.",
                of=item,
                bounds=item.box,
            )
            milder = max(finding.level, Level.WARNING, key=lambda level: level.rank)
            yield msgspec.structs.replace(finding, level=milder) if drawn.font_held else finding
