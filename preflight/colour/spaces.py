"""Conversions between the colour spaces of CSS Color 4, for single colours. Knows no CSS syntax and no file.

Matrices and constants: w3c csswg-drafts, css-color-4/conversions.js; the
matrices of Display P3, A98, ProPhoto and Rec. 2020 are worked out here from the primaries those standards give.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "D50",
    "D65",
    "EPSILON",
    "KAPPA",
    "PREDEFINED",
    "cal_rgb_to_xyz",
    "cmyk_to_srgb",
    "hsl_to_srgb",
    "hwb_to_srgb",
    "lab_to_srgb",
    "lab_to_xyz",
    "lab_to_xyz_d50",
    "oklab_to_srgb",
    "predefined_to_srgb",
    "srgb_to_lab",
    "srgb_to_xyz_d65",
    "xyz_d50_to_lab",
    "xyz_d50_to_srgb",
    "xyz_d65_to_srgb",
    "xyz_to_srgb",
    "xyz_to_xyz",
]

Triple = tuple[float, float, float]
Floats = NDArray[np.float64]

D65: Triple = (0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290)
D50: Triple = (0.3457 / 0.3585, 1.0, (1 - 0.3457 - 0.3585) / 0.3585)

_SRGB_TO_XYZ = np.array(
    [
        [506752 / 1228815, 87881 / 245763, 12673 / 70218],
        [87098 / 409605, 175762 / 245763, 12673 / 175545],
        [7918 / 409605, 87881 / 737289, 1001167 / 1053270],
    ]
)
_XYZ_TO_SRGB = np.array(
    [
        [12831 / 3959, -329 / 214, -1974 / 3959],
        [-851781 / 878810, 1648619 / 878810, 36519 / 878810],
        [705 / 12673, -2585 / 12673, 705 / 667],
    ]
)
_D65_TO_D50 = np.array(
    [
        [1.0479297925449969, 0.022946870601609652, -0.05019226628920524],
        [0.02962780877005599, 0.9904344267538799, -0.017073799063418826],
        [-0.009243040646204504, 0.015055191490298152, 0.7518742814281371],
    ]
)
_D50_TO_D65 = np.linalg.inv(_D65_TO_D50)
# Björn Ottosson, "A perceptual color space for image processing" (2020), as in CSS Color 4, section 9.
_OKLAB_TO_LMS = np.array(
    [
        [1.0, 0.3963377773761749, 0.2158037573099136],
        [1.0, -0.1055613458156586, -0.0638541728258133],
        [1.0, -0.0894841775298119, -1.2914855480194092],
    ]
)
_LMS_TO_XYZ = np.array(
    [
        [1.2268798758459243, -0.5578149944602171, 0.2813910456659647],
        [-0.0405757452148008, 1.1122868032803170, -0.0717110580655164],
        [-0.0763729366746601, -0.4214933324022432, 1.5869240198367816],
    ]
)
# Linear Bradford cone responses: Hunt and Süsstrunk by way of ICC.1 annex E; it gives _D65_TO_D50 back (tested).
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
EPSILON = 216 / 24389
KAPPA = 24389 / 27
"""CIE 15, with the exact fractions of CSS Color 4 (conversions.js): where the straight part of L* ends, and its slope."""


def _times(matrix: Floats, triple: Triple) -> Triple:
    x, y, z = triple
    a, b, c = matrix.tolist()
    return (
        a[0] * x + a[1] * y + a[2] * z,
        b[0] * x + b[1] * y + b[2] * z,
        c[0] * x + c[1] * y + c[2] * z,
    )


def _mapped(function: Callable[[float], float], triple: Triple) -> Triple:
    return function(triple[0]), function(triple[1]), function(triple[2])


def _srgb_to_linear(value: float) -> float:
    size = abs(value)
    return value / 12.92 if size <= 0.04045 else math.copysign(((size + 0.055) / 1.055) ** 2.4, value)


def _linear_to_srgb(value: float) -> float:
    size = abs(value)
    return 12.92 * value if size <= 0.0031308 else math.copysign(1.055 * size ** (1 / 2.4) - 0.055, value)


def srgb_to_xyz_d65(rgb: Triple) -> Triple:
    """XYZ relative to D65 (Y of white = 1) of sRGB 0–1; components outside 0–1 keep their sign."""
    return _times(_SRGB_TO_XYZ, _mapped(_srgb_to_linear, rgb))


def xyz_d65_to_srgb(xyz: Triple) -> Triple:
    """SRGB 0–1, not clipped, of XYZ relative to D65."""
    return _mapped(_linear_to_srgb, _times(_XYZ_TO_SRGB, xyz))


def xyz_d50_to_srgb(xyz: Triple) -> Triple:
    """SRGB 0–1, not clipped, of XYZ relative to D50 (Bradford adaptation)."""
    return xyz_d65_to_srgb(_times(_D50_TO_D65, xyz))


def lab_to_xyz_d50(lab: Triple) -> Triple:
    """XYZ relative to D50 of CIE Lab (D50)."""
    return lab_to_xyz(lab, D50)


def lab_to_xyz(lab: Triple, white: Triple) -> Triple:
    """XYZ of CIE Lab that is relative to any white (Y of white = 1)."""
    fy = (lab[0] + 16) / 116
    fx, fz = lab[1] / 500 + fy, fy - lab[2] / 200
    x = fx**3 if fx**3 > EPSILON else (116 * fx - 16) / KAPPA
    y = fy**3 if lab[0] > KAPPA * EPSILON else lab[0] / KAPPA
    z = fz**3 if fz**3 > EPSILON else (116 * fz - 16) / KAPPA
    return x * white[0], y * white[1], z * white[2]


def xyz_d50_to_lab(xyz: Triple) -> Triple:
    """CIE Lab (D50) of XYZ relative to D50."""

    def curve(value: float) -> float:
        return math.cbrt(value) if value > EPSILON else (KAPPA * value + 16) / 116

    fx, fy, fz = curve(xyz[0] / D50[0]), curve(xyz[1] / D50[1]), curve(xyz[2] / D50[2])
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


@cache
def _adaptation(source: Triple, target: Triple) -> Floats:
    """Matrix that takes XYZ seen under one white to XYZ seen under another (linear Bradford)."""
    seen, wanted = _BRADFORD @ np.array(source), _BRADFORD @ np.array(target)
    matrix: Floats = np.linalg.inv(_BRADFORD) @ np.diag(wanted / seen) @ _BRADFORD
    return matrix


def xyz_to_xyz(xyz: Triple, source: Triple, target: Triple) -> Triple:
    """XYZ relative to the white ``target`` that looks like ``xyz`` relative to ``source``; Y of both whites is 1.

    A ``source`` or ``target`` with a number that is not above 0 gives numbers without meaning.
    """
    return xyz if source == target else _times(_adaptation(source, target), xyz)


def xyz_to_srgb(xyz: Triple, white: Triple) -> Triple:
    """SRGB 0–1, not clipped, of XYZ relative to any white (Bradford adaptation)."""
    return xyz_d65_to_srgb(xyz_to_xyz(xyz, white, D65))


def cal_rgb_to_xyz(rgb: Triple, gamma: Triple, columns: tuple[Triple, Triple, Triple]) -> Triple:
    """XYZ of calibrated RGB 0–1 by its gammas and the XYZ of its primaries (ISO 32000-1 8.6.5.3)."""
    a, b, c = (value**power for value, power in zip(rgb, gamma, strict=True))
    (xa, ya, za), (xb, yb, zb), (xc, yc, zc) = columns
    return xa * a + xb * b + xc * c, ya * a + yb * b + yc * c, za * a + zb * b + zc * c


def srgb_to_lab(rgb: Triple) -> Triple:
    """CIE Lab (D50) of sRGB 0–1."""
    return xyz_d50_to_lab(_times(_D65_TO_D50, srgb_to_xyz_d65(rgb)))


def lab_to_srgb(lab: Triple) -> Triple:
    """SRGB 0–1, not clipped, of CIE Lab (D50)."""
    return xyz_d50_to_srgb(lab_to_xyz_d50(lab))


def oklab_to_srgb(oklab: Triple) -> Triple:
    """SRGB 0–1, not clipped, of Oklab."""
    roots = _times(_OKLAB_TO_LMS, oklab)
    return xyz_d65_to_srgb(_times(_LMS_TO_XYZ, _mapped(lambda value: value**3, roots)))


def hsl_to_srgb(hue: float, saturation: float, lightness: float) -> Triple:
    """SRGB of hue in degrees, saturation and lightness 0–1 (CSS Color 4, section 7)."""

    def channel(place: float) -> float:
        k = (place + hue / 30) % 12
        return lightness - saturation * min(lightness, 1 - lightness) * max(-1.0, min(k - 3, 9 - k, 1.0))

    return channel(0), channel(8), channel(4)


def hwb_to_srgb(hue: float, white: float, black: float) -> Triple:
    """SRGB of hue in degrees, whiteness and blackness 0–1 (CSS Color 4, section 8)."""
    if white + black >= 1:
        grey = white / (white + black)
        return grey, grey, grey
    return _mapped(lambda value: value * (1 - white - black) + white, hsl_to_srgb(hue, 1.0, 0.5))


def cmyk_to_srgb(cyan: float, magenta: float, yellow: float, black: float) -> Triple:
    """Naive conversion of uncalibrated inks 0–1, good for a preview only (CSS Color 4, `device-cmyk()`)."""
    return (1 - cyan) * (1 - black), (1 - magenta) * (1 - black), (1 - yellow) * (1 - black)


_Chromaticity = tuple[float, float]


@cache
def _rgb_to_xyz(red: _Chromaticity, green: _Chromaticity, blue: _Chromaticity, white: Triple) -> Floats:
    """Matrix from linear RGB to XYZ by its primaries (x, y) and white point."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in (red, green, blue)]).T
    matrix: Floats = columns * np.linalg.solve(columns, np.array(white))
    return matrix


