"""Lengths of type and rules: given and shown in points, mm for whoever reads them."""

import pytest

from preflight.profile.errors import SettingError
from preflight.profile.settings import Setting, points

LEAST = points(5, "five points, to be shown as they are given")


def test_a_point_is_a_72nd_of_an_inch() -> None:
    # The point of ISO 32000-1, 8.3.2.3: 1/72 in; 1 in = 25.4 mm (ISO 80000-3).
    assert points(72, "an inch").default == pytest.approx(25.4, abs=1e-12)


@pytest.mark.parametrize("value", [0.25, 0.5, 1, 5, 6.5, 8])
def test_what_is_given_in_points_is_shown_and_written_in_points(value: float) -> None:
    setting: Setting = points(value, "some reason")
    assert setting.shown(setting.default) == setting.written(setting.default) == f"{value:g} pt"
    assert setting.parsed(f"{value:g} pt") == pytest.approx(setting.default, abs=1e-12)


def test_other_units_are_taken_and_a_bare_number_is_not() -> None:
    assert LEAST.parsed("2 mm") == 2.0
    with pytest.raises(SettingError):
        LEAST.parsed(5)
    assert LEAST.schema()["default"] == "5 pt"
