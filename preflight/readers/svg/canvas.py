"""The page as it fills up: what every drawn element brings along, and the list of objects. Knows no kind of element."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from lxml import etree

from preflight.artwork.model import (
    NO_PAINT,
    Alpha,
    Box,
    Kind,
    NoteKind,
    Object,
    Origin,
    Paint,
    PaintKind,
    Stroke,
)
from preflight.readers.errors import Unreadable
from preflight.readers.svg import conditions
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.clip import ClipNode, clip_of
from preflight.readers.svg.context import Context
from preflight.readers.svg.layers import Layers
from preflight.readers.svg.names import attributes_of, line_of, name_in
from preflight.readers.svg.state import Entered, Frame, State
from preflight.readers.svg.strokes import Strokes
from preflight.readers.svg.transforms import is_transformed, own_transform
from preflight.readers.svg.units import Matrix, multiplied

__all__ = ["WAIVE", "Canvas", "Marked"]

_NO_STROKE = Stroke()
WAIVE = "data-preflight-waive"
_CONDITIONS = frozenset({"requiredExtensions", "systemLanguage", "requiredFeatures"})
_EFFECTS = (
    ("filter", "A filter effect is not modelled; the plain shape is judged."),
    ("mask", "A mask is not modelled; the whole shape is judged."),
)


class Marked(msgspec.Struct, eq=False):
    """A shape that bears markers: its place among the objects, its curve and its paints."""

    index: int
    entered: Entered
    origin: Origin
    curve: int
    fill: Paint
    stroke: Paint


class Canvas:
    """Collects objects in paint order, hidden and broken ones included.

    ``objects``, ``matrices`` (user space to mm) and ``curves`` (number of the shape) run in step; ``chains`` are
    the chains of clips that objects name by their place. ``marked`` are the shapes whose markers are still to be
    drawn. While they are, ``bearer`` is the object that bears them, and ``borne`` keeps it for each of theirs.

    Parameters
    ----------
    measure : gives the box of what an element draws, for transforms that are about it.
    untransformed : an element whose own transform is left out, for it is the one that is measured.
    depth : how many canvases wait for what is measured on this one.
    """

    def __init__(
        self,
        context: Context,
        folder: Path | None,
        measure: Callable[[Canvas, etree._Element, State], Box | None],
        untransformed: etree._Element | None = None,
        depth: int = 0,
    ) -> None:
        self.context = context
        self.folder = folder
        self._measure = measure
        self._untransformed = untransformed
        self.depth = depth
        self.layers = Layers()
        self.objects: list[Object] = []
        self.matrices: list[Matrix] = []
        self.curves: list[int] = []
        self.chains: dict[tuple[ClipNode, ...], int] = {}
        self.marked: list[Marked] = []
        self.bearer: int | None = None
        self.borne: dict[int, int] = {}
        self.alphas: dict[int, Alpha] = {}
        self._grouped = 0
        self._strokes = Strokes()
        self._refs: dict[str, int] = {}
        self._painted: dict[tuple[Style, tuple[float, ...], float], tuple[Paint, Stroke]] = {}
        self._state: State | None = None
        self._painted_here: dict[Style, tuple[Paint, Stroke]] = {}
        """Those of elements in the user space of the state that `_state` is: of most, and sooner found."""

    def entered(self, element: etree._Element, name: str, place: str, frame: Frame) -> Entered:
        """Style, matrix, clips of an element, and why it is hidden."""
        context, state = self.context, frame.state
        attributes = attributes_of(element)
        style = context.style_of(element, state.style, attributes)
        matrix = state.matrix
        if is_transformed(style, attributes) and element is not self._untransformed:
            own = own_transform(
                context, element, style, state.viewport, lambda: self._measure(self, element, state)
            )
            matrix = multiplied(matrix, own)
        hidden = state.hidden
        if hidden is None:
            if frame.switch and element is not frame.chosen:
                hidden = "switch"
            elif not style.displayed:
                hidden = "display"
            elif not _CONDITIONS.isdisjoint(attributes):
                hidden = self._unmet(element)
        clip = state.clip
        if style.clip_path:
            node = clip_of(context, style.clip_path, matrix, element)
            clip = (*clip, node) if node else clip
        line = line_of(element)
        return Entered(element, name, place, line, state, attributes, style, matrix, hidden, clip)

    def _unmet(self, element: etree._Element) -> str | None:
        met, by_language = conditions.holds(element)
        if by_language:
            message = f"What is drawn depends on the reader's language; “{conditions.LANGUAGE}” is assumed."
            self.context.note(NoteKind.ASSUMED, "systemLanguage", message, element)
        return None if met else "condition"

    def note_effects(self, style: Style, place: Origin | etree._Element) -> None:
        """Note what would change the look and is not modelled."""
        for name, message in _EFFECTS:
            if style[name]:
                self.context.note(NoteKind.NOT_MODELLED, name, message, place)
        if style.blend != "normal":
            message = f"The blend mode “{style.blend[:40]}” is not modelled."
            self.context.note(NoteKind.NOT_MODELLED, "blend mode", message, place)

    @staticmethod
    def effect(style: Style, state: State) -> str | None:
        """What besides paint and clip decides where things show: of the groups around, or the element's own."""
        if state.effect is not None or not style.effects:
            return state.effect
        return next((name for name, _ in _EFFECTS if style[name]), None)

    def groups(self, style: Style, state: State) -> tuple[int, ...]:
        """See-through groups around, and the element itself if it is one."""
        if style.opacity >= 1.0:
            return state.groups
        self._grouped += 1
        return (*state.groups, self._grouped)

    @staticmethod
    def own_box(entered: Entered) -> ClipNode | None:
        """The clip of the element's own that is measured in the box of what it draws."""
        clip = entered.clip
        boxed = len(clip) > len(entered.state.clip) and clip[-1].unit_box is not None
        return clip[-1] if boxed else None

    @staticmethod
    def waivers(entered: Entered) -> tuple[str, ...]:
        """Every waiver in force, nearest first."""
        text = entered.attributes.get(WAIVE)
        return entered.state.waive if text is None else (text, *entered.state.waive)

    def ref(self, entered: Entered) -> str:
        """A name for the element as drawn here, unlike any other on the page."""
        ref = entered.attributes.get("id") or f"{entered.name}@{entered.line}"
        if entered.state.prefix:
            ref = entered.state.prefix + ref
        count = self._refs[ref] = self._refs.get(ref, 0) + 1
        return ref if count == 1 else f"{ref}.{count}"

    def origin(self, entered: Entered) -> Origin:
        """Where the element stands; what its look needs and is not modelled is noted there."""
        style = entered.style
        origin = Origin(
            self.ref(entered),
            entered.line,
            entered.attributes.get("id"),
            entered.place,
            drawn_at=entered.state.drawn_at,
        )
        if style.effects:
            self.note_effects(style, origin)
            if style["paint-order"] != "normal" and entered.name != "image":
                message = f"The order “{style['paint-order'][:40]}” is not modelled; the stroke is taken to lie on the fill."
                self.context.note(NoteKind.NOT_MODELLED, "paint-order", message, origin)
        return origin

    def paints(self, style: Style, state: State, place: Origin | etree._Element) -> tuple[Paint, Paint]:
        """Fill and stroke paint."""
        paints = []
        for name in ("fill", "stroke"):
            paint, problem = self.context.paints.resolve(style[name], style, state.context)
            if problem is not None:
                self.context.note(problem.kind, problem.what, problem.message, place)
            paints.append(paint)
        return paints[0], paints[1]

    def fill_and_stroke(self, entered: Entered, origin: Origin) -> tuple[Paint, Stroke]:
        """Both, worked out once for each style and scale: sheets repeat a few thousands of times."""
        style, matrix, state = entered.style, entered.matrix, entered.state
        if state is not self._state:
            self._state, self._painted_here = state, {}
        in_place = matrix is state.matrix
        known = self._painted_here.get(style) if in_place else None
        if known is not None:
            return known
        diagonal = self.context.whole("o")
        key = (style, matrix[:4], diagonal)
        known = self._painted.get(key) if state.context is None else None
        if known is None:
            count = len(self.context.notes)
            fill, paint = self.paints(style, state, origin)
            known = fill, self._strokes.of(style, paint, matrix, diagonal)
            # What has to be noted is noted for every object, so only what needs no note is kept.
            if (
                state.context is not None
                or fill.kind is PaintKind.UNKNOWN
                or count != len(self.context.notes)
            ):
                return known
            self._painted[key] = known
        if in_place:
            self._painted_here[style] = known
        return known

    def add(
        self,
        entered: Entered,
        kind: Kind,
        origin: Origin,
        curve: int,
        broken: str | None,
        fill: Paint = NO_PAINT,
        stroke: Stroke = _NO_STROKE,
        **facts: Any,
    ) -> None:
        """Put one object on the page.

        Parameters
        ----------
        curve : number of its shape.
        facts : fields of `Object` that only some kinds have.

        Raises
        ------
        Unreadable
            The page holds too many.
        """
        style, state, attributes = entered.style, entered.state, entered.attributes
        index = len(self.objects)
        clip = None
        if entered.clip:
            clip = self.chains.setdefault(entered.clip, len(self.chains))
            boxed = self.own_box(entered)
            if boxed is not None:
                boxed.first, boxed.last = index, index + 1
        made = Object(  # by place: as names they take longer than all the rest of it
            kind,
            origin,
            state.layer,
            name_in(attributes),
            tuple(attributes["class"].split()) if "class" in attributes else (),
            fill,
            style.fill_rule,
            style.fill_opacity if kind is not Kind.IMAGE else 1.0,
            stroke,
            state.opacity * style.opacity,
            style.blend if style.blend != "normal" else state.blend,
            clip=clip,
            effect=self.effect(style, state),
            groups=self.groups(style, state),
            hidden=entered.hidden or (None if style.visible else "visibility"),
            broken=broken,
            waive=self.waivers(entered),
        )
        self.objects.append(msgspec.structs.replace(made, **facts) if facts else made)
        if self.bearer is not None:
            self.borne[index] = self.bearer
        self.matrices.append(entered.matrix)
        self.curves.append(curve)
        if index >= self.context.limits.objects:
            raise Unreadable(
                f"The file draws more than the limit of {self.context.limits.objects:,} objects",
                f"line {entered.element.sourceline}",
                "Simplify the artwork, or raise [limits] objects in the profile.",
            )

    def paint_order(self) -> list[int]:
        """The objects in the order they are painted: those of markers right after the shape that bears them."""
        keys: list[tuple[int, ...]] = []
        for index in range(len(self.objects)):
            bearer = self.borne.get(index)
            keys.append((index,) if bearer is None else (*keys[bearer], index))
        return sorted(range(len(keys)), key=keys.__getitem__)
