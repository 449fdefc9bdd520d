"""Rule ``step-painted``. Knows no geometry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.rule import Basis, Finding, Group, Level, Millimetres, Rule, exceeds, mm, names

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["PaintedStep"]


class PaintedStep(Rule):
    """A cut line that is painted as art is: filled, dashed, see-through or wide.

    What it finds
    -------------
    An object of a cut step with a fill, a gradient or pattern, an opacity below 1, a blend mode, a tint of its
    separation, or a stroke wider than {widest}; with a dash, unless its step is one of {dashed}; and text or an image on a cut step.
    One finding for each object, naming everything that is wrong. The
    value is the stroke width where the width is at fault, else the opacity where that is.

    Why it matters
    --------------
    A cutter follows the path and nothing else. A dash on a line that is to be cut says that it is none, or it is cut as many short
    ones; fills cover the art when the step is printed by mistake, and a wide stroke hides where the cut really runs: its middle.

    Known limits
    ------------
    How wide a cut line may be drawn differs from shop to shop. A fill in a named colour is reported like any other. Text and
    images on a cut step are never cut. How long the strokes of a perforation are is the cutter's matter: a dash on one is taken for the
    way such lines are drawn, whatever its lengths. A shop whose cutter takes dashes for lines of their own empties ``dashed``.

    How to mend it
    --------------
    Give the path no fill and a plain thin stroke, full tint and opacity and no dash. Turn text into outlines; move images to
    another layer. A line that is to be perforated belongs to the step Perforating.
    """

    id = "step-painted"
    group = Group.STEPS
    level = Level.WARNING

    class Settings(Rule.Settings):
        """Settings of step-painted."""

        widest: Millimetres = mm(1.0, "a line drawn wider hides by how much the cut misses the art")
        dashed: tuple[str, ...] = names(
            ("Perforating", "Creasing", "ReverseCreasing", "Folding", "CuttingCreasing"),
            "drawings show tear and fold lines dashed to tell them from cuts",
            Basis.COMMON_PRACTICE,
        )

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each painted object."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for item in (*job.cuts.items, *job.cuts.not_paths):
            dashes = item.assignment.step in self.settings.dashed
            wrong = list(_faults(item, self.settings.widest, dashes=dashes))
            if not item.object.drawn or not wrong:
                continue
            width, opacity = item.object.stroke.width, item.object.opacity * item.object.stroke.opacity
            measures: dict[str, object] = {}
            if item.object.stroke.paint.paints and exceeds(width, self.settings.widest):
                measures = {"measured": width, "limit": self.settings.widest}
            elif opacity < 1.0:
                measures = {"measured": opacity, "limit": 1.0, "unit": "opacity"}
            yield self.finding(
                f"A {step_words(item.assignment.step or '').lower()} object has {', '.join(wrong)}.",
                "Give it no fill and a plain thin stroke."
                if item.object.kind == "path"
                else "Turn text into outlines, or move the object off the cut layer.",
                of=item,
                bounds=item.box,
                **measures,  # type: ignore[arg-type]
            )


def _faults(item: JobObject, widest: float, *, dashes: bool) -> Iterator[str]:
    drawn, stroke = item.object, item.object.stroke
    if drawn.kind != "path":
        yield f"{drawn.kind} content, which no knife follows"
        return
    if drawn.fill.paints:
        yield "a fill" if drawn.fill.kind == "color" else f"a {drawn.fill.kind} fill"
    if not stroke.paint.paints:
        yield "no stroke"
        return
    if stroke.paint.kind != "color":
        yield f"a {stroke.paint.kind} stroke"
    if stroke.paint.spot is not None and stroke.paint.tint < 1.0:
        yield f"a tint of {100 * stroke.paint.tint:.3g} %"
    if not dashes and any(length > 0.0 for length in stroke.dash):
        yield "a dash"
    if exceeds(stroke.width, widest):
        yield f"a stroke {stroke.width:.3g} mm wide"
    alpha = 1.0 if stroke.paint.color is None else stroke.paint.color.alpha
    if drawn.opacity * stroke.opacity * alpha < 1.0:
        yield f"an opacity of {drawn.opacity * stroke.opacity * alpha:.2g}"
    if drawn.blend != "normal":
        yield f"the blend mode {drawn.blend}"
