"""The parts of a page's art that leave ink or take it away, as arrays. Knows no limit and no rule."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from preflight.artwork import Artwork, Object
from preflight.geometry.extents import object_boxes
from preflight.geometry.outlines import Flags, Floats, Integers, Outlines
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
    artwork = job.artwork
    found: list[tuple[int, bool, Laying]] = []
    known: dict[object, list[tuple[bool, Laying]]] = {}
    for index, (drawn, assignment) in enumerate(zip(artwork.objects, job.assignments, strict=True)):
        if assignment.role is not Role.PRINT or not artwork.prints(drawn):
            continue
        key = _look(drawn)
        layings = known.get(key)
        if layings is None:
            layings = known[key] = _layings(index, drawn)
        if index in artwork.alphas:
            found += [(index, False, Laying(effect.adds, effect.erases, FAINT)) for _, effect in layings]
        found += [(index, stroke, effect) for stroke, effect in layings]
    boxes, there = part_boxes(artwork, job.boxes, [(index, stroke) for index, stroke, _ in found])
    kept = [found[row] for row in np.flatnonzero(there).tolist()]
    return PrintedParts(
        np.array([index for index, _, _ in kept], np.intp),
        np.array([stroke for _, stroke, _ in kept], bool),
        boxes[there],
        np.array([effect.adds for _, _, effect in kept], bool),
        np.array([effect.erases for _, _, effect in kept], bool),
        np.array([effect.cause is None for _, _, effect in kept], bool),
        np.array([effect.cause == FAINT for _, _, effect in kept], bool),
        tuple([artwork.objects[index].groups for index, _, _ in kept]),
        tuple([effect.cause for _, _, effect in kept]),
    )


def _look(drawn: Object) -> object:
    """What decides how an object's parts are laid; paints are told apart as objects, since most are shared."""
    return (
        drawn.kind,
        id(drawn.fill),
        id(drawn.stroke),
        drawn.fill_opacity,
        drawn.opacity,
        bool(drawn.groups),
        drawn.blend,
        drawn.overprint,
        drawn.overprint_mode,
        drawn.effect,
        drawn.boxed,
        drawn.broken is None,
        drawn.absent is None,
        drawn.pixel_size is None,
        drawn.raster,
    )


def _layings(index: int, drawn: Object) -> list[tuple[bool, Laying]]:
    found = [(part.stroke, laying(part, drawn)) for part in parts(index, drawn)]
    thin = drawn.stroke.width <= 0.0 and not drawn.stroke.hairline
    return [(stroke, effect) for stroke, effect in found if effect is not None and not (stroke and thin)]


def part_boxes(artwork: Artwork, extents: Floats, parts: Sequence[tuple[int, bool]]) -> tuple[Floats, Flags]:
    """(k, 4) mm: boxes never smaller than what is painted of the fills and strokes of objects, and (k,) whether anything of them is.

    Parameters
    ----------
    extents : (o, 4) mm, of the curves of all objects.
    parts : the object of each, and whether it is the stroke.
    """
    objects = artwork.objects
    index = np.array([index for index, _ in parts], np.intp)
    boxes = extents[index]
    reach = np.array([_reach(objects[index]) if stroke else 0.0 for index, stroke in parts])
    filtered = np.array([objects[index].effect == "filter" for index, _ in parts], bool)
    boxes[:, :2] -= reach[:, None]
    boxes[:, 2:] += reach[:, None]
    grown = boxes[filtered]
    size = grown[:, 2:] - grown[:, :2]
    boxes[filtered] = np.hstack([grown[:, :2] - _FILTER_REACH * size, grown[:, 2:] + _FILTER_REACH * size])
    clips = np.array([-1 if (clip := objects[index].clip) is None else clip for index, _ in parts], np.intp)
    clipped = np.flatnonzero(clips >= 0)
    if len(clipped):
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
