"""Rule ``node-excess``. Knows no geometry: the job counts nodes and measures steps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from preflight.job import step_words
from preflight.job.roles import Role
from preflight.rule import Count, Finding, Group, Level, Millimetres, Rule, count, exceeds, mm, ratio

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["ExcessNodes"]


class ExcessNodes(Rule):
    """A cut contour with far more nodes than its shape needs, or with many steps shorter than the knife's offset.

    What it finds
    -------------
    A contour of at least {least_nodes} nodes that has more than {factor} times the nodes its shape needs to be drawn
    within {tolerance}; the value is its number of nodes, the limit that multiple. Otherwise a contour with at least
    {least_short} steps from node to node shorter than {shortest_step}; the value is the shortest of them and the places are
    those steps, shortest first.

    Why it matters
    --------------
    A cutter slows down at every node. A contour of tiny steps is cut in jerks: slow, rough at the edge, and
    noisy enough for the operator to stop the job.

    Known limits
    ------------
    How many nodes a shape needs is an estimate from its curvature, corners and inflections; that is why only a
    multiple of it counts. Nodes that lie on each other are not counted as short steps. Fragments are contour-fragment's.

    How to mend it
    --------------
    Simplify the path in the drawing program and compare it with the original, or trace it again with a coarser
    setting.
    """

    id = "node-excess"
    group = Group.CONTOURS
    level = Level.WARNING
    needs = Role.CUT

    class Settings(Rule.Settings):
        """Settings of node-excess."""

        tolerance: Millimetres = mm(0.02, "a shape changed this little cuts the same")
        factor: float = ratio(3.0, "hand-drawn curves have up to twice the nodes they need")
        least_nodes: Count = count(60, "below this a cutter is not slowed down whatever the shape")
        shortest_step: Millimetres = mm(
            0.25, "a common offset of drag blades, from memory: a shorter step ends before the tip has turned"
        )
        least_short: Count = count(10, "a few short steps round a corner do no harm")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each contour."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        asked = self.settings
        for found in job.cut_shapes.node_use(
            asked.tolerance, asked.shortest_step, asked.least_nodes, asked.least_short
        ):
            contour = found.contour
            if job.set_aside.fragments[contour.index]:
                continue
            allowed = int(asked.factor * found.needed)
            if found.nodes >= asked.least_nodes and exceeds(found.nodes, allowed):
                yield self.finding(
                    f"A {step_words(contour.step).lower()} contour has {found.nodes} nodes where about {found.needed} would do.",
                    "Simplify the path, and compare it with the original.",
                    of=contour,
                    bounds=contour.bounds,
                    measured=found.nodes,
                    limit=allowed,
                    unit="nodes",
                )
            elif len(found.short) >= asked.least_short:
                shortest = found.short[0]
                yield self.finding(
                    f"A {step_words(contour.step).lower()} contour has {len(found.short)} steps shorter than {asked.shortest_step:g} mm, "
                    f"the shortest {shortest:.2g} mm.",
                    "Simplify the path there: the knife's tip cannot turn in so short a step.",
                    of=contour,
                    at=found.places,
                    measured=shortest,
                    limit=asked.shortest_step,
                )
