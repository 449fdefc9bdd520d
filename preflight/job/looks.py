"""Which objects look alike, so that what all are asked is asked once of each look. Knows no role and no rule."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import count
from typing import Any

import msgspec
import numpy as np

from preflight.artwork import Object, PaintKind
from preflight.geometry.outlines import Flags, Floats, Integers
from preflight.job.printing.inks import laid

__all__ = ["Looks"]


class Looks(msgspec.Struct, frozen=True, eq=False):
    """The looks of a page's objects.

    Objects of one look are of one kind, are painted with the same fill and stroke, and have all else of a model's object in common but
    for these: where they stand in the file, their name, clip and size, the address of an image, and what a text says in which font.

    Attributes
    ----------
    of : (o,) the look of each object, numbered as they appear.
    samples : the first object of each look.
    shade_of : (o,) the shade of each object: looks without a stroke whose fills are screen colours of one opacity, all of them white or
        none, are one. A sheet has thousands of colours, and few questions are about which.
    shades : the first object of each shade.
    """

    of: Integers
    samples: tuple[Object, ...]
    shade_of: Integers
    shades: tuple[Object, ...]

    @classmethod
    def among(cls, objects: Sequence[Object]) -> Looks:
        """Those of the objects of a page."""
        # Paints are told apart as things, since most are shared and to compare them takes longest.
        looks = (
            (
                id(one.kind), id(one.fill), id(one.stroke), one.layer, one.classes, one.waive, one.groups,
                one.fill_rule, one.fill_opacity, one.opacity, one.blend, one.overprint, one.overprint_mode,
                one.clipped_away, one.effect, one.boxed, one.hidden, one.broken, one.pixel_size, one.raster, one.absent,
            )
            for one in objects
        )  # fmt: skip
        of, samples, told_by = _numbered(objects, looks)
        of_look, shades, _ = _numbered(
            samples, [(one[0], _shade(drawn), *one[2:]) for one, drawn in zip(told_by, samples, strict=True)]
        )
        return cls(of, samples, of_look[of], shades)

    def with_names(self, objects: Sequence[Object]) -> Looks:
        """The looks of those objects that have their name in common as well."""
        names = ((look, one.name) for look, one in zip(self.of.tolist(), objects, strict=True))
        of, samples, _ = _numbered(objects, names)
        return Looks(of, samples, self.shade_of, self.shades)

    def flags(self, asked: Callable[[Object], bool]) -> Flags:
        """(o,) the answer for each object to a question about nothing but its shade."""
        return np.array([asked(one) for one in self.shades], bool)[self.shade_of]

    def numbers(self, asked: Callable[[Object], float]) -> Floats:
        """(o,) the number of each object, which comes from nothing but its shade."""
        return np.array([asked(one) for one in self.shades], np.float64)[self.shade_of]


def _shade(drawn: Object) -> object:
    """What the fill of an object is told apart by."""
    fill = drawn.fill
    color = fill.color
    if (
        color is None
        or color.space != "srgb"
        or fill.kind is not PaintKind.COLOR
        or fill.spot is not None
        or fill.inks
        or fill.stops
        or drawn.stroke.paint.paints
    ):
        return id(fill)
    return color.alpha, fill.tint, laid(fill)


def _numbered(
    objects: Sequence[Object], keys: Iterable[object]
) -> tuple[Integers, tuple[Object, ...], list[Any]]:
    """(o,) the number of the key of each object, the first object of each key, and the keys."""
    numbers: defaultdict[object, int] = defaultdict(count().__next__)
    of = np.fromiter(map(numbers.__getitem__, keys), np.intp, len(objects))
    firsts = np.flatnonzero(np.diff(np.maximum.accumulate(of), prepend=-1))
    return of, tuple([objects[first] for first in firsts.tolist()]), list(numbers)
