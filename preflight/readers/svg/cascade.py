"""Which declaration wins for an element, and the style that results. Knows selectors; draws nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lxml import etree

from preflight.readers.svg.properties import GEOMETRY, INHERITED, INITIAL, PARSERS, PRESENTATION
from preflight.readers.svg.stylesheet import Declaration, StyleSheets, declarations
from preflight.readers.svg.units import FONT_UNITS, Length, to_px

__all__ = ["Cascade", "Style"]

Complain = Callable[[str, str], None]
"""Called with what was dropped and why."""

_SHORTHANDS = {"marker": ("marker-start", "marker-mid", "marker-end")}


class Style:
    """Computed values of one element; equal styles are one object, so they serve as keys.

    ``values`` holds every inherited property, ``own`` those set on the element itself that are not.
    """

    __slots__ = ("custom", "font_size", "own", "values")

    def __init__(
        self, values: dict[str, Any], own: dict[str, Any], font_size: float, custom: dict[str, str]
    ) -> None:
        self.values = values
        self.own = own
        self.font_size = font_size
        self.custom = custom

    def __getitem__(self, name: str) -> Any:
        if name in self.values:
            return self.values[name]
        return self.own[name] if name in self.own else INITIAL[name]


INITIAL_STYLE = Style(dict(INHERITED), {}, 16.0, {})
"""What the root inherits from."""


class Cascade:
    """Works out styles, each distinct combination once."""

    def __init__(self, sheets: StyleSheets) -> None:
        self._sheets = sheets
        self._known: dict[Any, tuple[Style, tuple[tuple[str, str], ...]]] = {}

    def style_of(self, element: etree._Element, parent: Style, complain: Complain | None = None) -> Style:
        """The computed style of an element whose parent has the style given."""
        presentation = tuple(
            (str(name), str(value)) for name, value in element.attrib.items() if name in PRESENTATION
        )
        matched: tuple[Declaration, ...] = self._sheets.matching(element) if self._sheets else ()
        if not presentation and not matched and not parent.own:
            return parent
        key = (parent, presentation, matched)
        known = self._known.get(key)
        if known is None:
            faults: list[tuple[str, str]] = []
            style = _computed(parent, _winning(presentation, matched, parent, faults))
            known = self._known[key] = (style, tuple(faults))
        if known[1] and complain:
            for name, value in known[1]:
                complain(name, value)
        return known[0]


def _winning(
    presentation: tuple[tuple[str, str], ...],
    matched: tuple[Declaration, ...],
    parent: Style,
    faults: list[tuple[str, str]],
) -> dict[str, Any]:
    """Parsed values by property after the cascade; later declarations of the sorted list win."""
    ranked: list[tuple[tuple[int, int], Declaration, bool]] = []
    inline: list[Declaration] = []
    for name, value in presentation:
        if name == "style":
            inline = declarations(value)
        else:
            ranked.append(((0, 0), Declaration(name, value, False), True))
    ranked += [((3 if one.important else 1, 0), one, False) for one in matched]
    ranked += [((4 if one.important else 2, 0), one, False) for one in inline]
    ranked.sort(key=lambda entry: entry[0])
    custom = {one.name: one.value for _, one, _ in ranked if one.name.startswith("--")}
    names = {**parent.custom, **custom}
    won: dict[str, Any] = {"": names} if custom else {}
    for _, one, attribute in ranked:
        value = _substituted(one.value, names) if "var(" in one.value else one.value
        for name in _SHORTHANDS.get(one.name, (one.name,)):
            if name == "font":
                _font(value, won)
            elif name in PARSERS:
                parsed = _parsed(name, value, attribute)
                if parsed is None:
                    faults.append((one.name, one.value))
                else:
                    won[name] = parsed
    return won


def _parsed(name: str, value: str, attribute: bool) -> Any:
    word = value.strip().lower()
    if word in ("inherit", "initial", "unset", "revert", "revert-layer"):
        return _Keyword(word)
    parsed = PARSERS[name](value)
    # In a style sheet a length needs its unit; only the properties that are SVG's own take bare numbers.
    if not attribute and name in GEOMETRY and isinstance(parsed, Length) and not parsed.unit and parsed.value:
        return None
    return parsed


class _Keyword(str):
    """One of the words that mean the same for every property."""

    __slots__ = ()


def _font(value: str, won: dict[str, Any]) -> None:
    """Take the size out of the ``font`` shorthand; faces do not matter to a box that is estimated anyway."""
    for part in value.split():
        size = PARSERS["font-size"](part.split("/")[0])
        if isinstance(size, Length) and (size.unit or part[0].isdigit()):
            won["font-size"] = size
            return


def _substituted(value: str, names: dict[str, str], depth: int = 8) -> str:
    """Put custom properties in the place of ``var()``; a chain longer than ``depth`` is left as it is."""
    for _ in range(depth):
        start = value.rfind("var(")
        if start < 0:
            break
        end = value.find(")", start)
        if end < 0:
            break
        name, _, fallback = value[start + 4 : end].partition(",")
        value = value[:start] + names.get(name.strip(), fallback).strip() + value[end + 1 :]
        if len(value) > 4096:
            break
    return value


def _computed(parent: Style, won: dict[str, Any]) -> Style:
    values, own = parent.values, {}
    names = won.pop("", parent.custom)
    font_size = _font_size(parent, won.get("font-size"))
    changed = dict(values) if any(name in INHERITED for name in won) else values
    for name, value in won.items():
        if name in INHERITED:
            if isinstance(value, _Keyword):
                value = INHERITED[name] if value == "initial" else values[name]
            changed[name] = _absolute(value, font_size)
        elif isinstance(value, _Keyword):
            if value == "inherit" and (name in parent.own or name in INITIAL):
                own[name] = parent[name]
            elif name in INITIAL:
                own[name] = INITIAL[name]
        else:
            own[name] = _absolute(value, font_size)
    if changed is not values:
        changed["font-size"] = Length(font_size, "px")
        if changed["color"].kind == "current":
            changed["color"] = values["color"]
    return Style(changed, own, font_size, names)


def _font_size(parent: Style, value: Any) -> float:
    if value is None:
        return parent.font_size
    if isinstance(value, _Keyword):
        return 16.0 if value == "initial" else parent.font_size
    return to_px(value, parent.font_size, parent.font_size)


def _absolute(value: Any, font_size: float) -> Any:
    """Lengths that hang on the font, in user units; the rest as it is."""
    if isinstance(value, Length):
        if value.unit in FONT_UNITS:
            return Length(to_px(value, 0.0, font_size), "")
        return value
    if isinstance(value, tuple) and value and isinstance(value[0], Length):
        return tuple(_absolute(one, font_size) for one in value)
    return value
