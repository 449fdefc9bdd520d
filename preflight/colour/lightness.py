"""Lightness L* of single colours as they are printed on white coated paper. Knows no paint and no limit.

Process inks: Yule and Nielsen's correction (n = 2) on Neugebauer's primaries, which reproduces the colours of the set below to some two
ΔE00. Colours of a screen are seen relative to the paper: their white is the paper's.
"""

from __future__ import annotations

import math
from itertools import product

from preflight.colour.spaces import EPSILON, KAPPA, srgb_to_xyz_d65

__all__ = ["PAPER", "lightness_of_inks", "lightness_of_screen", "lightness_of_tint"]

PAPER = 95.0
"""L* of paper type 1 and 2, ISO 12647-2:2004/Amd 1, as in the characterisation data FOGRA39L."""

# CIE Y of the sixteen solids and overprints of FOGRA39L (Fogra, December 2006, zlib licence), Y/100.
_SOLIDS = {
    "": 87.62, "C": 22.93, "M": 16.79, "Y": 74.16, "CM": 4.10, "MY": 16.02, "CY": 18.42, "CMY": 3.80,
    "K": 2.10, "MK": 1.18, "CK": 1.18, "CMK": 0.87, "YK": 2.04, "MYK": 1.31, "CYK": 1.31, "CMYK": 0.97,
}  # fmt: skip

_N = 2.0
"""Yule and Nielsen's exponent that fits that set best: mean ΔE00 6.6 for 1, 3.3 for 1.5, 2.0 for 2, 2.5 for 3."""


def lightness_of_inks(cyan: float, magenta: float, yellow: float, black: float) -> float:
    """L* of process inks, area shares 0–1."""
    areas = [min(max(share, 0.0), 1.0) for share in (cyan, magenta, yellow, black)]
    root = 0.0
    for laid in product((False, True), repeat=4):
        weight = math.prod(share if on else 1.0 - share for share, on in zip(areas, laid, strict=True))
        name = "".join(letter for letter, on in zip("CMYK", laid, strict=True) if on)
        root += weight * (_SOLIDS[name] / 100.0) ** (1.0 / _N)
    return _lightness(root**_N)


def lightness_of_screen(rgb: tuple[float, float, float]) -> float:
    """L* of an sRGB colour 0–1 whose white is the paper. Black is 0, which no printer reaches."""
    red, green, blue = (min(max(value, 0.0), 1.0) for value in rgb)
    return _lightness(srgb_to_xyz_d65((red, green, blue))[1] * _SOLIDS[""] / 100.0)


def lightness_of_tint(solid: float, tint: float) -> float:
    """L* of an ink laid down on a share 0–1 of the paper, given the L* of its solid."""
    share = min(max(tint, 0.0), 1.0)
    root = share * _luminance(solid) ** (1.0 / _N) + (1.0 - share) * (_SOLIDS[""] / 100.0) ** (1.0 / _N)
    return _lightness(root**_N)


def _lightness(y: float) -> float:
    return 116.0 * math.cbrt(y) - 16.0 if y > EPSILON else y * KAPPA


def _luminance(lightness: float) -> float:
    return ((lightness + 16.0) / 116.0) ** 3 if lightness > EPSILON * KAPPA else lightness / KAPPA
