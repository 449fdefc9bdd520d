"""Rule ``image-coarse``. Knows no pixel: the reader says how many there are and how large they are placed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import msgspec

from preflight.rule import Basis, Finding, Group, Level, Rule, falls_short, figure, ppi

if TYPE_CHECKING:
    from preflight.job import Job, JobObject

__all__ = ["CoarseImage"]

_NOISE = 0.05
"""ppi. What rounded numbers in files make of a resolution that was meant to be the limit."""


class CoarseImage(Rule):
    """An image with too few pixels for the size it is printed at; a warning where it is only below what is wanted.

    What it finds
    -------------
    Images that lie coarser than {least}; as a warning those coarser than {wanted}, and line art of one bit coarser than {line_art}.
    Counted at final size, in the direction in which the pixels lie farther apart. A direction in which the image is a single
    pixel does not count, since nothing in it changes along there. An image that lacks less than a pixel is in order: whoever makes
    one for a size rounds it to whole pixels.

    Why it matters
    --------------
    Pixels that the eye can tell apart make edges stairs and pictures soft. At one minute of arc a pixel can be seen where it is larger
    than the distance times tan 1′, that is below 3438 ppi over the distance in inches: 344 ppi at 10 in, as a label is read; 150 ppi
    at 23 in; 100 ppi at 34 in; 29 ppi at 10 ft, as a wall is seen.

    Known limits
    ------------
    How far away people stand is not known: for walls and vehicles the limits may be lowered, for small labels raised. Pixels that were
    made up by enlarging are counted as if they were taken. Line art is told by its one bit a pixel, which only PDF says; that it wants
    more than a picture is common practice, how much is this project's choice. Images whose size in pixels is not known, and drawings
    placed as images, are listed as not checked.

    How to mend it
    --------------
    Place the original, taken or scanned finer, or make the image smaller. Drawings and lettering are better redrawn as paths.
    """

    id = "image-coarse"
    group = Group.CONTENT
    level = Level.ERROR

    class Settings(Rule.Settings):
        """Settings of image-coarse."""

        least: float = ppi(100.0, "below it pixels can be told apart from a step away", Basis.COMMON_PRACTICE)
        wanted: float = ppi(
            150.0,
            "two pixels for each period of a 75-line screen; customary for large prints",
            Basis.COMMON_PRACTICE,
        )
        line_art: float = ppi(300.0, "stairs in hard edges are seen from 11 in: 3438 / 300")

    def check(self, job: Job) -> Iterable[Finding]:
        """One finding for each image."""
        return self._found(job)

    def _found(self, job: Job) -> Iterator[Finding]:
        for item in job.content.images():
            coarsest = _coarsest(item)
            if coarsest is None:
                continue
            found, one_pixel = coarsest
            wanted = self.settings.line_art if _is_line_art(item) else self.settings.wanted
            too_coarse = _lacks_pixels(found, one_pixel, self.settings.least)
            if not too_coarse and not _lacks_pixels(found, one_pixel, wanted):
                continue
            limit = self.settings.least if too_coarse else wanted
            told = self._told(item, found, limit, max(wanted, limit))
            milder = max(told.level, Level.WARNING, key=lambda level: level.rank)
            yield told if too_coarse else msgspec.structs.replace(told, level=milder)

    def _told(self, item: JobObject, found: float, limit: float, wanted: float) -> Finding:
        (columns, rows), (width, height) = _sizes(item)
        size = f"{columns:,} × {rows:,} pixels on {figure(width)} × {figure(height)} mm"
        # To whole pixels, the noise of the size taken off.
        across, down = (math.ceil(length / 25.4 * wanted - 1e-6) for length in (width, height))
        return self.finding(
            f"The image lies at {figure(found)} ppi: {size}.",
            f"Place one of at least {across:,} × {down:,} pixels, or make it smaller.",
            of=item,
            bounds=item.box,
            measured=found,
            limit=limit,
            unit="ppi",
        )


def _sizes(item: JobObject) -> Any:
    return item.object.pixel_size, item.object.placed_size


def _coarsest(item: JobObject) -> tuple[float, float] | None:
    """Pixels per inch where they lie farthest apart, and what one pixel makes of that; None for a single pixel."""
    pixels, resolution = item.object.pixel_size, item.object.pixels_per_inch
    if pixels is None or resolution is None:
        return None
    counted = [(one, one / count) for one, count in zip(resolution, pixels, strict=True) if count > 1]
    return min(counted, default=None)


def _lacks_pixels(found: float, one_pixel: float, limit: float) -> bool:
    """Whether a whole pixel is missing; noise aside."""
    return falls_short(found, limit, _NOISE) and found + one_pixel <= limit + 1e-6


def _is_line_art(item: JobObject) -> bool:
    raster = item.object.raster
    return raster is not None and (raster.bits == 1 or raster.mask == "stencil")
