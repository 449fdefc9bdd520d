"""Which declaration wins for an element, and the style that results. Knows selectors; draws nothing."""

from __future__ import annotations

from typing import Any

from lxml import etree

from preflight.readers.svg.names import attributes_of
from preflight.readers.svg.properties import GEOMETRY, INHERITED, INITIAL, PARSERS, PRESENTATION
from preflight.readers.svg.stylesheet import NOTHING, Declaration, StyleSheets, declarations
from preflight.readers.svg.units import FONT_UNITS, Length, to_px

__all__ = ["Cascade", "Style"]

_PAINTED_IN_ORDER = frozenset({"normal", "fill", "fill stroke", "fill stroke markers"})
_SHORTHANDS = {"marker": ("marker-start", "marker-mid", "marker-end")}


class Style:
    """Computed values of one element; the same declarations under the same parent are one object.

    ``values`` holds every inherited property, ``own`` those set on the element itself that are not, ``faults``
    the declarations that CSS drops (name, value). What every drawn element asks for stands ready as an
    attribute: ``displayed``, ``visible``, ``opacity``, ``blend``, ``clip_path``, ``fill_rule``, ``fill_opacity``,
    ``effects`` (something changes the look that a reader may not model) and ``marked`` (there are markers).
    """

    __slots__ = (
        "below",
        "blend",
        "clip_path",
        "custom",
        "displayed",
        "effects",
        "faults",
        "fill_opacity",
        "fill_rule",
        "font_size",
        "marked",
        "opacity",
        "own",
        "values",
        "visible",
    )

    def __init__(
        self,
        values: dict[str, Any],
        own: dict[str, Any],
        font_size: float,
        custom: dict[str, str],
        faults: tuple[tuple[str, str], ...] = (),
    ) -> None:
        self.values = values
        self.own = own
        self.font_size = font_size
        self.custom = custom
        self.faults = faults
        self.below: dict[Any, Style] = {}
        """Styles of children met so far, by what is declared on them."""
        self.displayed: bool = self["display"] != "none"
        self.visible: bool = values["visibility"] == "visible"
        self.opacity: float = self["opacity"]
        self.blend: str = self["mix-blend-mode"]
        self.clip_path: str = self["clip-path"]
        self.fill_rule: str = values["fill-rule"]
        self.fill_opacity: float = values["fill-opacity"]
        self.effects = values["paint-order"] not in _PAINTED_IN_ORDER or (
            bool(own) and (self.blend != "normal" or bool(self["filter"] or self["mask"]))
        )
        self.marked = bool(values["marker-start"] or values["marker-mid"] or values["marker-end"])

    def __getitem__(self, name: str) -> Any:
        if name in self.values:
            return self.values[name]
        return self.own[name] if name in self.own else INITIAL[name]


INITIAL_STYLE = Style(dict(INHERITED), {}, 16.0, {})
"""What the root inherits from."""


class Cascade:
    """Works out styles, each distinct combination once."""

    def __init__(self, sheets: StyleSheets) -> None:
        self._sheets = sheets if sheets else None

    def style_of(
        self, element: etree._Element, parent: Style, attributes: dict[str, str] | None = None
    ) -> Style:
        """The computed style of an element whose parent has the style given.

        Parameters
        ----------
        attributes : those of the element, where the caller has them already.
        """
        if attributes is None:
            attributes = attributes_of(element)
        presentation = tuple([entry for entry in attributes.items() if entry[0] in PRESENTATION])
        matched = NOTHING if self._sheets is None else self._sheets.matching(element, attributes)
        if not presentation and matched is NOTHING and not parent.own and not parent.faults:
            return parent
        key: Any = presentation if matched is NOTHING else (presentation, matched)
        known = parent.below.get(key)
        if known is None:
            faults: list[tuple[str, str]] = []
            won = _winning(presentation, matched.declarations, parent, faults)
            known = parent.below[key] = _computed(parent, won, tuple(faults))
        return known


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
    names = {**parent.custom, **custom} if custom else parent.custom
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


def _computed(parent: Style, won: dict[str, Any], faults: tuple[tuple[str, str], ...]) -> Style:
    values, own = parent.values, {}
    names = won.pop("", parent.custom)
    font_size = _font_size(parent, won.get("font-size"))
    changed = values if INHERITED.keys().isdisjoint(won) else dict(values)
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
    return Style(changed, own, font_size, names, faults)


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
