"""Objects of a kind that most pages have none or few of. Knows no role and no rule."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np

from preflight.artwork import Kind, Object
from preflight.job.looks import Looks

__all__ = ["Notable"]


class Notable(msgspec.Struct, frozen=True):
    """Indices of objects, in paint order.

    Attributes
    ----------
    texts, images : of that kind.
    absent : images whose pixels are not there, or not all.
    waiving : those that bear waivers.
    overprinting : whose fill or stroke is set to overprint.
    inked : whose fill or stroke is painted with separations.
    """

    texts: tuple[int, ...]
    images: tuple[int, ...]
    absent: tuple[int, ...]
    waiving: tuple[int, ...]
    overprinting: tuple[int, ...]
    inked: tuple[int, ...]

    @classmethod
    def of(cls, looks: Looks) -> Notable:
        """Those among the objects of a page."""

        def those(asked: Callable[[Object], bool]) -> tuple[int, ...]:
            return tuple(np.flatnonzero(looks.flags(asked)).tolist())

        return cls(
            texts=those(lambda one: one.kind is Kind.TEXT),
            images=those(lambda one: one.kind is Kind.IMAGE),
            absent=those(lambda one: one.absent is not None),
            waiving=those(lambda one: bool(one.waive)),
            overprinting=those(lambda one: one.overprint or one.stroke.overprint),
            inked=those(lambda one: bool(one.fill.inks or one.stroke.paint.inks)),
        )
