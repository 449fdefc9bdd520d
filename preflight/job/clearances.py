"""Distances from cuts to the art, to each other and to the edge of the page. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec

from preflight.artwork import Box, Note
from preflight.geometry.outlines import Floats
from preflight.job.cutting.off_page import OffPage, cuts_off_page
from preflight.job.cutting.spacing import Spacing, spacings
from preflight.job.objects import JobObject
from preflight.job.remembered import remembered
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.art_clearances import ArtClearances
    from preflight.job.job import Job

__all__ = ["NOISE", "BleedShort", "Clearances", "NearArt", "Point"]

NOISE = 0.01
"""mm. A distance that misses its limit by less is in order: flattened curves differ by that much."""

Point = tuple[float, float]


class BleedShort(msgspec.Struct, frozen=True, eq=False):
    """A piece whose art does not go far enough past the cut.

    ``reached`` mm is the least distance, between ``here`` on the cut and ``there`` on the art's edge; ``box`` is tight round the
    stretches of cut and edge where it is too short; ``missing`` are the rings (k, 2) of the area that
    should be printed.
    """

    item: JobObject
    step: str
    reached: float
    here: Point
    there: Point
    box: Box
    missing: tuple[Floats, ...]


class NearArt(msgspec.Struct, frozen=True, eq=False):
    """Art that comes near the cut of a piece without reaching it; ``inside`` says on which side.

    ``lettering`` is the text it is about, where that stands on a ground that bleeds; None where it is the art's edge.
    ``distance`` mm lies between ``here`` on the cut and ``there`` on the art's edge; ``box`` is tight round the edges too near.
    """

    item: JobObject
    step: str
    inside: bool
    distance: float
    here: Point
    there: Point
    box: Box
    lettering: JobObject | None = None


class Clearances:
    """Views of what lies near the cuts."""

    def __init__(self, job: Job) -> None:
        self._job = job

    @property
    def notes(self) -> tuple[Note, ...]:
        """Cuts beside which something may or may not print, of those asked about so far; one note for each object."""
        return self._art.notes if "_art" in self.__dict__ else ()

    @cached_property
    def _art(self) -> ArtClearances:
        from preflight.job.art_clearances import ArtClearances  # needed by no file without art

        return ArtClearances(self._job)

    def bleed_short(self, bleed: float) -> Iterator[BleedShort]:
        """Pieces whose art lies on their cut and does not go on past it for ``bleed`` mm, measured square to it."""
        if self._job.in_role(Role.PRINT).any():
            yield from self._art.bleed_short(bleed)

    def near_art(self, margin: float, drift: float) -> Iterator[NearArt]:
        """Art nearer than ``margin`` to the cut inside a piece, or than ``drift`` outside; the nearest of each side.

        Art that reaches the cut from inside is meant to bleed, and what belongs to the bleed of another piece counts for
        that one alone.
        """
        if self._job.in_role(Role.PRINT).any():
            yield from self._art.near_art(margin, drift)

    def near_lettering(self, margin: float) -> Iterator[NearArt]:
        """Texts nearer than ``margin`` to the cut of the piece they lie in, on a ground that hides them from `near_art`."""
        if self._job.pieces.count and self._job.notable.texts:
            yield from self._art.near_lettering(margin)

    @remembered
    def spacing(self, least: float) -> tuple[Spacing, ...]:
        """Pairs of contours with less film between them; see `spacings`."""
        return spacings(self._job, least - NOISE)

    @remembered
    def off_page(self) -> tuple[OffPage, ...]:
        """Contours that leave the page or its bleed box."""
        return tuple(cuts_off_page(self._job))
