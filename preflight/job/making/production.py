"""What the job takes to make, as data: pieces, cut lengths, the cutter's time, the roll. Knows no limit and no rule."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["Production", "RollUse", "StepProduction", "production"]

_COPIES_WITHIN = 0.05
"""mm. Copies of a contour this close free the same piece (contour-duplicate's default)."""


class StepProduction(msgspec.Struct, frozen=True, kw_only=True):
    """Figures of one processing step for all copies asked for.

    ``lifts`` is how often the knife is set down and lifted, once a contour. ``time_s`` is what it takes at the profile's speed, lifts
    included; None where the profile states no speed for the step.
    """

    step: str
    pieces: int
    contours: int
    cut_length_mm: float
    lifts: int = 0
    time_s: float | None = None


class RollUse(msgspec.Struct, frozen=True, kw_only=True):
    """The roll that the copies take: side by side in ``columns``, one after the other in ``rows``.

    ``frame_mm`` is the width and height each copy takes, turned as asked. ``width_mm`` is the media's, ``length_mm`` includes
    lead and tail margins, ``area_m2`` is of both. ``waste`` is the share of it that ends in no piece, 0–1; None where nothing is cut
    out.
    """

    frame_mm: tuple[float, float]
    columns: int
    rows: int
    width_mm: float
    length_mm: float
    area_m2: float
    waste: float | None = None


class Production(msgspec.Struct, frozen=True):
    """Production figures of one page for all copies asked for.

    ``time_s`` is the cutter's for all steps, None where nothing is cut or the speed of a step is not known. ``roll`` is None where the
    profile states no media width, or not one copy fits: ``fits`` then is false.
    """

    steps: tuple[StepProduction, ...] = ()
    copies: int = 1
    time_s: float | None = None
    roll: RollUse | None = None
    fits: bool = True


def production(job: Job) -> Production:
    """The figures of a page."""
    copies = job.profile.job.copies
    steps = _steps(job, copies, job.profile.cutter.speed, job.profile.cutter.lift_time)
    times = [step.time_s for step in steps if step.time_s is not None]
    time = round(sum(times), 1) if steps and len(times) == len(steps) else None
    if job.profile.media.width is None:
        return Production(steps, copies, time)
    roll = _roll(job)
    return Production(steps, copies, time, roll, roll is not None)


def _steps(job: Job, copies: int, speeds: dict[str, float], lift_time: float) -> tuple[StepProduction, ...]:
    cuts = job.cuts
    if not cuts.contours:
        return ()
    pieces = cuts.pieces(_COPIES_WITHIN)
    for step in job.common_lines.steps:
        pieces[step] = sum(job.pieces.step(piece) == step for piece in range(len(job.pieces.regions)))
    lengths = cuts.lengths.tolist()
    filled = (cuts.outlines.segment_counts > 0).tolist()
    steps = []
    for step, count in sorted(pieces.items()):
        own = [index for index, name in enumerate(cuts.steps) if name == step]
        length = copies * sum(lengths[index] for index in own)
        lifts = copies * sum(filled[index] for index in own)
        speed = speeds.get(step)
        steps.append(
            StepProduction(
                step=step,
                pieces=copies * count,
                contours=copies * len(own),
                cut_length_mm=round(length, 2),
                lifts=lifts,
                time_s=None if speed is None else round(length / speed + lifts * lift_time, 1),
            )
        )
    return tuple(steps)


def _roll(job: Job) -> RollUse | None:
    layout = job.sheet.layout
    if layout is None:
        return None
    from preflight.job.cutting.piece_area import outer_area  # only where there is a roll to compare it with

    pieces = layout.copies * outer_area(job)
    return RollUse(
        frame_mm=(round(layout.frame[0], 4), round(layout.frame[1], 4)),
        columns=layout.columns,
        rows=layout.rows,
        width_mm=round(layout.width, 4),
        length_mm=round(layout.length, 2),
        area_m2=round(layout.area / 1e6, 4),
        waste=None if pieces <= 0.0 else round(1.0 - pieces / layout.area, 4),
    )
