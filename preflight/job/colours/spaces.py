"""The colour spaces that a page's art is given in, in words a shop uses. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from preflight.artwork import Kind, Paint, PaintKind
from preflight.job.naming.assign import named_colours

if TYPE_CHECKING:
    from preflight.job.job import Job
    from preflight.job.objects import JobObject

__all__ = ["SPACES", "spaces_in_use"]

SPACES = ("RGB", "CMYK", "grey", "Lab", "ICC", "calibrated", "named")
"""Every word for a space: of a screen; process inks; black alone; Lab and its kin; by a profile in the file; calibrated
(PDF's CalRGB and CalGray); a named colour."""

_WORDS = {
    "device-cmyk": "CMYK",
    "device-gray": "grey",
    "device-rgb": "RGB",
    "lab": "Lab",
    "lch": "Lab",
    "oklab": "Lab",
    "oklch": "Lab",
    "xyz": "Lab",
    "xyz-d50": "Lab",
    "xyz-d65": "Lab",
    "icc": "ICC",
    "cal-gray": "calibrated",
    "cal-rgb": "calibrated",
    "separation": "named",
    "device-n": "named",
}
"""What is not in here is one of CSS's ways to say what a screen shows."""

_UNKNOWN = frozenset({"", "unknown", "pattern", "indexed"})


def spaces_in_use(job: Job) -> dict[str, list[JobObject]]:
    """The art on the page by the words of `SPACES` for the spaces it is given in, in the order of first use."""
    found: dict[str, list[JobObject]] = {}
    known: dict[Paint, tuple[str, ...]] = {}
    for item in job.content.printing:
        words: list[str] = []
        for paint in (item.object.fill, item.object.stroke.paint):
            told = known.get(paint)
            if told is None:
                told = known[paint] = tuple(dict.fromkeys(_of_paint(paint)))
            words += told
        raster = item.object.raster
        if item.object.kind is Kind.IMAGE and raster is not None and raster.mask != "stencil":
            words += _word(raster.space)
        for word in dict.fromkeys(words):
            found.setdefault(word, []).append(item)
    return found


def _of_paint(paint: Paint) -> Iterator[str]:
    if paint.kind is PaintKind.NONE:
        return
    if paint.spot is not None or named_colours(paint):
        yield "named"
        return
    for color in (paint.color, *paint.stops):
        if color is not None:
            yield from _word(color.space)


def _word(space: str | None) -> list[str]:
    if space is None or space in _UNKNOWN:
        return []
    return [_WORDS.get(space, "RGB")]
