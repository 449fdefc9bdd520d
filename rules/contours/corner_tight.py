"""Rule ``corner-tight``. Knows no geometry: the job finds the corners."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Basis, Degrees, Finding, Group, Level, Millimetres, Rule, degrees, figure, mm

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["TightCorner"]


class TightCorner(Rule):
    """A corner of a cut contour that the knife cannot turn.

    What it finds
    -------------
    A curved corner of a radius below {least_radius}, and a corner sharper than {least_angle}. One finding for
    each contour and kind, with all its corners, the tightest first; the value is the least radius in mm, or the
    sharpest angle between the two sides in degrees.

    Why it matters
    --------------
    The tip of a drag blade trails the axis it swivels on. Round a radius near that offset it cannot follow: it tears
    the film and rounds the corner its own way. At a needle-sharp corner it lifts the tip, and that is where
    a sticker starts to peel.

    Known limits
    ------------
    A corner between two straight sides may have any angle down to {least_angle}: blades turn at such a node.
    Fine bumps of a traced edge count as tight corners, since they are. Fragments are contour-fragment's.

    How to mend it
    --------------
    Round the corner with a radius of at least {least_radius}, or simplify the path where it wriggles.
    """

    id = "corner-tight"
    group = Group.CONTOURS
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of corner-tight."""

        least_radius: Millimetres = mm(
            0.5, "a blade's offset is about 0.2 to 0.5 mm, and it cannot follow a radius below that"
        )
        least_angle: Degrees = degrees(20.0, "the film between two cuts this close lifts", Basis.ASSUMPTION)

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each contour and kind of corner."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        radius, angle = self.settings.least_radius, self.settings.least_angle
        for corners in job.cut_shapes.tight_corners(radius, angle):
            contour = corners.contour
            if job.set_aside.fragments[contour.index]:
                continue
            count, worst = len(corners.points), corners.values[0]
            if corners.curved:
                told = (
                    f"a radius of {figure(worst)} mm"
                    if count == 1
                    else f"{count} tight curves, down to {figure(worst)} mm"
                )
                mend = f"Round it with a radius of at least {radius:g} mm, or simplify the path there."
            else:
                told = (
                    f"a corner of {figure(worst)}°"
                    if count == 1
                    else f"{count} sharp corners, down to {figure(worst)}°"
                )
                mend = f"Open the corner to at least {angle:g}°, or round it off."
            yield self.finding(
                f"A {step_words(contour.step).lower()} contour has {told}: the knife cannot turn there.",
                mend,
                of=contour,
                at=corners.points,
                measured=worst,
                limit=radius if corners.curved else angle,
                unit="mm" if corners.curved else "degrees",
            )
