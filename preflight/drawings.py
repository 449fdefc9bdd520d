"""Pictures of pages and path data of their cut contours, for reports that draw. Knows no report format."""

from __future__ import annotations

from preflight.geometry.outlines import Outlines
from preflight.job import Job
from preflight.reports.report import Drawing, StepDrawing

__all__ = ["drawing", "path_data"]


def drawing(job: Job, picture: str | None) -> Drawing:
    """The page's picture with the cut contours of each step, hidden ones left out."""
    cuts = job.cuts
    data = path_data(cuts.outlines)
    steps = [
        StepDrawing(
            step=step, paths=tuple(data[index] for index, own in enumerate(cuts.steps) if own == step)
        )
        for step in sorted(set(cuts.steps))
    ]
    page = job.artwork.page
    return Drawing(page=page.number, size_mm=(page.width, page.height), picture=picture, steps=tuple(steps))


def path_data(outlines: Outlines) -> list[str]:
    """SVG path data of each contour in the outlines' unit, rounded to a thousandth."""
    # String making, not arithmetic: a loop over segments is as fast as any array step could be.
    offsets = outlines.contour_offsets.tolist()
    segments = outlines.segments.round(3).tolist()
    straight = outlines.straight.tolist()
    data = []
    for index, (start, closed) in enumerate(
        zip(outlines.starts.round(3).tolist(), outlines.closed.tolist(), strict=True)
    ):
        parts = [f"M{start[0]:.8g} {start[1]:.8g}"]
        for number in range(offsets[index], offsets[index + 1]):
            _, first, second, end = segments[number]
            if straight[number]:
                parts.append(f"L{end[0]:.8g} {end[1]:.8g}")
            else:
                parts.append(
                    f"C{first[0]:.8g} {first[1]:.8g} {second[0]:.8g} {second[1]:.8g} {end[0]:.8g} {end[1]:.8g}"
                )
        data.append("".join(parts) + ("Z" if closed else ""))
    return data
