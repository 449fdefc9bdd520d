"""From what the walk recorded to Artwork: all curves at once, clips, faults of geometry. Knows no XML."""

from __future__ import annotations

import msgspec
import numpy as np

from preflight.artwork.model import Artwork, NoteKind, Page
from preflight.geometry import extents, transform
from preflight.geometry.outlines import Flags, Outlines
from preflight.readers.clipping import clipped_away
from preflight.readers.coordinates import sane
from preflight.readers.errors import Unreadable
from preflight.readers.svg.canvas import Canvas
from preflight.readers.svg.clip import ClipNode, Regions
from preflight.readers.svg.context import Context
from preflight.readers.svg.page import PageFrame

__all__ = ["assembled"]


def assembled(canvas: Canvas, frame: PageFrame) -> Artwork:
    """The finished page."""
    context = canvas.context
    shapes = context.curves.built()
    matrices = np.array(canvas.matrices, np.float64).reshape(-1, 6)
    with np.errstate(over="ignore", invalid="ignore"):
        outlines = transform.apply(shapes.of_objects(np.array(canvas.curves, np.intp)), matrices)
    if len(outlines.segments) > context.limits.path_segments:
        raise Unreadable(
            f"The page holds {len(outlines.segments):,} segments, above the limit of {context.limits.path_segments:,}",
            None,
            "Simplify the artwork, or raise [limits] path_segments in the profile.",
        )
    outlines, absurd = sane(outlines, context.limits.coordinate)
    objects = canvas.objects
    _say_what_is_broken(canvas, absurd)
    clips = _Clips(context, shapes, outlines, list(canvas.chains))
    clipped = clipped_away(objects, outlines, clips.outlines, clips.rules, context.deadline.check)
    for index in clipped.away:
        objects[index] = msgspec.structs.replace(objects[index], clipped_away=True)
    for index, message in clipped.notes():
        context.note(NoteKind.NOT_MODELLED, "clip", message, objects[index].origin)
    alphas = canvas.alphas
    if canvas.borne:
        order = canvas.paint_order()
        alphas = {place: alphas[index] for place, index in enumerate(order) if index in alphas}
        objects = [objects[index] for index in order]
        outlines = outlines.of_objects(np.array(order, np.intp))
    return Artwork(
        page=frame.page if frame.sized else _grown(frame.page, outlines),
        layers=tuple(canvas.layers.found),
        spots=tuple(context.paints.spots.values()),
        objects=tuple(objects),
        outlines=outlines,
        clips=tuple(clips.outlines),
        clip_rules=tuple(clips.rules),
        notes=tuple(context.notes),
        alphas=alphas,
    )


def _say_what_is_broken(canvas: Canvas, absurd: Flags) -> None:
    """Mark and note objects whose path data breaks off, and those that lie beyond all reason."""
    objects, faults = canvas.objects, canvas.context.curves.faults
    if faults:
        for index, curve in enumerate(canvas.curves):
            fault = faults.get(curve)
            if fault:
                objects[index] = msgspec.structs.replace(objects[index], broken=fault)
                message = f"{fault[0].upper()}{fault[1:]}."
                canvas.context.note(NoteKind.FAULT, "path", message, objects[index].origin)
    for index in np.flatnonzero(absurd).tolist():
        fault = "coordinates that are no numbers or lie absurdly far away; the object is left out"
        objects[index] = msgspec.structs.replace(objects[index], broken=fault)
        message = "Coordinates are no numbers or lie absurdly far away; the object is left out."
        canvas.context.note(NoteKind.FAULT, "coordinates", message, objects[index].origin)


def _grown(page: Page, outlines: Outlines) -> Page:
    """A page that states no size at all holds at least what is drawn on it."""
    boxes = extents.object_boxes(outlines)
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if not len(boxes):
        return page
    right, bottom = boxes[:, 2:].max(axis=0).tolist()
    return msgspec.structs.replace(page, width=max(page.width, right), height=max(page.height, bottom))


class _Clips:
    """Distinct chains of clips as they go into the model."""

    def __init__(
        self, context: Context, shapes: Outlines, drawn: Outlines, chains: list[tuple[ClipNode, ...]]
    ) -> None:
        self.outlines: list[Outlines] = []
        self.rules: list[tuple[str, ...]] = []
        regions = Regions((node for chain in chains for node in chain), shapes, drawn)
        for chain in chains:
            context.deadline.check()
            found = [region for node in chain for region in regions.of(node)]
            self.outlines.append(
                found[0][0] if len(found) == 1 else Outlines.joined([outline for outline, _ in found])
            )
            self.rules.append(tuple(rule for _, rule in found))
        for node in regions.unresolved:
            message = (
                "The shapes of the clip cross too often for its region to be worked out; nothing is clipped."
            )
            context.note(NoteKind.NOT_MODELLED, "clip-path", message, node.element)
