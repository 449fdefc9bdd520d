"""Conversions relative to any white, against colormath and against each other."""

from __future__ import annotations

import pytest

from preflight.colour import spaces

# ISO 32000-1 8.6.5.3 gives no numbers; white and primaries of sRGB by IEC 61966-2-1, as fractions of CSS Color 4 (conversions.js).
SRGB_COLUMNS = (
    (506752 / 1228815, 87098 / 409605, 7918 / 409605),
    (87881 / 245763, 175762 / 245763, 87881 / 737289),
    (12673 / 70218, 12673 / 175545, 1001167 / 1053270),
)


def test_adaptation_to_d50_is_the_published_one():
    # The Bradford matrix of CSS Color 4 (conversions.js), row by row.
    published = [
        [1.0479297925449969, 0.022946870601609652, -0.05019226628920524],
        [0.02962780877005599, 0.9904344267538799, -0.017073799063418826],
        [-0.009243040646204504, 0.015055191490298152, 0.7518742814281371],
    ]
    unit = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    columns = [spaces.xyz_to_xyz(one, spaces.D65, spaces.D50) for one in unit]
    for row, expected in enumerate(published):
        assert [column[row] for column in columns] == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize("white", [spaces.D50, spaces.D65, (1.09850, 1.0, 0.35585), (0.9505, 1.0, 1.089)])
def test_a_white_stays_white(white):
    assert spaces.xyz_to_srgb(white, white) == pytest.approx((1, 1, 1), abs=1e-6)
    assert spaces.lab_to_xyz((100, 0, 0), white) == pytest.approx(white)


@pytest.mark.parametrize("lab", [(50, 20, -30), (80, -20, 40), (20, 5, 5), (3, 0, 0)])
@pytest.mark.parametrize("illuminant", ["d50", "d65"])
def test_lab_of_another_white_against_colormath(lab, illuminant):
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, sRGBColor

    white = {"d50": (0.96422, 1.0, 0.82521), "d65": (0.95047, 1.0, 1.08883)}[illuminant]  # colormath's own
    expected = convert_color(LabColor(*lab, illuminant=illuminant), sRGBColor).get_value_tuple()
    found = spaces.xyz_to_srgb(spaces.lab_to_xyz(lab, white), white)
    assert found == pytest.approx(expected, abs=0.002)


@pytest.mark.parametrize("rgb", [(0.2, 0.5, 0.8), (1.0, 0.0, 0.0), (0.9, 0.9, 0.1)])
def test_calibrated_rgb_with_the_primaries_of_srgb(rgb):
    shown = spaces.predefined_to_srgb("srgb-linear", rgb)
    found = spaces.cal_rgb_to_xyz(rgb, (1.0, 1.0, 1.0), SRGB_COLUMNS)
    assert found == pytest.approx(spaces.srgb_to_xyz_d65(shown))
    curved = tuple(value ** (1 / 2.2) for value in rgb)
    assert spaces.cal_rgb_to_xyz(curved, (2.2, 2.2, 2.2), SRGB_COLUMNS) == pytest.approx(found)
