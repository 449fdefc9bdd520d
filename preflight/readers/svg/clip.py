"""Clip paths and viewport clips: collected while walking, turned into regions once the curves are known."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from lxml import etree

from preflight.artwork.model import NoteKind
from preflight.geometry import extents, transform
from preflight.geometry.outlines import Outlines
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.context import Context, local_name
from preflight.readers.svg.paint import target
from preflight.readers.svg.shapes import SHAPES
from preflight.readers.svg.transforms import own_transform
from preflight.readers.svg.units import IDENTITY, Matrix, inverted, multiplied

if TYPE_CHECKING:
    from preflight.geometry.effort import Effort

__all__ = ["ClipNode", "ClipShape", "Regions", "clip_of", "viewport_clip"]

_DEEPEST = 100
"""Clip paths that refer to one another."""

_FAR = 1e7
"""mm. Beyond whatever a page may hold."""


class ClipShape(msgspec.Struct, eq=False):
    """One shape of a clip path: its number, matrix to the page, fill rule, and its own clips."""

    curve: int
    matrix: Matrix
    rule: str
    clips: tuple[ClipNode, ...] = ()


class ClipNode(msgspec.Struct, eq=False):
    """One clip as it applies to one place.

    ``unit_box`` is the matrix of the user space whose box the clip is measured in
    (``clipPathUnits="objectBoundingBox"``); the shapes' matrices then start inside that box and
    ``first``/``last`` say which objects make up the box. ``element`` is the clip path, None for that of a viewport.
    """

    shapes: list[ClipShape] = msgspec.field(default_factory=list)
    parents: tuple[ClipNode, ...] = ()
    unit_box: Matrix | None = None
    first: int = 0
    last: int = 0
    element: etree._Element | None = None


def viewport_clip(context: Context, width: float, height: float, matrix: Matrix) -> ClipNode:
    """The clip a nested viewport makes, its corner at the origin of ``matrix``."""
    corner = context.curves.rectangle(0.0, 0.0, width, height)
    return ClipNode([ClipShape(corner, matrix, "nonzero")])


def clip_of(
    context: Context,
    address: str,
    user: Matrix,
    place: etree._Element,
    active: tuple[etree._Element, ...] = (),
) -> ClipNode | None:
    """The clip an element asks for; None where there is none to apply (a note then says why).

    Parameters
    ----------
    address : value of ``clip-path``.
    user : matrix from the user space of the element to the page.
    active : clip paths being read, to refuse loops.
    """
    element = context.ids.get(address[1:]) if address.startswith("#") else None
    if element is None or local_name(element) != "clipPath":
        known = address.startswith("#")
        context.note(
            NoteKind.FAULT if known else NoteKind.NOT_MODELLED,
            "clip-path",
            f"The clip path “{address[:60]}” is not in the file; nothing is clipped."
            if known
            else f"A clip path of the form “{address[:60]}” is not modelled; nothing is clipped.",
            place,
        )
        return None
    if element in active:
        context.note(NoteKind.FAULT, "clip-path", "A clip path refers to itself; nothing is clipped.", place)
        return None
    in_box = element.get("clipPathUnits") == "objectBoundingBox"
    key = (element, user, in_box)
    if not in_box and key in context.clips:
        return context.clips[key]
    if len(active) >= _DEEPEST:
        message = f"More than {_DEEPEST} clip paths clip one another; those beyond are left out."
        context.note(NoteKind.NOT_MODELLED, "clip-path", message, place)
        return None
    style = context.outside_style(element)
    own = own_transform(context, element, style, (1.0, 1.0) if in_box else context.viewport)
    node = ClipNode(unit_box=user if in_box else None, element=element)
    base = own if in_box else multiplied(user, own)
    active = (*active, element)
    if style.clip_path:
        parent = clip_of(context, style.clip_path, user, element, active)
        node.parents = (parent,) if parent else ()
    for child in element:
        if isinstance(child.tag, str):
            _add(context, node, child, style, base, active)
    if not in_box:
        context.clips[key] = node
    return node


def _add(
    context: Context,
    node: ClipNode,
    child: etree._Element,
    parent: Style,
    base: Matrix,
    active: tuple[etree._Element, ...],
) -> None:
    context.count_expanded()
    name = local_name(child)
    style = context.cascade.style_of(child, parent)
    if not style.displayed:
        return
    matrix = multiplied(base, own_transform(context, child, style, context.viewport))
    shape = child
    if name == "use":
        address = target(child) or ""
        found = context.ids.get(address[1:]) if address.startswith("#") else None
        if found is None or local_name(found) not in SHAPES | {"text"}:
            context.note(
                NoteKind.FAULT, "use", "A <use> in a clip path refers to no shape; it is left out.", child
            )
            return
        x, y = context.value(child, style, "x", "x") or 0.0, context.value(child, style, "y", "y") or 0.0
        matrix = multiplied(matrix, (1, 0, 0, 1, x, y))
        shape = found
        style = context.cascade.style_of(found, style)
        if not style.displayed:
            return
        matrix = multiplied(matrix, own_transform(context, found, style, context.viewport))
    if local_name(shape) == "text":
        context.note(NoteKind.NOT_MODELLED, "text", "Text used as a clip path is not modelled.", child)
        return
    if local_name(shape) not in SHAPES or not style.visible:
        return
    curve, _ = context.shape(shape, local_name(shape), style, shape.get("d"))
    clips: tuple[ClipNode, ...] = ()
    if style.clip_path:
        own = clip_of(context, style.clip_path, matrix, child, active)
        clips = (own,) if own else ()
    node.shapes.append(ClipShape(curve, matrix, style["clip-rule"], clips))


class Regions:
    """Turns clips into regions once the curves are known; those of one plain shape all at once.

    Parameters
    ----------
    shapes : curves of every shape, user units.
    drawn : curves of the objects on the page, for clips measured in the box of what they clip.
    """

    def __init__(self, nodes: Iterable[ClipNode], shapes: Outlines, drawn: Outlines) -> None:
        self._shapes = shapes
        self._drawn = drawn
        self._effort: Effort | None = None
        self._made: dict[ClipNode, tuple[Outlines, str]] = {}
        self.unresolved: list[ClipNode] = []
        """Clips whose shapes cross so often that they were taken to clip nothing."""
        plain = [node for node in dict.fromkeys(nodes) if _is_plain(node)]
        curves = np.array([node.shapes[0].curve for node in plain], np.intp)
        matrices = np.array([node.shapes[0].matrix for node in plain], np.float64).reshape(-1, 6)
        placed = transform.apply(shapes.of_objects(curves), matrices)
        self._ready = {
            node: (outline, node.shapes[0].rule) for node, outline in zip(plain, _each(placed), strict=True)
        }

    def of(self, node: ClipNode) -> list[tuple[Outlines, str]]:
        """The regions that are intersected for one clip: each an Outlines of one object, and its fill rule."""
        ready = self._ready.get(node)
        if ready is not None:
            return [ready]
        box = _box_matrix(node, self._drawn)
        if box is None:
            return [(Outlines.empty(1), "nonzero")]
        if node not in self._made:
            own = self._united([self._piece(shape, box) for shape in node.shapes])
            if own is None:
                self.unresolved.append(node)
            self._made[node] = own or (_everything(), "nonzero")
        found = [self._made[node]]
        for parent in node.parents:
            found += self.of(parent)
        return found

    def _piece(self, shape: ClipShape, box: Matrix) -> _Piece:
        curves = transform.apply(
            self._shapes.of_objects([shape.curve]), np.array(multiplied(box, shape.matrix))
        )
        return curves, shape.rule, [region for clip in shape.clips for region in self.of(clip)]

    def _united(self, pieces: list[_Piece]) -> tuple[Outlines, str] | None:
        """The union of the pieces; exact where there is one plain piece, else flattened to 0.001 mm; None where it costs too much."""
        if not pieces:
            return Outlines.empty(1), "nonzero"
        if len(pieces) == 1 and not pieces[0][2]:
            return pieces[0][0], pieces[0][1]
        import shapely

        from preflight.geometry.effort import Effort
        from preflight.geometry.rings import common_regions

        effort = self._effort = self._effort or Effort()

        groups = [Outlines.joined([curves, *(outline for outline, _ in own)]) for curves, _, own in pieces]
        rules = [[rule, *(own_rule for _, own_rule in own)] for _, rule, own in pieces]
        areas = common_regions(groups, rules, 0.001, effort)
        if shapely.is_missing(areas).any() or not effort.allows_joining(*areas):
            return None
        return _outline_of(shapely.union_all(areas)), "evenodd"


def _is_plain(node: ClipNode) -> bool:
    return node.unit_box is None and not node.parents and len(node.shapes) == 1 and not node.shapes[0].clips


def _each(outlines: Outlines) -> list[Outlines]:
    """Every object by itself; the arrays are views."""
    found = []
    for first, last in pairwise(outlines.object_offsets.tolist()):
        start, end = outlines.contour_offsets[[first, last]].tolist()
        found.append(
            Outlines(
                segments=outlines.segments[start:end],
                straight=outlines.straight[start:end],
                contour_offsets=outlines.contour_offsets[first : last + 1] - start,
                object_offsets=np.array([0, last - first], np.intp),
                starts=outlines.starts[first:last],
                closed=outlines.closed[first:last],
                gaps=outlines.gaps[first:last],
            )
        )
    return found


def _box_matrix(node: ClipNode, drawn: Outlines) -> Matrix | None:
    """The identity, or the matrix from the unit box to the page; None where the box has no area."""
    if node.unit_box is None:
        return IDENTITY
    back = inverted(node.unit_box)
    if back is None:
        return None
    chosen = transform.apply(drawn.of_objects(range(node.first, node.last)), np.array(back))
    boxes = extents.object_boxes(chosen)
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    if not len(boxes):
        return None
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    if x1 <= x0 or y1 <= y0:
        return None
    return multiplied(node.unit_box, (x1 - x0, 0, 0, y1 - y0, x0, y0))


_Piece = tuple[Outlines, str, list[tuple[Outlines, str]]]


def _everything() -> Outlines:
    """A square far beyond every page."""
    from preflight.geometry.shapes import rectangle

    return rectangle(-_FAR, -_FAR, 2 * _FAR, 2 * _FAR)


def _outline_of(area: object) -> Outlines:
    """Straight-sided outlines of one object holding every ring of a polygon."""
    import shapely

    from preflight.geometry.shapes import polygon

    rings = [
        ring
        for part in shapely.get_parts(area)
        if isinstance(part, shapely.Polygon)
        for ring in (part.exterior, *part.interiors)
    ]
    if not rings:
        return Outlines.empty(1)
    joined = Outlines.joined([polygon(np.asarray(ring.coords)[:-1]) for ring in rings])
    return Outlines(
        segments=joined.segments,
        straight=joined.straight,
        contour_offsets=joined.contour_offsets,
        object_offsets=np.array([0, joined.contour_count], np.intp),
        starts=joined.starts,
        closed=joined.closed,
        gaps=joined.gaps,
    )
