"""Artwork and profile together: hands out small views, each computed when first asked for. Knows no rule."""

from __future__ import annotations

from functools import cached_property

from preflight.artwork import Artwork
from preflight.geometry.extents import object_boxes
from preflight.profile import Profile

from .assign import Vocabulary, assign, layer_names
from .cuts import Cuts
from .objects import JobObject
from .roles import Assignment, Role

__all__ = ["Job"]


class Job:
    """One page of artwork, judged for one shop."""

    def __init__(self, artwork: Artwork, profile: Profile) -> None:
        self.artwork = artwork
        self.profile = profile

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The profile's names and what they stand for."""
        return Vocabulary.of(self.profile)

    @cached_property
    def assignments(self) -> tuple[Assignment, ...]:
        """Role of each object, in paint order."""
        return assign(self.artwork, self.vocabulary)

    @cached_property
    def items(self) -> tuple[JobObject, ...]:
        """Every object with its role and place, in paint order."""
        boxes = object_boxes(self.artwork.outlines).tolist()
        layers = [tuple(layer_names(self.artwork, index)) for index in range(len(self.artwork.layers))]
        return tuple(
            JobObject(
                index,
                drawn,
                assignment,
                None if box[0] != box[0] else (box[0], box[1], box[2], box[3]),
                layers[drawn.layer] if drawn.layer is not None else (),
            )
            for index, (drawn, assignment, box) in enumerate(
                zip(self.artwork.objects, self.assignments, boxes, strict=True)
            )
        )

    def of_role(self, role: Role) -> list[JobObject]:
        """The objects of one role, hidden ones included."""
        return [item for item in self.items if item.assignment.role is role]

    @cached_property
    def cuts(self) -> Cuts:
        """The cut contours."""
        return Cuts(self.artwork, self.items)
