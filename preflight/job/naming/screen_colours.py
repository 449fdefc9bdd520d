"""Screen colours in whole 8-bit steps: how they are compared and written. Knows no object and no name."""

from __future__ import annotations

from functools import lru_cache

from preflight.artwork import Color

__all__ = ["ColorKey", "color_key", "hex_of", "key_of_hex", "whole_steps"]

ColorKey = tuple[int, int, int]


def color_key(color: Color | None) -> ColorKey | None:
    """The colour for exact comparison; None where there is no colour."""
    return None if color is None else whole_steps(color.rgb)


@lru_cache(maxsize=1 << 16)  # the same few colours paint a sheet's thousands of objects
def whole_steps(rgb: tuple[float, float, float]) -> ColorKey:
    """Components 0–1 in steps of 1/255; what lies outside goes to the nearest end."""
    red, green, blue = rgb
    return (
        max(0, min(255, round(red * 255))),
        max(0, min(255, round(green * 255))),
        max(0, min(255, round(blue * 255))),
    )


def hex_of(key: ColorKey) -> str:
    """The colour as ``#rrggbb``."""
    return "#{:02x}{:02x}{:02x}".format(*key)


def key_of_hex(text: str) -> ColorKey:
    """The colour written as ``#rgb`` or ``#rrggbb``."""
    digits = text.lstrip("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    return int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16)
