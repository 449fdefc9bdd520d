"""The properties a drawing's look depends on: whether inherited, their initial value, how their text is read.

Knows no element and no cascade.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple

from preflight.artwork.model import Color
from preflight.colour.css import SYSTEM_COLORS, CssColor, parse_color
from preflight.readers.svg.units import Length, parse_length

__all__ = ["GEOMETRY", "INHERITED", "INITIAL", "PARSERS", "PRESENTATION", "PaintValue", "model_color"]


class PaintValue(NamedTuple):
    """A paint as written, before references are followed.

    ``kind``: ``none``, ``color``, ``current``, ``url``, ``context-fill``, ``context-stroke``, ``unknown``.
    ``name`` is the name an ``icc-color()`` gives the colour, ``text`` what was written.
    """

    kind: str
    color: Color | None = None
    url: str = ""
    fallback: PaintValue | None = None
    name: str | None = None
    text: str = ""


NONE = PaintValue("none")
# Compiled by what first needs them, and kept by Python: in most files that is nothing.
_URL = r"""(?s)url\(\s*(?:"([^"]*)"|'([^']*)'|([^)"']*?))\s*\)\s*(.*)"""
_ICC = r"(?s)(.*?)\s*icc-(named-)?color\(\s*([^,()]+?)\s*(?:,\s*([^()]*))?\)\s*"
_BEYOND = r"(color-mix|light-dark|color-contrast|calc|rgb|hsl|lab|lch|oklab|oklch|hwb)\("


def model_color(color: CssColor) -> Color:
    """The model's colour of a CSS colour."""
    return Color(color.rgb, color.alpha, color.space, color.components)


@lru_cache(maxsize=8192)
def parse_paint(text: str) -> PaintValue | None:
    """Read a fill or stroke; None where CSS would drop it."""
    text = text.strip()
    word = text.lower()
    if word in ("none", "context-fill", "context-stroke"):
        return PaintValue(word, text=text)
    if word == "currentcolor":
        return PaintValue("current", text=text)
    if word.startswith("url("):
        found = re.fullmatch(_URL, text)
        if not found:
            return None
        rest = found[4]
        fallback = parse_paint(rest) if rest else None
        if rest and fallback is None:
            return None
        return PaintValue("url", url=found[1] or found[2] or found[3] or "", fallback=fallback, text=text)
    color = parse_color(text)
    if color:
        return PaintValue("color", model_color(color), text=text)
    if "icc-" in word or "device-cmyk(" in word or "cielab(" in word or "cielch" in word:
        return _named_or_profiled(text)
    if word in SYSTEM_COLORS or re.match(_BEYOND, word):
        return PaintValue("unknown", text=text) if word in SYSTEM_COLORS or word.count("(") > 1 else None
    return None


def _named_or_profiled(text: str) -> PaintValue | None:
    """``<colour> icc-color(name, …)`` and its kin: the fallback is what viewers show."""
    found = re.fullmatch(_ICC, text)
    if found:
        shown = parse_color(found[1]) if found[1] else None
        if found[1] and shown is None:
            return None
        rgb = shown.rgb if shown else (0.0, 0.0, 0.0)
        if found[2]:
            return PaintValue(
                "color", Color(rgb, 1.0, "icc", ()), name=(found[4] or "").strip() or None, text=text
            )
        numbers = _numbers(found[4] or "")
        return PaintValue("color", Color(rgb, 1.0, "icc", numbers), name=found[3].strip("\"'"), text=text)
    first, separator, rest = text.partition(" ")
    if (separator and first[0] in "#") or parse_color(first):
        inner = parse_color(rest)
        if inner and inner.space == "device-cmyk":
            shown = parse_color(first)
            rgb = shown.rgb if shown else inner.rgb
            return PaintValue("color", Color(rgb, inner.alpha, inner.space, inner.components), text=text)
        lab = re.fullmatch(r"\s*cie(lab|lch|lchab)\(([^()]*)\)\s*", rest, re.IGNORECASE)
        shown = parse_color(first)
        if lab and shown:
            space = "lab" if lab[1].lower() == "lab" else "lch"
            return PaintValue("color", Color(shown.rgb, 1.0, space, _numbers(lab[2])), text=text)
    return None


def _numbers(text: str) -> tuple[float, ...]:
    parts = text.replace(",", " ").split()
    try:
        return tuple(float(part.rstrip("%")) / (100 if part.endswith("%") else 1) for part in parts)
    except ValueError:
        return ()


def _color(text: str) -> PaintValue | None:
    value = parse_paint(text)
    return value if value and value.kind in ("color", "current", "unknown") else None


def _opacity(text: str) -> float | None:
    length = parse_length(text)
    if length is None or length.unit not in ("", "%"):
        return None
    return min(max(length.value / 100 if length.unit else length.value, 0.0), 1.0)


def _word(*allowed: str) -> Callable[[str], str | None]:
    def read(text: str) -> str | None:
        word = text.strip().lower()
        return word if word in allowed else None

    return read


def _size(text: str) -> Length | None:
    length = parse_length(text)
    return length if length and length.value >= 0 else None


