"""Reads the functions of CSS Color 4 (``rgb()``, ``lab()``, ``color()`` …) and ``device-cmyk()`` of CSS Color 5. Knows no names."""

from __future__ import annotations

import math
import re

from preflight.colour import spaces
from preflight.colour.css import CssColor

__all__ = ["by_function"]

_NUMBER = r"([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)(%|deg|grad|rad|turn)?"
_TURNS = {"deg": 1.0, "": 1.0, "grad": 0.9, "rad": 180 / math.pi, "turn": 360.0}

_Value = tuple[float, str]


def by_function(name: str, body: str) -> CssColor | None:
    """The colour of a function by its name and what stands between its brackets, in lower case; None where it is none."""
    reader = _READERS.get(name)
    if name == "color":
        return _predefined(body)
    if name == "device-cmyk":
        return _device_cmyk(body)
    if reader is None:
        return None
    split = _arguments(body)
    if split is None or len(split[0]) != 3:
        return None
    values, alpha = split
    return reader(values, alpha)


def _arguments(body: str) -> tuple[list[_Value], float] | None:
    """The numbers of a function and its alpha, in the old form with commas or the new one with a slash."""
    if "," in body:
        parts = [part.strip() for part in body.split(",")]
        alpha_text = parts.pop() if len(parts) > 3 else None
    else:
        main, _, after = body.partition("/")
        parts = main.split()
        alpha_text = after.strip() if after else None
    values = [_value(part) for part in parts]
    alpha = 1.0 if alpha_text is None else _alpha(alpha_text)
    if alpha is None or None in values:
        return None
    return [value for value in values if value is not None], alpha


def _value(text: str) -> _Value | None:
    if text == "none":
        return 0.0, ""
    found = re.fullmatch(_NUMBER, text)
    return (float(found[1]), found[2] or "") if found else None


def _alpha(text: str) -> float | None:
    value = _value(text)
    if value is None or value[1] not in ("", "%"):
        return None
    return _clamped(value[0] / 100 if value[1] else value[0])


def _clamped(value: float, low: float = 0.0, high: float = 1.0) -> float:
    return min(max(value, low), high)


def _scaled(value: _Value, whole: float) -> float | None:
    """A number, or a percentage of ``whole``."""
    number, unit = value
    if unit == "%":
        return number * whole / 100
    return number if unit == "" else None


def _hue(value: _Value) -> float | None:
    number, unit = value
    return number * _TURNS[unit] % 360 if unit in _TURNS else None


def _rgb(values: list[_Value], alpha: float) -> CssColor | None:
    red, green, blue = (_scaled(value, 255) for value in values)
    if red is None or green is None or blue is None:
        return None
    rgb = (_clamped(red / 255), _clamped(green / 255), _clamped(blue / 255))
    return CssColor(rgb, alpha, "srgb", rgb)


def _hsl(values: list[_Value], alpha: float) -> CssColor | None:
    hue, saturation, lightness = _hue(values[0]), _scaled(values[1], 100), _scaled(values[2], 100)
    if hue is None or saturation is None or lightness is None:
        return None
    saturation, lightness = max(saturation, 0.0), _clamped(lightness, 0, 100)
    rgb = spaces.hsl_to_srgb(hue, saturation / 100, lightness / 100)
    return CssColor(rgb, alpha, "hsl", (hue, saturation, lightness))


def _hwb(values: list[_Value], alpha: float) -> CssColor | None:
    hue, white, black = _hue(values[0]), _scaled(values[1], 100), _scaled(values[2], 100)
    if hue is None or white is None or black is None:
        return None
    rgb = spaces.hwb_to_srgb(hue, _clamped(white / 100), _clamped(black / 100))
    return CssColor(rgb, alpha, "hwb", (hue, white, black))


def _lab(values: list[_Value], alpha: float) -> CssColor | None:
    lightness, a, b = _scaled(values[0], 100), _scaled(values[1], 125), _scaled(values[2], 125)
    if lightness is None or a is None or b is None:
        return None
    lab = (_clamped(lightness, 0, 100), a, b)
    return CssColor(spaces.lab_to_srgb(lab), alpha, "lab", lab)


def _lch(values: list[_Value], alpha: float) -> CssColor | None:
    lightness, chroma, hue = _scaled(values[0], 100), _scaled(values[1], 150), _hue(values[2])
    if lightness is None or chroma is None or hue is None:
        return None
    lightness, chroma = _clamped(lightness, 0, 100), max(chroma, 0.0)
    angle = math.radians(hue)
    lab = (lightness, chroma * math.cos(angle), chroma * math.sin(angle))
    return CssColor(spaces.lab_to_srgb(lab), alpha, "lch", (lightness, chroma, hue))


def _oklab(values: list[_Value], alpha: float) -> CssColor | None:
    lightness, a, b = _scaled(values[0], 1), _scaled(values[1], 0.4), _scaled(values[2], 0.4)
    if lightness is None or a is None or b is None:
        return None
    oklab = (_clamped(lightness), a, b)
    return CssColor(spaces.oklab_to_srgb(oklab), alpha, "oklab", oklab)


def _oklch(values: list[_Value], alpha: float) -> CssColor | None:
    lightness, chroma, hue = _scaled(values[0], 1), _scaled(values[1], 0.4), _hue(values[2])
    if lightness is None or chroma is None or hue is None:
        return None
    lightness, chroma = _clamped(lightness), max(chroma, 0.0)
    angle = math.radians(hue)
    rgb = spaces.oklab_to_srgb((lightness, chroma * math.cos(angle), chroma * math.sin(angle)))
    return CssColor(rgb, alpha, "oklch", (lightness, chroma, hue))


_READERS = {
    "rgb": _rgb,
    "rgba": _rgb,
    "hsl": _hsl,
    "hsla": _hsl,
    "hwb": _hwb,
    "lab": _lab,
    "lch": _lch,
    "oklab": _oklab,
    "oklch": _oklch,
}


def _predefined(body: str) -> CssColor | None:
    space, _, rest = body.partition(" ")
    split = _arguments(rest)
    if space not in spaces.PREDEFINED or split is None or "," in rest or len(split[0]) != 3:
        return None
    first, second, third = (_scaled(value, 1) for value in split[0])
    if first is None or second is None or third is None:
        return None
    values = (first, second, third)
    return CssColor(spaces.predefined_to_srgb(space, values), split[1], space, values)


def _device_cmyk(body: str) -> CssColor | None:
    """Four inks, with commas or without; a fallback colour after them (CSS Color 5) is not needed."""
    if "," in body:
        parts = [part.strip() for part in body.split(",")][:4]
        alpha: float | None = 1.0
    else:
        main, _, after = body.partition("/")
        parts = main.split()
        alpha = _alpha(after.strip()) if after else 1.0
    values = [_value(part) for part in parts]
    inks = [_scaled(value, 1) if value else None for value in values]
    if alpha is None or len(inks) != 4 or None in inks:
        return None
    cyan, magenta, yellow, black = (_clamped(ink) for ink in inks if ink is not None)
    components = (cyan, magenta, yellow, black)
    return CssColor(spaces.cmyk_to_srgb(*components), alpha, "device-cmyk", components)
