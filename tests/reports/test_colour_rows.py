"""Named colours in the HTML report."""

from __future__ import annotations

import pytest

from preflight.reports.colours import lab_words
from preflight.reports.html.colours import colour_rows
from preflight.reports.report import ColourUse, NearestColour

NEAREST = NearestColour(lab=(59.0, 53.0, 59.0), channels=("C", "M", "Y", "K"), device=(0.0, 75.0, 98.1, 0.0))


def use(**more: object) -> ColourUse:
    values: dict[str, object] = {
        "name": "Ferry Orange",
        "lab": (54.2905, 80.8049, 69.8910),
        "source": "library ferry.csv",
        "verdict": "out of reach",
        "difference": 4.914,
        "nearest": NEAREST,
        "reach_ab": ((50.0, 0.0), (0.0, 60.0), (-50.0, -10.0)),
    }
    return ColourUse(**{**values, **more})  # type: ignore[arg-type]


def test_a_row_shows_both_colours_and_where_they_lie() -> None:
    (row,) = colour_rows([use()])
    # Lab D50 of sRGB red: published-values.md 4.6.
    assert row.asked_fill == "#ff0000"
    assert (row.lab, row.nearest, row.device) == ("54 81 70", "59 53 59", "C 0 M 75 Y 98 K 0")
    assert row.outline == "50,0 0,-60 -50,10"
    assert row.asked_at == (80.8, -69.9)
    assert row.nearest_at == (53.0, -59.0)


def test_a_colour_that_is_not_known_has_no_swatch_and_no_drawing() -> None:
    (row,) = colour_rows(
        [use(lab=None, source="nothing", verdict="not known", difference=None, nearest=None, reach_ab=())]
    )
    assert (row.asked_fill, row.nearest_fill, row.outline, row.asked_at) == (None, None, "", None)
    assert row.source == "nothing says what colour it is"


def test_a_colour_beyond_the_screen_is_clipped() -> None:
    (row,) = colour_rows([use(lab=(60.0, -90.0, 90.0))])
    assert row.asked_fill is not None
    assert len(row.asked_fill) == 7


@pytest.mark.parametrize(
    ("lab", "words"), [((62.4, -58.6, 0.2), "62 −59 0"), ((50.0, -0.4, -0.5), "50 0 0"), (None, "–")]
)
def test_lab_in_words(lab: tuple[float, float, float] | None, words: str) -> None:
    assert lab_words(lab) == words