def _miter(text: str) -> float | None:
    length = parse_length(text)
    return length.value if length and not length.unit and length.value >= 0 else None


def _dashes(text: str) -> tuple[Length, ...] | None:
    if text.strip().lower() == "none":
        return ()
    lengths = [parse_length(part) for part in text.replace(",", " ").split()]
    if not lengths or any(length is None or length.value < 0 for length in lengths):
        return None
    return tuple(length for length in lengths if length is not None)


def _reference(text: str) -> str | None:
    """A ``url()``'s address, ``""`` for none; any other shape is returned as written."""
    text = text.strip()
    if text.lower() == "none":
        return ""
    found = re.match(_URL, text)
    if found:
        return found[1] or found[2] or found[3] or "#"
    return text or None


_FONT_WORDS = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": 16.0,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
}


def _font_size(text: str) -> Length | None:
    word = text.strip().lower()
    if word in _FONT_WORDS:
        return Length(_FONT_WORDS[word], "px")
    if word in ("smaller", "larger"):
        return Length(100 / 1.2 if word == "smaller" else 120.0, "%")
    return _size(text)


def _any(text: str) -> str | None:
    return text.strip() or None


def _auto_size(text: str) -> Length | str | None:
    return "auto" if text.strip().lower() == "auto" else _size(text)


PARSERS: dict[str, Callable[[str], Any]] = {
    "color": _color,
    "fill": parse_paint,
    "fill-opacity": _opacity,
    "fill-rule": _word("nonzero", "evenodd"),
    "stroke": parse_paint,
    "stroke-width": _size,
    "stroke-opacity": _opacity,
    "stroke-linecap": _word("butt", "round", "square"),
    "stroke-linejoin": _word("miter", "round", "bevel", "miter-clip", "arcs"),
    "stroke-miterlimit": _miter,
    "stroke-dasharray": _dashes,
    "stroke-dashoffset": parse_length,
    "clip-rule": _word("nonzero", "evenodd"),
    "visibility": _word("visible", "hidden", "collapse"),
    "font-size": _font_size,
    "text-anchor": _word("start", "middle", "end"),
    "writing-mode": _any,
    "marker-start": _reference,
    "marker-mid": _reference,
    "marker-end": _reference,
    "paint-order": _any,
    "opacity": _opacity,
    "display": _any,
    "clip-path": _reference,
    "mask": _reference,
    "filter": _reference,
    "mix-blend-mode": _any,
    "transform": _any,
    "translate": _any,
    "rotate": _any,
    "scale": _any,
    "offset-path": _any,
    "transform-origin": _any,
    "transform-box": _any,
    "overflow": _word("visible", "hidden", "scroll", "auto", "clip"),
    "vector-effect": _any,
    "stop-color": _color,
    "stop-opacity": _opacity,
    "solid-color": _color,
    "solid-opacity": _opacity,
    "x": parse_length,
    "y": parse_length,
    "cx": parse_length,
    "cy": parse_length,
    "r": _size,
    "rx": _auto_size,
    "ry": _auto_size,
    "width": _auto_size,
    "height": _auto_size,
    "d": _any,
    "background": _any,
    "background-color": _any,
    "background-image": _any,
}

GEOMETRY = frozenset({"x", "y", "cx", "cy", "r", "rx", "ry", "width", "height", "d", "transform"})
"""Read from the attributes directly; only a style sheet's value for them goes through the cascade."""

_CSS_ONLY = frozenset(
    [
        "transform-box",
        "translate",
        "rotate",
        "scale",
        "offset-path",
        "background",
        "background-color",
        "background-image",
    ]
)
PRESENTATION = frozenset(PARSERS) - GEOMETRY - _CSS_ONLY | {"style"}
"""Attributes that take part in the cascade."""

_BLACK = PaintValue("color", Color((0.0, 0.0, 0.0), 1.0, "srgb", (0.0, 0.0, 0.0)), text="black")

INHERITED: dict[str, Any] = {
    "color": _BLACK,
    "fill": _BLACK,
    "fill-opacity": 1.0,
    "fill-rule": "nonzero",
    "stroke": NONE,
    "stroke-width": Length(1.0, ""),
    "stroke-opacity": 1.0,
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": 4.0,
    "stroke-dasharray": (),
    "stroke-dashoffset": Length(0.0, ""),
    "clip-rule": "nonzero",
    "visibility": "visible",
    "font-size": Length(16.0, "px"),
    "text-anchor": "start",
    "writing-mode": "horizontal-tb",
    "marker-start": "",
    "marker-mid": "",
    "marker-end": "",
    "paint-order": "normal",
}
"""Inherited properties and their initial values."""

INITIAL: dict[str, Any] = {
    "opacity": 1.0,
    "display": "inline",
    "clip-path": "",
    "mask": "",
    "filter": "",
    "mix-blend-mode": "normal",
    "transform-origin": "",
    "transform-box": "view-box",
    "overflow": "",
    "vector-effect": "none",
    "stop-color": _BLACK,
    "stop-opacity": 1.0,
    "solid-color": _BLACK,
    "solid-opacity": 1.0,
}
"""Initial values of the properties that are not inherited."""
