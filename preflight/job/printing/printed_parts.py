"""The parts of a page's art that leave ink or take it away, as arrays. Knows no limit and no rule."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.artwork import Artwork, Object
from preflight.geometry.extents import object_boxes
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines, offsets_of, ranges
from preflight.job.printing.inks import parts
from preflight.job.printing.laying import Laying, laying
from preflight.job.roles import Role

if TYPE_CHECKING:
    from preflight.job.job import Job

__all__ = ["FAINT", "PrintedParts", "part_boxes", "printed_parts"]

FAINT = "faint image"
"""The cause of doubt where an image fades out."""

_FILTER_REACH = 0.1
"""Of its size, that a filter reaches past what it is applied to where it does not say so itself (Filter Effects 1, 8)."""


class PrintedParts(msgspec.Struct, frozen=True, eq=False):
    """Fills and strokes of printed art in paint order, those that change what is on the sheet.

    Attributes
    ----------
    index : (p,) object of each.
    stroke : (p,) whether it is the object's stroke.
    boxes : (p, 4) mm, never smaller than what is painted: width, caps and miters of strokes included, clips applied.
    adds : (p,) it leaves ink.
    erases : (p,) it takes ink away: white, opaque and without overprint.
    sure : (p,) it does so for sure, all over its shape. What is not sure may do either where it both adds and erases.
    faint : (p,) the shape is where an image is fainter than half opaque. Each image that may be clear has such a part, below the one
        for the rest of it.
    groups : see-through groups each is part of, outermost first; it takes away only what lies beneath it in all of them.
    causes : why it is not sure: a word for the kind, None where it is.
    """

    index: Integers
    stroke: Flags
    boxes: Floats
    adds: Flags
    erases: Flags
    sure: Flags
    faint: Flags
    groups: tuple[tuple[int, ...], ...]
    causes: tuple[str | None, ...]


def printed_parts(job: Job) -> PrintedParts:
    """All parts of role print that are drawn and on layers that print; images and text as well as paths."""
    artwork, looks = job.artwork, job.looks
    # What the parts of an object do hangs on its shade alone.
    of_shade = [_layings(one) for one in looks.shades]
    first = offsets_of(np.array([len(own) for own in of_shade], np.intp))
    strokes = np.array([stroke for own in of_shade for stroke, _ in own], bool)
    effects = [effect for own in of_shade for _, effect in own]
    shown = np.flatnonzero(job.in_role(Role.PRINT) & job.prints)
    shade = looks.shade_of[shown]
    index, effect = np.repeat(shown, np.diff(first)[shade]), ranges(first[shade], first[shade + 1])
    index, effect, faint = _with_faint(artwork, index, effect)
    stroke = strokes[effect] & ~faint
    boxes, there = part_boxes(job, index, stroke)
    index, effect, faint = index[there], effect[there], faint[there]
    causes = [one.cause for one in effects]
    groups = [one.groups for one in looks.shades]
    return PrintedParts(
        index,
        stroke[there],
        boxes[there],
        np.array([one.adds for one in effects], bool)[effect],
        np.array([one.erases for one in effects], bool)[effect],
        np.array([cause is None for cause in causes], bool)[effect] & ~faint,
        faint,
        tuple(map(groups.__getitem__, looks.shade_of[index].tolist())),
        tuple(map([*causes, FAINT].__getitem__, np.where(faint, len(causes), effect).tolist())),
    )


def _with_faint(artwork: Artwork, index: Integers, effect: Integers) -> tuple[Integers, Integers, Flags]:
    """The objects and effects of parts, with those of images where they are faint before them, and (p,) which these are."""
    faint = np.zeros(len(index), bool)
    if not artwork.alphas:
        return index, effect, faint
    clear = np.isin(index, list(artwork.alphas))
    index, effect = np.append(index, index[clear]), np.append(effect, effect[clear])
    faint = np.arange(len(index)) >= len(faint)
    order = np.lexsort((~faint, index))
    return index[order], effect[order], faint[order]


def _layings(drawn: Object) -> list[tuple[bool, Laying]]:
    found = [(part.stroke, laying(part, drawn)) for part in parts(0, drawn)]
    thin = drawn.stroke.width <= 0.0 and not drawn.stroke.hairline
    return [(stroke, effect) for stroke, effect in found if effect is not None and not (stroke and thin)]


def part_boxes(job: Job, index: Integers, stroke: Flags) -> tuple[Floats, Flags]:
    """(k, 4) mm: boxes never smaller than what is painted of the fills and strokes of objects, and (k,) whether anything of them is.

    Parameters
    ----------
    index : (k,) the object of each.
    stroke : (k,) whether it is the stroke.
    """
    artwork, looks = job.artwork, job.looks
    boxes = job.boxes[index]
    reach = np.where(stroke, looks.numbers(_reach)[index], 0.0)
    filtered = looks.flags(lambda one: one.effect == "filter")[index]
    boxes[:, :2] -= reach[:, None]
    boxes[:, 2:] += reach[:, None]
    grown = boxes[filtered]
    size = grown[:, 2:] - grown[:, :2]
    boxes[filtered] = np.hstack([grown[:, :2] - _FILTER_REACH * size, grown[:, 2:] + _FILTER_REACH * size])
    if artwork.clips:
        chosen = [artwork.objects[own].clip for own in index.tolist()]
        clips = np.array([-1 if clip is None else clip for clip in chosen], np.intp)
        clipped = np.flatnonzero(clips >= 0)
        allowed = _clip_boxes(artwork)[clips[clipped]]
        boxes[clipped, :2] = np.maximum(boxes[clipped, :2], allowed[:, :2])
        boxes[clipped, 2:] = np.minimum(boxes[clipped, 2:], allowed[:, 2:])
    return boxes, np.asarray(np.isfinite(boxes).all(axis=1) & (boxes[:, 2:] >= boxes[:, :2]).all(axis=1))


def _reach(drawn: Object) -> float:
    """How far a stroke reaches from its line at most, mm."""
    stroke = drawn.stroke
    reach = stroke.width / 2.0
    if stroke.cap == "square":
        reach *= 2.0**0.5
    if stroke.join not in ("round", "bevel"):
        reach = max(reach, stroke.width / 2.0 * min(stroke.miter_limit, 1e3))
    if stroke.pen is not None:
        reach *= sum(one * one for one in stroke.pen) ** 0.5
    return reach


def _clip_boxes(artwork: Artwork) -> Floats:
    """(c, 4) what the regions of each clip have in common at most; inside out where that is nothing."""
    boxes = object_boxes(Outlines.joined(artwork.clips))
    boxes[~np.isfinite(boxes).all(axis=1)] = (np.inf, np.inf, -np.inf, -np.inf)
    counts = np.array([clip.object_count for clip in artwork.clips], np.intp)
    firsts = np.cumsum(counts) - counts
    return np.hstack(
        [
            np.maximum.reduceat(boxes[:, :2], firsts, axis=0),
            np.minimum.reduceat(boxes[:, 2:], firsts, axis=0),
        ]
    )
