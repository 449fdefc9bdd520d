"""Rule ``step-hidden``. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.colour.ink_names import NONE
from preflight.job import step_words
from preflight.rule import Finding, Group, Level, Rule, flag

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["HiddenStep"]


class HiddenStep(Rule):
    """A cut line that is not shown: hidden, unpainted, clipped away, or on a layer that is locked or does not print.

    What it finds
    -------------
    An object of a cut step that a viewer does not draw (a hidden layer or object, neither fill nor stroke, the separation None,
    an opacity of 0, a clip that leaves nothing or only part of it), and one on a locked or non-printing layer. Locked layers are
    reported: {locked}.

    Why it matters
    --------------
    Programs differ in what they send to the cutter from layers that are hidden or locked: the line is cut without anyone having
    seen it, or is left out without anyone noticing. A clip does not shorten a cut.

    Known limits
    ------------
    A cut line kept on a hidden layer as a spare is reported until it is deleted or waived. Contours of hidden objects are judged
    by no other rule. A clip in part is told by the box of its outline, so a clip that only bites into the middle is not seen.

    How to mend it
    --------------
    Show and unlock the layer and give the line a stroke; release the clip and trim the path itself. Delete the line if it
    is not to be cut.
    """

    id = "step-hidden"
    group = Group.STEPS
    level = Level.WARNING

    class Settings(Rule.Settings):
        """Settings of step-hidden."""

        locked: bool = flag(True, "drawing programs leave locked layers out of what is selected and sent")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each object."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        hidden = {item.index for item in job.cuts.hidden}
        for item in (*job.cuts.hidden, *job.cuts.items):
            told = self._reason(item, job, shows=item.index not in hidden)
            if told is not None:
                reason, mend = told
                yield self.finding(
                    f"A {step_words(item.assignment.step or '').lower()} object is {reason}.",
                    f"{mend}, or delete the line if it is not to be cut.",
                    of=item,
                    bounds=item.box,
                )

    def _reason(self, item: JobObject, job: Job, *, shows: bool) -> tuple[str, str] | None:
        """What hides the object, and the mend; None where nothing does."""
        drawn = item.object
        layer = None if drawn.layer is None else job.artwork.layers[drawn.layer]
        if layer is not None and not layer.visible:
            name = job.carrier(drawn.layer, lambda one: not one.visible)
            return f"on the hidden layer “{name}”", "Show the layer"
        if drawn.hidden is not None:
            if drawn.hidden == "layer":
                return "hidden by the layers it belongs to", "Show the layers"
            return f"hidden ({drawn.hidden})", "Show it"
        if drawn.clipped_away:
            return "clipped away by a clip path", "Release the clip"
        if not shows and NONE in (drawn.fill.spot, drawn.stroke.paint.spot):
            return "painted in the separation None, which never shows", "Give it a separation of its own"
        if not shows:
            return "neither filled nor stroked, so it does not show", "Give it a plain thin stroke"
        if drawn.opacity == 0.0:
            return "fully transparent", "Give it full opacity"
        if job.cuts.cut_short(item):
            told = "partly clipped away: the clip hides it but does not shorten the cut"
            return told, "Release the clip and trim the path itself"
        if layer is not None and not layer.printing:
            name = job.carrier(drawn.layer, lambda one: not one.printing)
            return f"on the non-printing layer “{name}”", "Move it to a layer that prints"
        if layer is not None and layer.locked and self.settings.locked:
            name = job.carrier(drawn.layer, lambda one: one.locked)
            return f"on the locked layer “{name}”", "Unlock the layer"
        return None
