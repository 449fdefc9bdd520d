"""Rule ``text-small``. Knows no geometry: the job finds what the text lies on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, falls_short, figure, points, ratio

from .quoting import quoted
from .shown_text import box_of, shown_by, spelt

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["SmallText"]

_POINT = 25.4 / 72
"""mm, ISO 32000-1, 8.3.2.3."""


class SmallText(Rule):
    """Text too small to be printed and read.

    What it finds
    -------------
    Printed text whose font is smaller than {positive}, or smaller than {reversed} where it is reversed: light on dark, left out of
    the ink around it. Sizes are those of the font at final size, the smallest where a text has several. Reversed is what is at
    least {lighter_by} steps of L* lighter than what at least half of its box lies on; white text is so on any ink.

    Why it matters
    --------------
    Thin strokes of small letters break up where ink does not hold, and fill in where ink spreads into them, the sooner the more
    inks there are round them.

    Known limits
    ------------
    Lettering that has been turned into outlines cannot be told from other art and is not judged. The size of a font says little
    about how thin its strokes are. Where it cannot be told what lies beneath (pictures under coloured text, patterns, blends,
    gradients that are partly as light), text counts as positive, and white text then as not there. What lies on top of it is not
    looked at. Boxes of text without its font are estimates.

    How to mend it
    --------------
    Set it larger, or in a bolder face; print it dark on light. Fine print that may be left out is better left out.
    """

    id = "text-small"
    group = Group.CONTENT
    level = Level.WARNING

    class Settings(Rule.Settings):
        """Settings of text-small."""

        positive: Millimetres = points(5, "customary least size of type in one ink", Basis.COMMON_PRACTICE)
        reversed: Millimetres = points(
            8, "customary least size of type left out of ink", Basis.COMMON_PRACTICE
        )
        lighter_by: float = ratio(
            25.0, "with less contrast, ink that spreads does not change the letter much"
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each piece of text."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        if not job.content.texts:
            return
        asked = job.grounds.texts(max(self.settings.positive, self.settings.reversed))
        reversals = job.grounds.reversals([small for _, small in asked], self.settings.lighter_by)
        words: dict[tuple[str, float, bool], list[JobObject]] = {}
        for (item, small), reversal in zip(asked, reversals, strict=True):
            size, limit = item.object.font_size, self._limit(reversal is not None)
            if reversal is None and small.white:
                continue  # on no ink it leaves nothing
            if size is not None and falls_short(size, limit):
                words.setdefault((shown_by(item), round(size, 6), reversal is not None), []).append(item)
        for (_, size, is_reversed), items in words.items():
            limit = self._limit(is_reversed)
            how = ", reversed out of darker art" if is_reversed else ""
            yield self.finding(
                f"{quoted(spelt(items))} is set in {figure(size / _POINT)} pt{how}.",
                f"Set it in {figure(limit / _POINT)} pt or more.",
                of=items[0],
                bounds=box_of(items),
                measured=size / _POINT,
                limit=round(limit / _POINT, 6),
                unit="pt",
            )

    def _limit(self, is_reversed: bool) -> float:
        least = float(self.settings.positive)
        return max(least, float(self.settings.reversed)) if is_reversed else least
