"""Objects of a job as rules see them: the artwork's object, its role, its place. Knows no profile."""

from __future__ import annotations

import msgspec

from preflight.artwork import Box, Object
from preflight.job.roles import Assignment

__all__ = ["JobObject", "Reference"]


class Reference(msgspec.Struct, frozen=True):
    """Where an object stands in its file, as findings print it."""

    ref: str
    layer: str | None
    kind: str
    line: int | None
    drawn_at: int | None = None


class JobObject(msgspec.Struct, frozen=True, gc=False):
    """One object with its role.

    ``box`` is the exact extent of its curves in mm (no stroke width), None where it has no geometry.
    ``layers`` are the names of its layers, innermost first.
    """

    index: int
    object: Object
    assignment: Assignment
    box: Box | None
    layers: tuple[str, ...]

    @property
    def spoken(self) -> str:
        """What a person can find it by, for a sentence: its id or line in the file, or else its place on the page."""
        origin = self.object.origin
        if origin.id is not None or origin.line is not None or self.box is None:
            return origin.ref
        x0, y0, x1, y1 = self.box
        return f"the one at x {(x0 + x1) / 2:.1f} mm, y {(y0 + y1) / 2:.1f} mm"

    @property
    def reference(self) -> Reference:
        """Where it stands in the file."""
        origin = self.object.origin
        return Reference(
            origin.ref,
            self.layers[0] if self.layers else None,
            str(self.object.kind),
            origin.line,
            origin.drawn_at,
        )
