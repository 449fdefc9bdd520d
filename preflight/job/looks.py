"""Which objects look alike, so that what all are asked is asked once of each look. Knows no role and no rule."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import count

import msgspec
import numpy as np

from preflight.artwork import Object
from preflight.geometry.outlines import Flags, Floats, Integers

__all__ = ["Looks"]


class Looks(msgspec.Struct, frozen=True, eq=False):
    """The looks of a page's objects.

    Objects of one look are of one kind, are painted with the same fill and stroke, and have all else of a model's object in common but
    for these: where they stand in the file, their name, clip and size, the address of an image, and what a text says in which font.

    Attributes
    ----------
    of : (o,) the look of each object, numbered as they appear.
    samples : the first object of each look.
    """

    of: Integers
    samples: tuple[Object, ...]

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
        return _numbered(objects, looks)

    def with_names(self, objects: Sequence[Object]) -> Looks:
        """The looks of those objects that have their name in common as well."""
        names = ((look, one.name) for look, one in zip(self.of.tolist(), objects, strict=True))
        return _numbered(objects, names)

    def flags(self, asked: Callable[[Object], bool]) -> Flags:
        """(o,) the answer for each object to a question about nothing but its look."""
        return np.array([asked(one) for one in self.samples], bool)[self.of]

    def numbers(self, asked: Callable[[Object], float]) -> Floats:
        """(o,) the number of each object, which comes from nothing but its look."""
        return np.array([asked(one) for one in self.samples], np.float64)[self.of]


def _numbered(objects: Sequence[Object], keys: Iterable[object]) -> Looks:
    numbers: defaultdict[object, int] = defaultdict(count().__next__)
    of = np.fromiter(map(numbers.__getitem__, keys), np.intp, len(objects))
    firsts = np.flatnonzero(np.diff(np.maximum.accumulate(of), prepend=-1))
    return Looks(of, tuple([objects[first] for first in firsts.tolist()]))
