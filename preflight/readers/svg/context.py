"""What every part of the reader shares while one document is read: ids, styles, notes, counts. Draws nothing."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any

from lxml import etree

from preflight.artwork.model import Box, Note, NoteKind, Origin
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.svg.cascade import INITIAL_STYLE, Cascade, Style
from preflight.readers.svg.curves import Curves
from preflight.readers.svg.document import Document
from preflight.readers.svg.expansion import expanded_size
from preflight.readers.svg.names import line_of
from preflight.readers.svg.paint import Paints
from preflight.readers.svg.properties import PARSERS
from preflight.readers.svg.shapes import Shape, path_of, shape_of
from preflight.readers.svg.stylesheet import StyleSheets
from preflight.readers.svg.units import (
    FONT_UNITS,
    Length,
    parse_length,
    plain_number,
    to_px,
)

if TYPE_CHECKING:
    from preflight.readers.svg.clip import ClipNode

__all__ = ["Context", "local_name"]

_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_FORMULAS = ("calc(", "min(", "max(", "clamp(", "var(", "env(", "attr(")
_NAMED: Any = etree.XPath("descendant-or-self::*[@id or @xml:id]")
_COUNT: Any = etree.XPath("count(descendant-or-self::*)")


def local_name(element: etree._Element) -> str:
    """Name of an element without its namespace."""
    tag: str = element.tag
    return tag.rpartition("}")[2]


class Context:
    """Shared state of one reading.

    ``viewport`` is the size that percentages are of at the moment (user units); the walk sets it. While
    ``quiet`` no note is written: elements are then only measured and will be met again.
    """

    def __init__(self, document: Document, limits: Limits, deadline: Deadline) -> None:
        self.root = document.root
        self.limits = limits
        self.deadline = deadline
        self.notes: list[Note] = []
        self.curves = Curves(limits, deadline)
        self.clips: dict[Any, ClipNode] = {}
        self.viewport: tuple[float, float] = (0.0, 0.0)
        self.window: tuple[float, float] = (0.0, 0.0)
        self.quiet = False
        self.boxes: dict[Any, Box | None] = {}
        self._expanded = 0
        self._paths: dict[etree._Element, str] = {}
        self._said: set[tuple[str, Any]] = set()
        self._count = self._counted()
        self._refuse_explosion()
        self.cascade = Cascade(StyleSheets(self.root, self._sheet))
        self.paints = Paints(lambda: self.ids, self.cascade)

    @cached_property
    def ids(self) -> dict[str, etree._Element]:
        """Elements by their ids, the first of each: looked for once something refers to one, as little does on most sheets."""
        ids: dict[str, etree._Element] = {}
        for element in _NAMED(self.root):
            name = element.get("id") or element.get(_XML_ID)
            if name is not None:
                ids.setdefault(name, element)
        return ids

    def _counted(self) -> int:
        """The elements of the document.

        Raises
        ------
        Unreadable
            There are too many.
        """
        count = int(_COUNT(self.root))
        if count > self.limits.elements:
            raise Unreadable(
                f"The file holds {count:,} elements, above the limit of {self.limits.elements:,}",
                None,
                "Simplify the artwork, or raise [limits] elements in the profile.",
            )
        return count

    def _refuse_explosion(self) -> None:
        if any(True for _ in self.root.iter("{*}use")):
            extra = expanded_size(self.root, self.ids) - self._count
            if extra > self.limits.use_expansion:
                raise self._exploded()

    def _exploded(self) -> Unreadable:
        return Unreadable(
            f"Elements drawn again through <use> or markers come to more than the limit of {self.limits.use_expansion:,}",
            None,
            "Expand the symbols in the drawing program, or raise [limits] use_expansion in the profile.",
        )

    def refuse_more(self, elements: int) -> None:
        """Give up before drawing again more elements than the limit leaves.

        Raises
        ------
        Unreadable
        """
        if self._expanded + elements > self.limits.use_expansion:
            raise self._exploded()

    def count_expanded(self) -> None:
        """Count one more element met inside ``<use>``, a marker or a clip path.

        Raises
        ------
        Unreadable
        """
        self._expanded += 1
        if self._expanded > self.limits.use_expansion:
            raise self._exploded()
        if self._expanded % 1024 == 0:
            self.deadline.check()

    def note(
        self,
        kind: NoteKind,
        what: str,
        message: str,
        place: etree._Element | Origin | None,
        once: bool = True,
    ) -> None:
        """Write a note; the same thing about the same element is said once."""
        if self.quiet:
            return
        key = (what + message, place.ref if isinstance(place, Origin) else place)
        if once and key in self._said:
            return
        self._said.add(key)
        self.notes.append(
            Note(kind, what, message, self.origin(place) if isinstance(place, etree._Element) else place)
        )

    def origin(self, element: etree._Element) -> Origin:
        """Where an element stands that is no drawn object itself."""
        name = element.get("id")
        ref = name or f"{local_name(element)}@{element.sourceline}"
        path = self.path_of(element)
        return Origin(ref=ref, line=line_of(element), id=name, path=path)

    def path_of(self, element: etree._Element) -> str:
        """XPath of an element."""
        path = self._paths.get(element)
        if path is None:
            path = self._paths[element] = _steps(element)
        return path

    def _sheet(self, kind: NoteKind, message: str, element: etree._Element) -> None:
        self.note(kind, "style sheet", message, element)

    def style_of(
        self, element: etree._Element, parent: Style, attributes: dict[str, str] | None = None
    ) -> Style:
        """The computed style; declarations that CSS drops are noted."""
        style = self.cascade.style_of(element, parent, attributes)
        for name, value in style.faults:
            self._left_out("property", f"{name}: {value[:60]}", "means nothing", element)
        return style

    def _left_out(self, what: str, written: str, fault: str, element: etree._Element) -> None:
        """Note a value that is left out: our limit where it is a formula, else the file's fault."""
        if any(formula in written.lower() for formula in _FORMULAS):
            message = f"“{written}” is a formula, which is not modelled; it is left out."
            self.note(NoteKind.NOT_MODELLED, what, message, element)
        else:
            self.note(NoteKind.FAULT, what, f"“{written}” {fault} and is left out.", element)

    def outside_style(self, element: etree._Element) -> Style:
        """Computed style of an element that is not reached by drawing, by way of its ancestors."""
        style = INITIAL_STYLE
        for ancestor in reversed([element, *element.iterancestors()]):
            style = self.cascade.style_of(ancestor, style)
        return style

    def value(self, element: etree._Element, style: Style, name: str, axis: str) -> float | None:
        """A geometry property in user units; None where absent, invalid or ``auto``."""
        length: Any = style.own.get(name) if style.own else None
        if length is None:
            text = element.get(name)
            if text is None:
                return None
            number = plain_number(text)
            if number is not None and number >= 0.0:
                return number
            length = PARSERS.get(name, parse_length)(text)
            if length is None:
                self._left_out("length", f"{name}={text[:60]}", "is no length", element)
        if not isinstance(length, Length):
            return None
        unit = length.unit
        if not unit:
            return length.value
        if unit in FONT_UNITS and unit not in ("em", "rem"):
            message = f"The length “{name}={length.value:g}{unit}” hangs on the font and is estimated."
            self.note(NoteKind.ASSUMED, "length", message, element)
        return to_px(length, self.whole(axis), style.font_size, self.window)

    def whole(self, axis: str) -> float:
        """What a percentage along an axis (``x``, ``y``, ``o`` for neither) is of."""
        width, height = self.viewport
        if axis == "o":
            return float((width * width + height * height) ** 0.5 / 2**0.5)
        return width if axis == "x" else height

    def shape(self, element: etree._Element, name: str, style: Style, data: str | None) -> Shape:
        """A basic shape or path, handed over to the curves of the document. ``data`` is its attribute ``d``."""
        if name == "path" and not style.own:
            return path_of(self.curves, data)  # what most files hold most of

        def text(what: str) -> str | None:
            if what == "d" and style.own and "d" in style.own:
                return _css_path(style.own["d"])
            return data if what == "d" else element.get(what)

        return shape_of(self.curves, name, lambda what, axis: self.value(element, style, what, axis), text)


def _steps(element: etree._Element) -> str:
    """Local names with their place among siblings of that name, as the walk counts them."""
    steps: list[str] = []
    for one in (element, *element.iterancestors()):
        parent = one.getparent()
        count = sum(1 for _ in one.itersiblings(one.tag, preceding=True)) + 1 if parent is not None else 0
        steps.append(f"{local_name(one)}[{count}]" if count else local_name(one))
    return "/" + "/".join(reversed(steps))


def _css_path(text: str) -> str | None:
    """The data inside ``path("…")``."""
    inner = text.strip()
    if not inner.startswith("path("):
        return None
    return inner[5:].rstrip(") ").strip("\"' ")
