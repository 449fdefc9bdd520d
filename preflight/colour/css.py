"""Reads CSS Color 4 syntax into sRGB and the numbers as written. Knows no style sheet, no file and no artwork."""

from __future__ import annotations

import re
from typing import NamedTuple

from preflight.colour.names import NAMED_COLORS

__all__ = ["SYSTEM_COLORS", "CssColor", "parse_color"]


class CssColor(NamedTuple):
    """A colour as written.

    ``rgb`` sRGB 0–1, not clipped; ``alpha`` 0–1; ``space`` the name of the space the numbers are in
    (``srgb``, ``hsl``, ``lab``, ``device-cmyk``, ``display-p3`` …); ``components`` those numbers.
    """

    rgb: tuple[float, float, float]
    alpha: float
    space: str
    components: tuple[float, ...]


SYSTEM_COLORS = frozenset(
    [
        "accentcolor",
        "accentcolortext",
        "activetext",
        "buttonborder",
        "buttonface",
        "buttontext",
        "canvas",
        "canvastext",
        "field",
        "fieldtext",
        "graytext",
        "highlight",
        "highlighttext",
        "linktext",
        "mark",
        "marktext",
        "selecteditem",
        "selecteditemtext",
        "visitedtext",
        "activeborder",
        "activecaption",
        "appworkspace",
        "background",
        "buttonhighlight",
        "buttonshadow",
        "captiontext",
        "inactiveborder",
        "inactivecaption",
        "inactivecaptiontext",
        "infobackground",
        "infotext",
        "menu",
        "menutext",
        "scrollbar",
        "threeddarkshadow",
        "threedface",
        "threedhighlight",
        "threedlightshadow",
        "threedshadow",
        "window",
        "windowframe",
        "windowtext",
    ]
)
"""Names whose colour depends on the screen they are shown on (CSS Color 4, section 6.2 and appendix A)."""

_FUNCTION = r"([a-z-]+)\(\s*(.*?)\s*\)"


def parse_color(text: str) -> CssColor | None:
    """Read one colour; None where it is none (``currentColor`` and system colours included).

    >>> parse_color("#f00").rgb
    (1.0, 0.0, 0.0)
    """
    text = text.strip().lower()
    if text.startswith("#"):
        return _hexadecimal(text)
    named = NAMED_COLORS.get(text)
    if named:
        return _from_bytes(named, 1.0)
    if text == "transparent":
        return CssColor((0.0, 0.0, 0.0), 0.0, "srgb", (0.0, 0.0, 0.0))
    found = re.fullmatch(_FUNCTION, text, re.DOTALL)
    if not found:
        return None
    from preflight.colour.css_functions import (
        by_function,  # with the spaces; hex codes and names need neither
    )

    return by_function(*found.groups())


def _hexadecimal(text: str) -> CssColor | None:
    digits = text[1:]
    if len(digits) not in (3, 4, 6, 8) or not digits.isalnum():
        return None
    if len(digits) < 6:
        digits = "".join(digit * 2 for digit in digits)
    try:
        numbers = bytes.fromhex(digits)
    except ValueError:  # other letters
        return None
    return _from_bytes((numbers[0], numbers[1], numbers[2]), numbers[3] / 255 if len(numbers) == 4 else 1.0)


def _from_bytes(numbers: tuple[int, int, int], alpha: float) -> CssColor:
    rgb = (numbers[0] / 255, numbers[1] / 255, numbers[2] / 255)
    return CssColor(rgb, alpha, "srgb", rgb)
