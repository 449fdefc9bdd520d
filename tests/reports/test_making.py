"""Production figures in words: on the terminal and in the HTML report."""

from __future__ import annotations

import pytest

from preflight.job.making.production import Production, RollUse, StepProduction
from preflight.reports.making import duration, knife_words, roll_words

KISS = StepProduction(step="PartialCutting", pieces=8500, contours=8500, cut_length_mm=1e6, lifts=8500)
THROUGH = StepProduction(
    step="Cutting", pieces=1500, contours=1500, cut_length_mm=1e6, lifts=1500, time_s=7200.0
)
ROLL = RollUse(
    frame_mm=(100, 60), columns=12, rows=42, width_mm=1370, length_mm=2743, area_m2=3.7579, waste=0.4013
)


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        (0, "0 s"), (0.2, "1 s"), (59.4, "59 s"), (59.6, "1 min"), (60, "1 min"), (750, "12 min 30 s"),
        (3599.6, "1 h"), (9060, "2 h 31 min"), (3_600_000, "1,000 h"),
    ],
)  # fmt: skip
def test_a_duration_is_as_fine_as_people_plan_by(seconds: float, told: str) -> None:
    assert duration(seconds) == told


def test_how_much_vinyl_is_told_in_metres_and_square_metres() -> None:
    told = roll_words(Production((), 500, None, ROLL))
    assert told == (
        "500 copies, 12 side by side in 42 rows, take 2.74 m of a roll 1370 mm wide: 3.76 m², "
        "40 % of which ends in no piece."
    )
    single = RollUse(frame_mm=(100, 60), columns=1, rows=1, width_mm=610.5, length_mm=160, area_m2=0.0977)
    assert (
        roll_words(Production((), 1, None, single))
        == "1 copy takes 0.16 m of a roll 610.5 mm wide: 0.098 m²."
    )


def test_what_is_not_known_of_the_roll_is_said_where_it_was_asked() -> None:
    assert roll_words(Production()) is None
    assert "[media] width" in (roll_words(Production((), 2)) or "")
    assert "Not one copy fits" in (roll_words(Production((), 1, None, None, False)) or "")


def test_the_knife_is_told_of_where_copies_or_speeds_are_stated() -> None:
    assert knife_words(Production()) is None
    assert knife_words(Production((KISS,))) is None
    assert "8,500 lifts of the knife" in (knife_words(Production((KISS,), 500)) or "")
    both = knife_words(Production((THROUGH, THROUGH), 500, 14400.0))
    assert both == "For 500 copies: 3,000 lifts of the knife, 4 h of cutting."


def test_a_step_without_a_speed_is_named() -> None:
    told = knife_words(Production((THROUGH, KISS), 500)) or ""
    assert "10,000 lifts" in told
    assert "2 h for the through cut" in told
    assert "no time is estimated for kiss cut" in told
