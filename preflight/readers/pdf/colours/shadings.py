"""Shadings and patterns as paints (ISO 32000-1 8.7). Knows no operator; draws nothing.

What a shading paints with is taken from its functions and corners; where on the page which colour lies is not: the
model has no place for it. Axial and radial shadings give the stops of a gradient. Meshes and shadings by
function give some of their colours and a box, and are noted.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pikepdf

from preflight.artwork.model import NO_PAINT, Color, NoteKind, Paint, PaintKind
from preflight.readers.pdf.colours.colour_space import ColourSpace, UnknownSpace
from preflight.readers.pdf.colours.colour_spaces import Colours
from preflight.readers.pdf.colours.ink_spaces import named_inks
from preflight.readers.pdf.colours.meshes import MeshError, mesh_of
from preflight.readers.pdf.colours.shading_extents import (
    EVERYWHERE,
    Box,
    axial_box,
    common_box,
    function_box,
    radial_box,
)
from preflight.readers.pdf.colours.special_spaces import Indexed, PatternSpace
from preflight.readers.pdf.document.resources import Resources
from preflight.readers.pdf.document.values import entry, identity, number, numbers
from preflight.readers.pdf.functions.reading import Floats, Function, FunctionError, function_of, intervals

__all__ = ["Shading", "pattern_paint", "shading_of"]

_BETWEEN = 8
"""Steps a piece of a gradient is looked at in."""
_MOST_PIECES = 64
_GRID = 6
"""Places along each side at which a shading by function is looked at."""
_STRAIGHT = 0.002
"""Half an 8-bit step: as far as a gradient may leave the straight line and still be one."""


class Shading(msgspec.Struct, frozen=True):
    """A shading as it is painted.

    Attributes
    ----------
    paint : `PaintKind.GRADIENT` with its stops; `PaintKind.NONE` where it paints nothing; `PaintKind.UNKNOWN` where it
        could not be read.
    box : x0, y0, x1, y1 in the shading's own space (user space for ``sh``) beyond which it paints nothing;
        ends are ±inf where it has none. The clip in force bounds it further.
    background : what a shading pattern shows where the shading paints nothing, or None; ``sh`` leaves it out.
    """

    paint: Paint
    box: Box
    background: Color | None = None


class _Problem(NamedTuple):
    kind: NoteKind
    what: str
    message: str


class _ShadingError(Exception):
    """The shading is damaged; the message says how, as the end of a sentence."""


_UNREAD = Shading(Paint(PaintKind.UNKNOWN), EVERYWHERE)


def shading_of(value: Any, resources: Resources | None, colours: Colours) -> Shading:
    """The shading of a shading dictionary or stream, for ``sh``; never raises for what the file holds.

    Each shading is read once; what there is to note of it is noted at every place that asks for it.
    """
    if not isinstance(value, (pikepdf.Dictionary, pikepdf.Stream)):
        colours.context.note(NoteKind.FAULT, "shading", "A shading that is painted with is not in the file.")
        return _UNREAD
    key = (identity(value) or value.unparse(), id(resources))
    known = colours.shadings.get(key)
    if known is None:
        known = colours.shadings[key] = (resources, *_read_shading(value, resources, colours))
    _, shading, problems = known
    for problem in problems:
        colours.context.note(*problem)
    return shading


def pattern_paint(
    value: Any,
    resources: Resources | None,
    colours: Colours,
    base: ColourSpace | None = None,
    values: tuple[float, ...] = (),
) -> Paint:
    """The paint of a pattern dictionary, for ``scn`` and ``SCN``; never raises for what the file holds.

    ``base`` is the pattern space's underlying space and ``values`` the numbers before the pattern's name, both
    only for uncoloured tiling patterns.
    """
    kind = entry(value, "/PatternType")
    if kind == 2:
        shading = shading_of(entry(value, "/Shading"), resources, colours)
        if entry(value, "/ExtGState") is not None:
            message = "A shading pattern sets a graphics state of its own, which is not modelled."
            colours.context.note(NoteKind.NOT_MODELLED, "pattern", message)
        if shading.background is None or shading.paint.kind is not PaintKind.GRADIENT:
            return shading.paint
        return msgspec.structs.replace(shading.paint, stops=(*shading.paint.stops, shading.background))
    if kind != 1:
        colours.context.note(
            NoteKind.FAULT, "pattern", "A pattern that is painted with is missing or of no known kind."
        )
        return Paint(PaintKind.UNKNOWN)
    colours.context.note(NoteKind.NOT_MODELLED, "pattern", "A tiling pattern fill is not modelled.")
    own = entry(value, "/Resources")
    if isinstance(own, pikepdf.Dictionary):
        colours.collect(Resources(own))
    if entry(value, "/PaintType") != 2 or base is None:
        return Paint(PaintKind.PATTERN)
    painted = base.paint(values)
    return msgspec.structs.replace(painted, kind=PaintKind.PATTERN) if painted.paints else painted


def _read_shading(
    value: pikepdf.Object, resources: Resources | None, colours: Colours
) -> tuple[Shading, tuple[_Problem, ...]]:
    kind = number(entry(value, "/ShadingType"))
    try:
        space = colours.space_of(entry(value, "/ColorSpace"), resources)
        if isinstance(space, (UnknownSpace, PatternSpace)):
            raise _ShadingError("it has no colour space it could use")
        if kind not in (1, 2, 3, 4, 5, 6, 7):
            raise _ShadingError("there is no shading of its type")
        bounds = numbers(entry(value, "/BBox"))
        box, paint = _Reading(value, int(kind or 0), space, colours).read()
    except (_ShadingError, FunctionError, MeshError, pikepdf.PdfError) as error:
        message = f"A shading cannot be read: {error}."
        return _UNREAD, (_Problem(NoteKind.FAULT, "shading", message),)
    if bounds is not None and len(bounds) == 4:
        box = common_box(box, (min(bounds[::2]), min(bounds[1::2]), max(bounds[::2]), max(bounds[1::2])))
    background = numbers(entry(value, "/Background"))
    behind = space.color(space.fitted(background)) if background else None
    return Shading(paint, box, behind), _limits_of(int(kind or 0))


def _limits_of(kind: int) -> tuple[_Problem, ...]:
    if kind in (2, 3):
        return ()
    words = "A shading by function" if kind == 1 else "A mesh shading"
    message = (
        f"{words} (type {kind}) is taken as the box round it; where it paints which colour is not modelled."
    )
    return (_Problem(NoteKind.NOT_MODELLED, "shading", message),)


class _Reading:
    """Reads one shading."""

    def __init__(self, value: pikepdf.Object, kind: int, space: ColourSpace, colours: Colours) -> None:
        self._value = value
        self._kind = kind
        self._space = space
        self._colours = colours
        given = entry(value, "/Function")
        self._function = None if given is None else function_of(given, colours.context.streams)
        if self._function is not None:
            self._check_function(self._function)

    def _check_function(self, function: Function) -> None:
        inputs = 2 if self._kind == 1 else 1
        if function.inputs != inputs or function.outputs < self._space.components:
            raise _ShadingError(
                f"its function makes {function.outputs} numbers of {function.inputs} "
                f"where {self._space.components} of {inputs} belong"
            )
        for remark in function.remarks:
            self._colours.say(NoteKind.ASSUMED, "shading", remark)

    def read(self) -> tuple[Box, Paint]:
        """The box of the shading, and its paint."""
        if self._kind == 1:
            return self._by_function()
        if self._kind in (2, 3):
            return self._along_a_line()
        return self._mesh()

    def _by_function(self) -> tuple[Box, Paint]:
        if self._function is None:
            raise _ShadingError("it has no function")
        given = entry(self._value, "/Domain")
        domain = np.array([[0.0, 1.0], [0.0, 1.0]]) if given is None else intervals(given, "Domain")
        if domain.shape != (2, 2):
            raise _ShadingError("Domain is not two pairs of numbers")
        matrix = numbers(entry(self._value, "/Matrix")) or [1.0, 0.0, 0.0, 1.0, 0.0, 0.0]
        if len(matrix) != 6:
            raise _ShadingError("Matrix is not six numbers")
        (left, right), (top, bottom) = domain.tolist()
        across, down = np.meshgrid(np.linspace(left, right, _GRID), np.linspace(top, bottom, _GRID))
        values = self._function(np.stack([across.ravel(), down.ravel()], axis=1))
        return function_box(domain, matrix), self._gradient(values)

    def _along_a_line(self) -> tuple[Box, Paint]:
        if self._function is None:
            raise _ShadingError("it has no function")
        wanted = 4 if self._kind == 2 else 6
        place = numbers(entry(self._value, "/Coords"))
        if place is None or len(place) != wanted:
            raise _ShadingError(f"Coords is not {wanted} numbers")
        given = entry(self._value, "/Extend")
        ends = list(given) if isinstance(given, pikepdf.Array) and len(given) == 2 else [False, False]
        extend = (ends[0] is True, ends[1] is True)
        given = entry(self._value, "/Domain")
        domain = np.array([[0.0, 1.0]]) if given is None else intervals(given, "Domain")
        if domain.shape != (1, 2):
            raise _ShadingError("Domain is not one pair of numbers")
        if self._kind == 3 and (place[2] < 0 or place[5] < 0):
            raise _ShadingError("it has a circle with a radius below 0")
        box = axial_box(place, extend) if self._kind == 2 else radial_box(place, extend)
        if box is None:  # no length and no area: "nothing shall be painted" (8.7.4.5.3)
            return EVERYWHERE, NO_PAINT
        return box, self._gradient(self._stops(self._function, float(domain[0, 0]), float(domain[0, 1])))

    def _stops(self, function: Function, low: float, high: float) -> Floats:
        """Colours at the ends of each straight piece, and in between where a piece is not straight."""
        breaks = [place for place in function.breaks() if low < place < high]
        if len(breaks) > _MOST_PIECES:
            breaks = np.linspace(low, high, _MOST_PIECES + 1)[1:-1].tolist()
        found: list[Floats] = []
        for start, end in zip([low, *breaks], [*breaks, high], strict=True):
            # The end of a piece is taken from inside it: the bound itself belongs to the next one.
            last = end if end == high else math.nextafter(end, start)
            values = function(np.linspace(start, last, _BETWEEN + 1)[:, None])
            straight = values[0] + np.linspace(0, 1, _BETWEEN + 1)[:, None] * (values[-1] - values[0])
            if np.abs(values - straight).max() <= _STRAIGHT * max(1.0, float(np.abs(values).max())):
                values = values[[0, -1]]
            if found and np.abs(found[-1][-1] - values[0]).max() <= _STRAIGHT:
                values = values[1:]
            found.append(values)
        return np.concatenate(found)

    def _mesh(self) -> tuple[Box, Paint]:
        if not isinstance(self._value, pikepdf.Stream):
            raise _ShadingError("it is a mesh without data")
        unpacked = self._colours.context.streams.unpacked(self._value)
        components = 1 if self._function is not None else self._space.components
        mesh = mesh_of(self._kind, self._value, unpacked.data, components)
        if unpacked.fault:
            self._colours.say(NoteKind.FAULT, "shading", f"{unpacked.fault}, of a mesh shading.")
        elif mesh.left_over > 2:  # a line end is allowed for
            message = f"The data of a mesh shading end inside a vertex or patch ({mesh.left_over} bytes)."
            self._colours.say(NoteKind.FAULT, "shading", message)
        if self._function is not None:
            return mesh.box, self._gradient(self._function(mesh.colours))
        return mesh.box, self._gradient(mesh.colours, mesh.highest)

    def _gradient(self, values: Floats, highest: Floats | None = None) -> Paint:
        """A gradient of the colours (k, components), which need not be all it paints."""
        space = self._space
        rows = [space.fitted(row[: space.components]) for row in values.tolist()]
        if isinstance(space, Indexed):
            rows = [space.entry(row) for row in rows]
            space, values, highest = space.base, np.array(rows), None
        stops = tuple(space.color(row) for row in rows)
        if not space.colorants:
            return Paint(PaintKind.GRADIENT, stops=stops)
        tints = (values if highest is None else np.vstack([values, highest])).max(axis=0)
        named = named_inks(space.colorants, space.fitted(tints[: space.components].tolist()))
        if named is None:
            return NO_PAINT
        return Paint(PaintKind.GRADIENT, None, named.spot, named.tint, stops, named.inks)
