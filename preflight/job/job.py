"""Artwork and profile together: hands out small views, each computed when first asked for. Knows no rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from preflight.artwork import Artwork, Layer, Note
from preflight.geometry.extents import object_boxes
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.job.clearances import Clearances
from preflight.job.cutting.common_lines import CommonLines
from preflight.job.cutting.cut_shapes import CutShapes
from preflight.job.cutting.cuts import Cuts
from preflight.job.cutting.meetings import Meetings
from preflight.job.cutting.nesting import Nesting
from preflight.job.cutting.pieces import Pieces
from preflight.job.cutting.set_aside import SetAside
from preflight.job.looks import Looks
from preflight.job.naming.assign import Vocabulary, assign, layer_names
from preflight.job.naming.names import UnknownNames
from preflight.job.naming.suspects import Suspects
from preflight.job.notable import Notable
from preflight.job.objects import JobObject
from preflight.job.printing.content import Content
from preflight.job.printing.overprints import Overprints
from preflight.job.remembered import remembered
from preflight.job.roles import Assignment, Role
from preflight.profile import Profile

if TYPE_CHECKING:
    from preflight.job.colours.named import NamedColours
    from preflight.job.making.sheet import Sheet
    from preflight.job.marks.marks import Marks
    from preflight.job.printing.grounds import Grounds
    from preflight.job.printing.printed import Printed
    from preflight.job.printing.strays import Strays
    from preflight.job.printing.thin_lines import ThinLines

__all__ = ["Job"]


class Job:
    """One page of artwork, judged for one shop.

    Parameters
    ----------
    artwork, profile : the page and what to judge it by.
    in_force : the settings of each rule that judges this page, by its id. What one of them reports the others
        leave to it; empty where nothing is judged.
    """

    def __init__(self, artwork: Artwork, profile: Profile, in_force: Mapping[str, Any] | None = None) -> None:
        self.artwork = artwork
        self.profile = profile
        self.in_force: Mapping[str, Any] = in_force or {}

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The profile's names and what they stand for."""
        return Vocabulary.of(self.profile)

    @cached_property
    def assignments(self) -> tuple[Assignment, ...]:
        """Role of each object, in paint order: by names, and of marks that no name tells of by shape and place."""
        named = assign(self.artwork, self.vocabulary, self.named_looks)
        if len(named) <= 3 and not any(one.role is Role.MARK for one in named):
            return named  # three marks at the least, and something that they stand about
        from preflight.job.marks.recognition import with_marks  # needed by no file of a few objects

        return with_marks(self.artwork, self.boxes, named)

    @cached_property
    def looks(self) -> Looks:
        """Which objects look alike, for all that ask each of them how it is painted."""
        return Looks.among(self.artwork.objects)

    @cached_property
    def named_looks(self) -> Looks:
        """Which objects look alike and have one name."""
        return self.looks.with_names(self.artwork.objects)

    @cached_property
    def notable(self) -> Notable:
        """Objects of a kind that most pages have few of, for all that look for them."""
        return Notable.of(self.looks)

    @cached_property
    def prints(self) -> Flags:
        """(o,) whether each object reaches the paper, paint and opacity aside."""
        return self.looks.flags(self.artwork.prints)

    @cached_property
    def boxes(self) -> Floats:
        """(o, 4) exact extents of the curves of each object, mm; NaN where it has none."""
        return object_boxes(self.artwork.outlines)

    @cached_property
    def layers(self) -> list[tuple[str, ...]]:
        """The name of each layer and of those it lies in, innermost first."""
        return [tuple(layer_names(self.artwork, index)) for index in range(len(self.artwork.layers))]

    @cached_property
    def items(self) -> tuple[JobObject, ...]:
        """Every object with its role and place, in paint order."""
        # Pages have up to a hundred thousand objects: without a step of Python for each.
        objects = self.artwork.objects
        boxes: list[Any] = list(zip(*self.boxes.T.tolist(), strict=True))
        for index in np.flatnonzero(np.isnan(self.boxes[:, 0])).tolist():
            boxes[index] = None
        names = self.layers
        layers = [() if drawn.layer is None else names[drawn.layer] for drawn in objects]
        return tuple(map(JobObject, range(len(objects)), objects, self.assignments, boxes, layers))

    @remembered
    def in_role(self, role: Role) -> Flags:
        """(o,) whether each object is of one role; every rule asks whether any is of the one that it needs."""
        return np.array([one.role is role for one in self.assignments], bool)

    def of_role(self, role: Role) -> list[JobObject]:
        """The objects of one role, hidden ones included."""
        return self.items_at(np.flatnonzero(self.in_role(role)))

    def items_at(self, indices: Integers) -> list[JobObject]:
        """(k,) the objects of some indices."""
        return list(map(self.items.__getitem__, indices.tolist()))

    def carrier(self, innermost: int | None, has: Callable[[Layer], bool]) -> str:
        """Name of the outermost layer from which all down to ``innermost`` are so: the one to be shown or unlocked."""
        layers = self.artwork.layers
        name, index = "", innermost
        while index is not None and has(layers[index]):
            name, index = layers[index].name, layers[index].parent
        return name

    @cached_property
    def cuts(self) -> Cuts:
        """The cut contours."""
        return Cuts(self.artwork, self.of_role(Role.CUT))

    @property
    def notes(self) -> tuple[Note, ...]:
        """What the reader noted, and what could not be judged exactly of all that was asked so far."""
        return (
            *self.content.reader_notes,
            *self.content.notes,
            *self.cuts.notes,
            *self._notes_if_asked("common_lines"),
            *self.overprints.notes,
            *self._notes_if_asked("printed"),
            *self.clearances.notes,
            *self._notes_if_asked("grounds"),
            *self._notes_if_asked("marks"),
            *self._notes_if_asked("colours"),
        )

    def _notes_if_asked(self, view: str) -> tuple[Note, ...]:
        """Notes of a view that is not made, with all that it imports, where nothing was asked of it."""
        return getattr(self, view).notes if view in self.__dict__ else ()

    @cached_property
    def content(self) -> Content:
        """The art that prints: lettering, pictures."""
        return Content(self)

    @cached_property
    def printed(self) -> Printed:
        """Where ink stays on the sheet."""
        from preflight.job.printing.printed import Printed  # needed by no file without art

        return Printed(self)

    @cached_property
    def marks(self) -> Marks:
        """The registration marks."""
        from preflight.job.marks.marks import Marks  # needed by no file without marks

        return Marks(self)

    @cached_property
    def colours(self) -> NamedColours:
        """Named colours in use, and the ink on the sheet."""
        from preflight.job.colours.named import NamedColours  # needed by no file without art

        return NamedColours(self)

    @cached_property
    def grounds(self) -> Grounds:
        """What small art lies on."""
        from preflight.job.printing.grounds import (
            Grounds,  # needed by no file without small lettering and thin lines
        )

        return Grounds(self)

    @cached_property
    def thin_lines(self) -> ThinLines:
        """Strokes and narrow fills."""
        from preflight.job.printing.thin_lines import ThinLines  # for one rule

        return ThinLines(self)

    @cached_property
    def strays(self) -> Strays:
        """What prints nowhere."""
        from preflight.job.printing.strays import Strays  # for one rule

        return Strays(self)

    @cached_property
    def cut_shapes(self) -> CutShapes:
        """Sizes, corners and nodes of single cut contours."""
        return CutShapes(self.cuts)

    @cached_property
    def set_aside(self) -> SetAside:
        """Cut contours that one rule reports and the others leave alone."""
        return SetAside.of(self)

    @cached_property
    def meetings(self) -> Meetings:
        """Where cut contours cross, touch or run along each other."""
        return Meetings(self.cuts, self.set_aside)

    @cached_property
    def common_lines(self) -> CommonLines:
        """Open cut lines that pieces side by side have in common."""
        return CommonLines(self)

    @cached_property
    def pieces(self) -> Pieces:
        """The regions that cuts set free."""
        return Pieces(self)

    @cached_property
    def clearances(self) -> Clearances:
        """Distances from cuts to the art, to each other and to the edge of the page."""
        return Clearances(self)

    @cached_property
    def nesting(self) -> Nesting:
        """Which cuts lie inside which."""
        return Nesting(self.cuts)

    @cached_property
    def overprints(self) -> Overprints:
        """What overprint lets through, and what knocks out the art beneath."""
        return Overprints(self)

    @cached_property
    def sheet(self) -> Sheet:
        """How the copies asked for lie on the roll."""
        from preflight.job.making.sheet import Sheet  # needed only where a width to lay out on is stated

        return Sheet(self)

    @cached_property
    def unknown_names(self) -> UnknownNames:
        """Names in the file that the profile does not know."""
        return UnknownNames(self)

    @cached_property
    def suspects(self) -> Suspects:
        """Objects that will print and look as if they were meant to be cut."""
        return Suspects(self)
