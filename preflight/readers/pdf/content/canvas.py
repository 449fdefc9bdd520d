"""The page as it fills up: objects in paint order, their shapes and clips; joined into Artwork once. Knows no operator."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np

from preflight.artwork.model import (
    NO_PAINT,
    Alpha,
    Artwork,
    Box,
    InkPixels,
    Kind,
    Layer,
    NoteKind,
    Object,
    Origin,
    Page,
    Paint,
    Spot,
    Stroke,
)
from preflight.geometry.outlines import Flags, Outlines
from preflight.readers.clipping import clipped_away
from preflight.readers.coordinates import sane
from preflight.readers.errors import Unreadable
from preflight.readers.matrices import Matrix, mean_scale, pen, uneven
from preflight.readers.pdf.content.paths import Paths
from preflight.readers.pdf.content.state import GraphicsState
from preflight.readers.pdf.document.context import Context

__all__ = ["Canvas"]

_CAPS = ("butt", "round", "square")
_JOINS = ("miter", "round", "bevel")
_NO_STROKE = Stroke()
_STEPS = 2
"""What an object takes beside its operator."""
_CHAIN_STEPS = 32
"""What another combination of clips takes: where they come to an end has to be worked out."""
_MOST_CLIPS = 256
"""Clips inside one another; real files stay below thirty."""


class Canvas:
    """Collects what a page draws, hidden things included.

    ``objects`` and ``shapes`` (the number of each object's shape in ``paths``) run in step. ``layer`` and ``hidden``
    are what the marked content in force says of whatever is drawn.

    Parameters
    ----------
    visible : what a viewer shows of the page, in default user space.
    matrix : from there to mm.
    """

    def __init__(self, context: Context, visible: Box, matrix: Matrix) -> None:
        self.context = context
        self._visible = visible
        self._matrix = matrix
        self.paths = Paths(context.limits, context.deadline)
        self.objects: list[Object] = []
        self.shapes: list[int] = []
        self.alphas: dict[int, Alpha] = {}
        self.inks: dict[int, InkPixels] = {}
        self._grouped = 0
        self.layer: int | None = None
        self.hidden: str | None = None
        self._clips: list[tuple[int, str]] = []
        self._clip_numbers: dict[Any, int] = {}
        self._chains: dict[tuple[int, ...], int] = {}
        self._chained = 0
        self._strokes: dict[Any, Stroke] = {}

    def add(
        self,
        kind: Kind,
        origin: Origin,
        shape: int,
        state: GraphicsState,
        *,
        fill: Paint = NO_PAINT,
        stroke: Stroke = _NO_STROKE,
        **facts: Any,
    ) -> None:
        """Put one object on the page.

        Parameters
        ----------
        shape : its number in ``paths``.
        state : gives clips, opacity, blend and overprint.
        facts : further fields of `Object`.

        Raises
        ------
        Unreadable
            The page holds too many.
        """
        self.context.workload.take(_STEPS)
        self.objects.append(
            Object(
                kind=kind,
                origin=origin,
                layer=self.layer,
                fill=fill,
                fill_opacity=state.fill_alpha,
                stroke=stroke,
                opacity=state.group_alpha,
                blend=state.blend if state.blend != "normal" else state.group_blend,
                overprint=state.overprint,
                overprint_mode=state.overprint_mode,
                clip=self._chain(state.clips),
                effect="soft mask" if state.soft_mask else state.group_effect,
                groups=state.groups,
                hidden=self.hidden,
                **facts,
            )
        )
        self.shapes.append(shape)
        if len(self.objects) > self.context.limits.objects:
            raise self._too_many("objects")

    def new_group(self) -> int:
        """A number for a see-through group."""
        self._grouped += 1
        return self._grouped

    def stroke(self, state: GraphicsState) -> Stroke:
        """The stroke in force, lengths in mm."""
        matrix = state.matrix
        key = (
            state.stroke,
            matrix[:4],
            state.line_width,
            state.line_cap,
            state.line_join,
            state.miter_limit,
            state.dash,
            state.dash_phase,
            state.stroke_alpha,
            state.stroke_overprint,
        )
        known = self._strokes.get(key)
        if known is None:
            known = self._strokes[key] = _stroke(state)
        return known

    def clipped(self, clips: tuple[int, ...], rule: str, shape: int | None = None) -> tuple[int, ...]:
        """Clips narrowed by a shape; by the path under construction, which stays pending, where none is given."""
        key: Any = None
        if shape is None:
            # Writers set the same rectangle again and again: it is one clip.
            key = (self.paths.rectangle() or tuple(self.paths.pending), rule)
            number = self._clip_numbers.get(key)
            if number is not None:
                return self._narrowed(clips, number)
            pending = list(self.paths.pending)
            shape = self.paths.finish()
            self.paths.pending = pending
        number = len(self._clips)
        self._clips.append((shape, rule))
        if key is not None:
            self._clip_numbers[key] = number
        return self._narrowed(clips, number)

    def _narrowed(self, clips: tuple[int, ...], number: int) -> tuple[int, ...]:
        if number in clips:
            return clips
        if len(clips) < _MOST_CLIPS:
            return (*clips, number)
        message = f"More than {_MOST_CLIPS} clips lie inside one another; the innermost are not applied."
        self.context.not_modelled("clip", message, once=True)
        return clips

    def clipped_to_box(self, clips: tuple[int, ...], box: Box, matrix: Matrix) -> tuple[int, ...]:
        """Clips narrowed by a box in the space of a matrix to mm."""
        key = (box, matrix)
        number = self._clip_numbers.get(key)
        if number is not None:
            return self._narrowed(clips, number)
        self._clip_numbers[key] = len(self._clips)
        return self.clipped(clips, "nonzero", self.paths.box(box, matrix))

    def clip_shape(self, clips: tuple[int, ...]) -> int | None:
        """Number of the shape of the innermost clip, or None where nothing is clipped."""
        return self._clips[clips[-1]][0] if clips else None

    def page_shape(self) -> int:
        """Number of the shape of all that a viewer shows of the page."""
        return self.paths.box(self._visible, self._matrix)

    def _chain(self, clips: tuple[int, ...]) -> int | None:
        """Number of a chain of clips, or None for the empty one."""
        if not clips:
            return None
        number = self._chains.get(clips)
        if number is None:
            self.context.workload.take(_CHAIN_STEPS + len(clips))
            number = self._chains[clips] = len(self._chains)
            self._chained += len(clips)
            if self._chained > self.context.limits.objects:
                raise self._too_many("clips")
        return number

    def _too_many(self, what: str) -> Unreadable:
        return Unreadable(
            f"The page draws more than the limit of {self.context.limits.objects:,} {what}",
            f"page {self.context.page}",
            "Simplify the artwork, or raise [limits] objects in the profile.",
        )

    def finished(self, page: Page, layers: Sequence[Layer], spots: Sequence[Spot]) -> Artwork:
        """The page as Artwork; the context's notes are complete afterwards.

        Raises
        ------
        Unreadable
            There are more segments than the limit.
        """
        self.context.deadline.check()
        limit = self.context.limits.coordinate
        outlines, absurd = sane(self.paths.built(np.array(self.shapes, np.intp)), limit)
        self._say_what_is_broken(outlines, absurd)
        clips, rules = self._joined_clips()
        clipped = clipped_away(self.objects, outlines, clips, rules, self.context.deadline.check)
        for index in clipped.away:
            self.objects[index] = msgspec.structs.replace(self.objects[index], clipped_away=True)
        for index, message in clipped.notes():
            self.context.note(NoteKind.NOT_MODELLED, "clip", message, self.objects[index].origin)
        return Artwork(
            page=page,
            layers=tuple(layers),
            spots=tuple(spots),
            objects=tuple(self.objects),
            outlines=outlines,
            clips=tuple(clips),
            clip_rules=tuple(rules),
            notes=self.context.all_notes(),
            alphas=self.alphas,
            inks=self.inks,
        )

    def _say_what_is_broken(self, outlines: Outlines, absurd: Flags) -> None:
        faults = {
            index: "the path does not start with a moveto; drawn from its second point on"
            for index, shape in enumerate(self.shapes)
            if shape in self.paths.headless
        }
        faults |= dict.fromkeys(
            np.flatnonzero(absurd).tolist(),
            "coordinates that are no numbers or lie absurdly far away; the object is left out",
        )
        for index in np.flatnonzero(np.diff(outlines.object_offsets) == 0).tolist():
            faults.setdefault(index, "there is nothing to draw")
        for index, fault in sorted(faults.items()):
            one = self.objects[index]
            self.objects[index] = msgspec.structs.replace(one, broken=one.broken or fault)
            self.context.note(NoteKind.FAULT, "path", f"{fault[0].upper()}{fault[1:]}.", one.origin)

    def _joined_clips(self) -> tuple[list[Outlines], list[tuple[str, ...]]]:
        """Outlines and fill rules of each chain of clips."""
        chains = list(self._chains)
        flat = [self._clips[number][0] for chain in chains for number in chain]
        regions, _ = sane(self.paths.built(np.array(flat, np.intp)), self.context.limits.coordinate)
        clips, rules, at = [], [], 0
        for chain in chains:
            clips.append(_part(regions, at, at + len(chain)))
            rules.append(tuple(self._clips[number][1] for number in chain))
            at += len(chain)
        return clips, rules


def _stroke(state: GraphicsState) -> Stroke:
    scale = mean_scale(state.matrix)
    dash = tuple(length * scale for length in state.dash)
    return Stroke(
        paint=state.stroke,
        width=state.line_width * scale,
        cap=_CAPS[state.line_cap],
        join=_JOINS[state.line_join],
        miter_limit=state.miter_limit,
        dash=dash + dash if len(dash) % 2 else dash,
        dash_offset=state.dash_phase * scale,
        opacity=state.stroke_alpha,
        uneven=uneven(state.matrix),
        pen=pen(state.matrix) if uneven(state.matrix) else None,
        hairline=state.line_width == 0.0,
        overprint=state.stroke_overprint,
    )


def _part(outlines: Outlines, first: int, last: int) -> Outlines:
    """Objects ``first`` up to ``last``: views, since there may be thousands of parts."""
    contours = slice(outlines.object_offsets[first], outlines.object_offsets[last])
    low, high = outlines.contour_offsets[contours.start], outlines.contour_offsets[contours.stop]
    return Outlines(
        segments=outlines.segments[low:high],
        straight=outlines.straight[low:high],
        contour_offsets=outlines.contour_offsets[contours.start : contours.stop + 1] - low,
        object_offsets=outlines.object_offsets[first : last + 1] - contours.start,
        starts=outlines.starts[contours],
        closed=outlines.closed[contours],
        gaps=outlines.gaps[contours],
    )
