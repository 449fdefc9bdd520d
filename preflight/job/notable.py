"""Objects of a kind that most pages have none or few of, found by going through the page once. Knows no role and no rule."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from preflight.artwork import Kind, Object

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
    def of(cls, objects: Sequence[Object]) -> Notable:
        """Those among the objects of a page."""
        path, text = Kind.PATH, Kind.TEXT
        texts, images, absent, waiving, overprinting, inked = (list[int]() for _ in range(6))
        for index, one in enumerate(objects):
            stroke = one.stroke
            if one.kind is not path:
                if one.kind is text:
                    texts.append(index)
                elif one.kind is Kind.IMAGE:
                    images.append(index)
            if one.absent is not None:
                absent.append(index)
            if one.waive:
                waiving.append(index)
            if one.overprint or stroke.overprint:
                overprinting.append(index)
            if one.fill.inks or stroke.paint.inks:
                inked.append(index)
        return cls(*(tuple(found) for found in (texts, images, absent, waiving, overprinting, inked)))