def _a98_to_linear(value: float) -> float:
    return math.copysign(abs(value) ** (563 / 256), value)


def _prophoto_to_linear(value: float) -> float:
    size = abs(value)
    return value / 16 if size <= 16 / 512 else math.copysign(size**1.8, value)


def _rec2020_to_linear(value: float) -> float:
    alpha, beta = 1.09929682680944, 0.018053968510807
    size = abs(value)
    return (
        value / 4.5 if size < beta * 4.5 else math.copysign(((size + alpha - 1) / alpha) ** (1 / 0.45), value)
    )


# Primaries: SMPTE EG 432-1 (P3) with D65; Adobe RGB (1998) 4.3.1; ISO 22028-2 (ROMM); ITU-R BT.2020 table 3.
_P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
_A98 = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
_PROPHOTO = ((0.734699, 0.265301), (0.159597, 0.840403), (0.036598, 0.000105))
_REC2020 = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))

PREDEFINED = frozenset(
    {
        "srgb",
        "srgb-linear",
        "display-p3",
        "a98-rgb",
        "prophoto-rgb",
        "rec2020",
        "xyz",
        "xyz-d50",
        "xyz-d65",
    }
)
"""Names that ``color()`` of CSS Color 4 knows."""


def predefined_to_srgb(space: str, values: Triple) -> Triple:
    """SRGB 0–1, not clipped, of a colour in one of the predefined spaces.

    Raises
    ------
    KeyError
        The space is not one of `PREDEFINED`.
    """
    match space:
        case "srgb":
            return values
        case "srgb-linear":
            return _mapped(_linear_to_srgb, values)
        case "display-p3":
            return xyz_d65_to_srgb(_times(_rgb_to_xyz(*_P3, D65), _mapped(_srgb_to_linear, values)))
        case "a98-rgb":
            return xyz_d65_to_srgb(_times(_rgb_to_xyz(*_A98, D65), _mapped(_a98_to_linear, values)))
        case "prophoto-rgb":
            return xyz_d50_to_srgb(_times(_rgb_to_xyz(*_PROPHOTO, D50), _mapped(_prophoto_to_linear, values)))
        case "rec2020":
            return xyz_d65_to_srgb(_times(_rgb_to_xyz(*_REC2020, D65), _mapped(_rec2020_to_linear, values)))
        case "xyz" | "xyz-d65":
            return xyz_d65_to_srgb(values)
        case "xyz-d50":
            return xyz_d50_to_srgb(values)
    raise KeyError(space)
