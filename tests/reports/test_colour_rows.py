"""Named colours in the HTML report."""

from __future__ import annotations

import pytest

from preflight.reports.colours import lab_words
from preflight.reports.html.colours import colour_rows
from preflight.reports.report import ColourUse, NearestColour, TintUse

CHANNELS = ("C", "M", "Y", "K")
NEAREST = NearestColour(
    lab=(59.0, 53.0, 59.0), channels=CHANNELS, device=(0.0, 75.0, 98.1, 0.0), difference=4.914
)
SAME_HUE = NearestColour(lab=(57.0, 50.0, 43.0), channels=CHANNELS, device=(0, 80, 70, 0), difference=9.26)


def tint(**more: object) -> TintUse:
    values: dict[str, object] = {
        "percent": 100,
        "lab": (54.2905, 80.8049, 69.8910),
        "source": "library ferry.csv",
        "certain": True,
        "verdict": "out of reach",
        "nearest": NEAREST,
        "objects": 2,
    }
    return TintUse(**{**values, **more})  # type: ignore[arg-type]


def use(*tints: TintUse) -> ColourUse:
    """A colour in some tints, the verdict that of the first."""
    first = tints[0]
    return ColourUse(
        name="Ferry Orange",
        lab=tints[-1].lab,
        source=tints[-1].source,
        certain=True,
        verdict=first.verdict,
        percent=first.percent,
        difference=None if first.nearest is None else first.nearest.difference,
        nearest=first.nearest,
        tints=tints,
        reach_ab=() if first.nearest is None else ((50.0, 0.0), (0.0, 60.0), (-50.0, -10.0)),
    )


def test_a_row_shows_both_colours_and_where_they_lie() -> None:
    (row,) = colour_rows([use(tint())])
    # Lab D50 of sRGB red: worked out from IEC 61966-2-1 and the Bradford matrix of CSS Color 4.
    assert row.asked_fill == "#ff0000"
    assert (row.lab, row.nearest, row.device) == ("54 81 70", "59 53 59", "C 0 M 75 Y 98 K 0")
    assert row.outline == "50,0 0,-60 -50,10"
    assert row.asked_at == (80.8, -69.9)
    assert row.nearest_at == (53.0, -59.0)


def test_tints_have_rows_of_their_own_and_the_drawing_is_with_the_worst() -> None:
    pale = tint(percent=30, source="assumed from the full tint", same_hue=SAME_HUE)
    whole, first, second = colour_rows([use(pale, tint(verdict="within reach"))])
    assert (whole.name, whole.verdict, whole.difference, whole.outline, whole.is_tint) == (
        "Ferry Orange",
        "out of reach",
        "",
        "",
        False,
    )
    assert (first.name, first.source, first.is_tint) == ("30 %", "assumed from the full tint", True)
    assert (first.same_hue, bool(first.outline)) == ("C 0 M 80 Y 70 K 0, 9.3 off", True)
    assert (second.name, second.source, second.outline) == ("100 %", "", "")


def test_a_colour_that_is_not_known_has_no_swatch_and_no_drawing() -> None:
    (row,) = colour_rows([use(tint(lab=None, source="nothing", verdict="not known", nearest=None))])
    assert (row.asked_fill, row.nearest_fill, row.outline, row.asked_at) == (None, None, "", None)
    assert row.source == "nothing says what colour it is"


def test_a_colour_beyond_the_screen_is_clipped() -> None:
    (row,) = colour_rows([use(tint(lab=(60.0, -90.0, 90.0)))])
    assert row.asked_fill is not None
    assert len(row.asked_fill) == 7


@pytest.mark.parametrize(
    ("lab", "words"), [((62.4, -58.6, 0.2), "62 −59 0"), ((50.0, -0.4, -0.5), "50 0 0"), (None, "–")]
)
def test_lab_in_words(lab: tuple[float, float, float] | None, words: str) -> None:
    assert lab_words(lab) == words
