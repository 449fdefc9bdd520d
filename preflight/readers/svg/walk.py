"""Goes through the document in paint order and records each thing drawn. Knows no curve; never recurses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import msgspec
from lxml import etree

from preflight.artwork.model import NO_PAINT, Kind, NoteKind, Origin, Paint, PaintKind, Stroke
from preflight.readers.errors import Unreadable
from preflight.readers.svg import conditions
from preflight.readers.svg.cascade import Style
from preflight.readers.svg.clip import ClipNode, clip_of, viewport_clip
from preflight.readers.svg.context import Context, local_name
from preflight.readers.svg.document import SVG
from preflight.readers.svg.drawn import Drawn, State
from preflight.readers.svg.images import ImageFacts, image_facts
from preflight.readers.svg.layers import Layers
from preflight.readers.svg.names import line_of, own_name
from preflight.readers.svg.paint import ContextPaints, target
from preflight.readers.svg.shapes import SHAPES
from preflight.readers.svg.strokes import Strokes
from preflight.readers.svg.text import text_box
from preflight.readers.svg.units import Matrix, mean_scale, multiplied
from preflight.readers.svg.viewport import ViewBox, parse_view_box, view_box_matrix

__all__ = ["Walk"]

_GROUPS = {"g", "svg", "a", "switch", "symbol"}
_SILENT = frozenset(
    [
        "defs",
        "symbol",
        "clipPath",
        "mask",
        "pattern",
        "marker",
        "linearGradient",
        "radialGradient",
        "solidColor",
        "style",
        "title",
        "desc",
        "metadata",
        "filter",
        "stop",
        "view",
        "cursor",
        "font",
        "font-face",
        "color-profile",
        "namedview",
        "hatch",
        "meshgradient",
        "tspan",
        "textPath",
        "tref",
        "missing-glyph",
        "script",
        "animate",
        "animateTransform",
        "animateMotion",
        "animateColor",
        "set",
        "glyph",
        "hkern",
        "vkern",
        "flowDef",
        "linkStyle",
    ]
)
_NOT_MODELLED = {
    "foreignObject": "Content in another language (foreignObject) is not modelled.",
    "flowRoot": "Flowed text is not modelled; browsers do not show it either.",
    "video": "A film is not modelled.",
    "audio": "A sound is not modelled.",
    "iframe": "An embedded page is not modelled.",
    "canvas": "An embedded canvas is not modelled.",
    "mesh": "A mesh is not modelled.",
}
_WAIVE = "data-preflight-waive"
_CONDITIONS = {"requiredExtensions", "systemLanguage", "requiredFeatures"}


class _Frame(msgspec.Struct, eq=False):
    """A group being gone through; ``instance`` is the ``<use>`` that draws its one child."""

    state: State
    children: Iterator[etree._Element]
    counts: dict[str, int] = msgspec.field(default_factory=dict)
    instance: etree._Element | None = None
    chosen: etree._Element | None = None
    switch: bool = False
    boxed: ClipNode | None = None


class Walk:
    """Records everything the document draws, hidden and broken things included."""

    def __init__(self, context: Context, folder: Path | None) -> None:
        self.context = context
        self.drawn: list[Drawn] = []
        self.layers = Layers()
        self._folder = folder
        self._strokes = Strokes()
        self._refs: dict[str, int] = {}
        self._visited = 0
        self._painted: dict[tuple[Style, tuple[float, ...], float], tuple[Paint, Stroke]] = {}

    def run(self, state: State, start: Iterator[etree._Element]) -> None:
        """Go through ``start`` and all below."""
        stack = [_Frame(state, start)]
        limits = self.context.limits
        while stack:
            frame = stack[-1]
            element = next(frame.children, None)
            if element is None:
                if frame.boxed is not None:
                    frame.boxed.last = len(self.drawn)
                stack.pop()
                continue
            self._visited += 1
            if self._visited % 1024 == 0:
                self.context.deadline.check()
            below = self._visit(element, frame)
            if below is None:
                continue
            if len(stack) >= limits.nesting:
                raise Unreadable(
                    f"Groups are nested too deeply (more than {limits.nesting:,} inside one another)",
                    f"line {element.sourceline}",
                    "Ungroup the artwork, or raise the limit in the profile.",
                )
            stack.append(below)

    def _visit(self, element: etree._Element, frame: _Frame) -> _Frame | None:
        tag = element.tag
        if not isinstance(tag, str):
            return None
        namespace, _, name = tag.rpartition("}")
        if namespace and namespace[1:] != SVG:
            return None
        state = frame.state
        if state.prefix:
            self.context.count_expanded()
        frame.counts[name] = frame.counts.get(name, 0) + 1
        if frame.instance is None:
            place = f"{state.place}/{name}[{frame.counts[name]}]"
        else:
            place = self.context.path_of(element)
        self.context.viewport = state.viewport
        if name in SHAPES:
            self._shape(element, name, place, frame)
        elif name == "use":
            return self._use(element, place, frame)
        elif name in _GROUPS and (name != "symbol" or frame.instance is not None):
            return self._group(element, name, place, frame)
        elif name == "text":
            self._text(element, place, frame)
        elif name == "image":
            self._image(element, place, frame)
        elif name in _NOT_MODELLED:
            self.context.note(NoteKind.NOT_MODELLED, name, _NOT_MODELLED[name], element)
        elif name not in _SILENT:
            self.context.note(
                NoteKind.FAULT, "element", f"SVG knows no element <{name[:40]}>; it is not drawn.", element
            )
        return None

    # -- what every drawn element has

    def _entered(self, element: etree._Element, frame: _Frame) -> tuple[Style, Matrix, str | None]:
        """Style, matrix to the page, and why it is hidden."""
        state = frame.state
        style = self.context.style_of(element, state.style)
        matrix = multiplied(state.matrix, self.context.transform(element, style, state.viewport))
        hidden = state.hidden
        if hidden is None:
            if frame.switch and element is not frame.chosen:
                hidden = "switch"
            elif style["display"] == "none":
                hidden = "display"
            elif not _CONDITIONS.isdisjoint(element.attrib):
                hidden = self._unmet(element)
        return style, matrix, hidden

    def _unmet(self, element: etree._Element) -> str | None:
        met, by_language = conditions.holds(element)
        if by_language:
            message = f"What is drawn depends on the reader's language; “{conditions.LANGUAGE}” is assumed."
            self.context.note(NoteKind.ASSUMED, "systemLanguage", message, element)
        return None if met else "condition"

    def _clips(
        self, element: etree._Element, style: Style, matrix: Matrix, state: State
    ) -> tuple[ClipNode, ...]:
        if not style.own or not style["clip-path"]:
            return state.clip
        node = clip_of(self.context, style["clip-path"], matrix, element)
        return (*state.clip, node) if node else state.clip

    def _effects(self, element: etree._Element, style: Style, origin: Origin | etree._Element) -> None:
        """Note what would change the look and is not modelled."""
        if not style.own:
            return
        for name, message in (
            ("filter", "A filter effect is not modelled; the plain shape is judged."),
            ("mask", "A mask is not modelled; the whole shape is judged."),
        ):
            if style[name]:
                self.context.note(NoteKind.NOT_MODELLED, name, message, origin)
        blend = style["mix-blend-mode"]
        if blend != "normal":
            message = f"The blend mode “{blend[:40]}” is not modelled."
            self.context.note(NoteKind.NOT_MODELLED, "mix-blend-mode", message, origin)

    def _waivers(self, element: etree._Element, state: State) -> tuple[str, ...]:
        text = element.get(_WAIVE)
        return (text, *state.waive) if text is not None else state.waive

    def _ref(self, element: etree._Element, name: str, state: State) -> str:
        ref = state.prefix + (element.get("id") or f"{name}@{element.sourceline}")
        count = self._refs.get(ref, 0) + 1
        self._refs[ref] = count
        return ref if count == 1 else f"{ref}.{count}"

    # -- groups

    def _group(self, element: etree._Element, name: str, place: str, frame: _Frame) -> _Frame:
        state = frame.state
        style, matrix, hidden = self._entered(element, frame)
        self._effects(element, style, element)
        clip = self._clips(element, style, matrix, state)
        boxed = clip[-1] if len(clip) > len(state.clip) and clip[-1].unit_box is not None else None
        layer = state.layer
        if name in ("g", "svg"):
            layer = self.layers.of(element, state.layer, style["display"] != "none")
            if hidden == "display" and layer != state.layer:
                hidden = "layer"
        viewport = state.viewport
        if name in ("svg", "symbol"):
            matrix, viewport, clip, shown = self._viewport(element, style, matrix, clip, frame.instance)
            hidden = hidden or shown
        below = msgspec.structs.replace(
            state,
            style=style,
            matrix=matrix,
            viewport=viewport,
            place=place,
            layer=layer,
            clip=clip,
            opacity=state.opacity * style["opacity"],
            blend=style["mix-blend-mode"] if style["mix-blend-mode"] != "normal" else state.blend,
            hidden=hidden,
            waive=self._waivers(element, state),
        )
        switch = name == "switch"
        if boxed is not None:
            boxed.first = len(self.drawn)
        return _Frame(
            below,
            iter(element),
            switch=switch,
            chosen=conditions.chosen_child(element) if switch else None,
            boxed=boxed,
        )

    def _viewport(
        self,
        element: etree._Element,
        style: Style,
        matrix: Matrix,
        clip: tuple[ClipNode, ...],
        use: etree._Element | None,
    ) -> tuple[Matrix, tuple[float, float], tuple[ClipNode, ...], str | None]:
        """Matrix, size and clip of a nested ``<svg>`` or an instance of a ``<symbol>``."""
        context = self.context
        size = []
        for side, axis in (("width", "x"), ("height", "y")):
            value = context.value(use, context.outside_style(use), side, axis) if use is not None else None
            if value is None and (use is None or local_name(element) == "svg"):
                value = context.value(element, style, side, axis)
            size.append(context.whole(axis) if value is None else value)
        width, height = size
        if width <= 0 or height <= 0:
            return matrix, (0.0, 0.0), clip, "viewport without size"
        if local_name(element) == "svg":
            x, y = (
                context.value(element, style, "x", "x") or 0.0,
                context.value(element, style, "y", "y") or 0.0,
            )
            matrix = multiplied(matrix, (1, 0, 0, 1, x, y))
        if style["overflow"] not in ("visible", "auto"):
            clip = (*clip, viewport_clip(context, width, height, matrix))
        box = parse_view_box(element.get("viewBox"))
        if box is None:
            return matrix, (width, height), clip, None
        if box.width == 0 or box.height == 0:
            return matrix, (width, height), clip, "viewBox without size"
        fitted = view_box_matrix(box, width, height, element.get("preserveAspectRatio"))
        return multiplied(matrix, fitted), (box.width, box.height), clip, None

    def _use(self, element: etree._Element, place: str, frame: _Frame) -> _Frame | None:
        context, state = self.context, frame.state
        address = target(element)
        found = context.ids.get(address[1:]) if address and address.startswith("#") else None
        if found is None:
            kind = NoteKind.FAULT if not address or address.startswith("#") else NoteKind.NOT_MODELLED
            message = f"<use> refers to “{(address or '')[:60]}”, which is not in the file; nothing is drawn."
            context.note(kind, "use", message, element)
            return None
        if found in state.uses or found is element or found in element.iterancestors():
            message = "<use> draws itself in a circle; the inner one is left out."
            context.note(NoteKind.FAULT, "use", message, element)
            return None
        style, matrix, hidden = self._entered(element, frame)
        self._effects(element, style, element)
        clip = self._clips(element, style, matrix, state)
        boxed = clip[-1] if len(clip) > len(state.clip) and clip[-1].unit_box is not None else None
        x, y = context.value(element, style, "x", "x") or 0.0, context.value(element, style, "y", "y") or 0.0
        fill, stroke = self._paints(element, style, state, element)
        below = msgspec.structs.replace(
            state,
            style=style,
            matrix=multiplied(matrix, (1, 0, 0, 1, x, y)),
            clip=clip,
            opacity=state.opacity * style["opacity"],
            hidden=hidden,
            waive=self._waivers(element, state),
            prefix=self._ref(element, "use", state) + "/",
            uses=(*state.uses, found),
            context=ContextPaints(fill, stroke),
            place=place,
        )
        if boxed is not None:
            boxed.first = len(self.drawn)
        return _Frame(below, iter((found,)), instance=element, boxed=boxed)

    # -- things drawn

    def _paints(
        self, element: etree._Element, style: Style, state: State, place: Origin | etree._Element
    ) -> tuple[Paint, Paint]:
        paints = []
        for name in ("fill", "stroke"):
            paint, problem = self.context.paints.resolve(style[name], style, state.context)
            if problem is not None:
                self.context.note(problem.kind, problem.what, problem.message, place)
            paints.append(paint)
        return paints[0], paints[1]

    def _fill_and_stroke(
        self, element: etree._Element, style: Style, matrix: Matrix, state: State, origin: Origin
    ) -> tuple[Paint, Stroke]:
        """Both, worked out once for each style and scale: sheets repeat a few thousands of times."""
        diagonal = self.context.whole("o")
        key = (style, matrix[:4], diagonal)
        known = self._painted.get(key) if state.context is None else None
        if known is not None:
            return known
        count = len(self.context.notes)
        fill, paint = self._paints(element, style, state, origin)
        found = fill, self._strokes.of(style, paint, matrix, diagonal)
        # What has to be noted is noted for every object, so only what needs no note is kept.
        if state.context is None and fill.kind is not PaintKind.UNKNOWN and count == len(self.context.notes):
            self._painted[key] = found
        return found

    def _record(
        self, kind: Kind, element: etree._Element, name: str, place: str, frame: _Frame
    ) -> tuple[Drawn, Style]:
        """An object with all but its geometry."""
        state = frame.state
        style, matrix, hidden = self._entered(element, frame)
        if hidden is None and style["visibility"] != "visible":
            hidden = "visibility"
        origin = Origin(self._ref(element, name, state), line_of(element), element.get("id"), place)
        self._effects(element, style, origin)
        fill, stroke = NO_PAINT, Stroke()
        if kind is not Kind.IMAGE:
            fill, stroke = self._fill_and_stroke(element, style, matrix, state, origin)
        clip = self._clips(element, style, matrix, state)
        if len(clip) > len(state.clip) and clip[-1].unit_box is not None:
            clip[-1].first, clip[-1].last = len(self.drawn), len(self.drawn) + 1
        record = Drawn(
            kind=kind,
            element=element,
            origin=origin,
            state=state,
            style=style,
            matrix=matrix,
            text=-1,
            broken=None,
            hidden=hidden,
            name=own_name(element),
            fill=fill,
            stroke=stroke,
            opacity=state.opacity * style["opacity"],
            clip=clip,
            waive=self._waivers(element, state),
        )
        self.drawn.append(record)
        if len(self.drawn) > self.context.limits.objects:
            raise Unreadable(
                f"The file draws more than the limit of {self.context.limits.objects:,} objects",
                f"line {element.sourceline}",
                "Simplify the artwork, or raise the limit in the profile.",
            )
        return record, style

    def _shape(self, element: etree._Element, name: str, place: str, frame: _Frame) -> None:
        record, style = self._record(Kind.PATH, element, name, place, frame)
        drawn = self.context.shape(element, style)
        record.broken = drawn.broken
        record.text = self.context.texts.add(drawn.text)
        if drawn.broken:
            message = f"{drawn.broken[0].upper()}{drawn.broken[1:]}."
            self.context.note(NoteKind.FAULT, name, message, record.origin)
        if style["marker-start"] or style["marker-mid"] or style["marker-end"]:
            message = "The markers at the nodes of a line (arrow heads and the like) are not modelled."
            self.context.note(NoteKind.NOT_MODELLED, "marker", message, record.origin)

    def _text(self, element: etree._Element, place: str, frame: _Frame) -> None:
        record, style = self._record(Kind.TEXT, element, "text", place, frame)
        found = text_box(self.context, element, style)
        record.characters = found.characters
        record.font_size = found.font_size * mean_scale(record.matrix)
        record.text = self.context.texts.add(_rectangle(*found.box) if found.box else "")
        if not found.box:
            record.broken = "the text holds no characters"
            return
        message = "Live text: its box is estimated without the font."
        if found.on_path:
            message = "Live text on a path: its box is estimated as if it ran straight."
        self.context.note(NoteKind.NOT_MODELLED, "text", message, record.origin)

    def _image(self, element: etree._Element, place: str, frame: _Frame) -> None:
        context = self.context
        record, style = self._record(Kind.IMAGE, element, "image", place, frame)
        facts = image_facts(target(element), self._folder, context.limits)
        record.pixels, record.linked, record.broken = facts.pixels, facts.linked, facts.broken
        if facts.unmodelled:
            context.note(NoteKind.NOT_MODELLED, "image", facts.unmodelled, record.origin)
        if facts.broken:
            message = f"{facts.broken[0].upper()}{facts.broken[1:]}."
            context.note(NoteKind.FAULT, "image", message, record.origin)
        box = self._placed(element, style, facts)
        if box is None:
            record.broken = record.broken or "the image has no size"
            record.text = context.texts.add("")
            return
        x0, y0, x1, y1 = box
        record.text = context.texts.add(_rectangle(x0, y0, x1, y1))
        a, b, c, d = record.matrix[:4]
        record.placed = ((x1 - x0) * (a * a + b * b) ** 0.5, (y1 - y0) * (c * c + d * d) ** 0.5)

    def _placed(
        self, element: etree._Element, style: Style, facts: ImageFacts
    ) -> tuple[float, float, float, float] | None:
        """Where the pixels land, user units, by ``preserveAspectRatio``; None where there is no room."""
        value = self.context.value
        x, y = value(element, style, "x", "x") or 0.0, value(element, style, "y", "y") or 0.0
        width, height = value(element, style, "width", "x"), value(element, style, "height", "y")
        if facts.pixels and all(facts.pixels):
            columns, rows = facts.pixels
            if width is None and height is None:
                width, height = float(columns), float(rows)
            elif width is None and height is not None:
                width = height * columns / rows
            elif height is None and width is not None:
                height = width * rows / columns
        if not width or not height or width < 0 or height < 0:
            return None
        if not facts.pixels or not all(facts.pixels):
            return x, y, x + width, y + height
        box = ViewBox(0, 0, *facts.pixels)
        a, _, _, d, e, f = view_box_matrix(box, width, height, element.get("preserveAspectRatio"))
        left, top = x + max(e, 0.0), y + max(f, 0.0)
        right, bottom = x + min(e + a * box.width, width), y + min(f + d * box.height, height)
        return left, top, right, bottom


def _rectangle(x0: float, y0: float, x1: float, y1: float) -> str:
    return f"M{x0!r} {y0!r}H{x1!r}V{y1!r}H{x0!r}z"
