"""The window films with a fault planted for each rule that looks at marks, roll and size, and where each is."""

from __future__ import annotations

import math

from demo_sheet.draft import Fault
from demo_sheet.outline import bounds
from demo_sheet.sheet import Sheet, placed
from demo_sheet.windows import (
    CROSS_SIZE,
    CROSSES,
    DOT_RADIUS,
    DOTS,
    WIDTH,
    bow_gull,
    colour_bar,
    cross,
    dot,
    window_sheet,
    windows,
)

OFF = (0.6, 0.8)
"""mm that the upper right dot has been moved: 1 mm in all."""
GREY = 170
"""Of 255: what the lower left dot is painted with."""
LARGE = 5.0
"""mm, radius of the lower right dot."""
OVER = 6.0
"""mm that a cut runs off the page."""
HIGH = 32.0
"""mm from the leading edge to the bar of colours."""
SIDE_MARGIN, LEAD_MARGIN = 25.0, 50.0
_PAPER_LIGHTNESS, _PAPER_Y = 95.0, 0.8762
"""L* and Y of coated paper in the characterisation data FOGRA39L."""


def faulty_windows() -> tuple[Sheet, list[Fault]]:
    """The page and its faults, in the order of the design's table of rules."""
    films = windows()
    berry = films["Strawberry"]
    half, rounding = 3.0 * 11.0, 3.0 * 5.0  # its square, and the rounding of its corners, mm
    middle = 150.0
    films["Strawberry"] = placed(berry, WIDTH + OVER - half - 505.0, 0.0)
    moved = (DOTS[1][0] + OFF[0], DOTS[1][1] + OFF[1])
    marks = (
        dot(1, DOTS[0]),
        dot(2, moved),
        dot(3, DOTS[2], tone=f"#{GREY:02x}{GREY:02x}{GREY:02x}"),
        dot(4, DOTS[3], LARGE),
        *(cross(number, centre) for number, centre in enumerate(CROSSES, 1) if number != 2),
    )
    sheet = window_sheet(
        "Quillsay Ferry: films for the saloon windows, with every fault of marks and roll",
        "One fault is planted for each rule; window-films-faulty.expected.json says where and how large it is.",
        films,
        colour_bar(HIGH),
        marks,
    )
    # The edge of the page parts the rounded corners where their arcs are this far from the straight side.
    rise = math.sqrt(rounding**2 - (rounding - OVER) ** 2)
    reach = half - rounding + rise
    left, foot = DOTS[0][0] - DOT_RADIUS, DOTS[3][1] + LARGE  # of all that is made
    x, y = CROSSES[1]
    arm = CROSS_SIZE / 2
    field = bounds(colour_bar(HIGH)[0].path)[0] + 7.0  # the middle of the first colour
    (grey_x, grey_y), (large_x, large_y) = DOTS[2], DOTS[3]
    return sheet, [
        Fault(
            "cut-off-page",
            "Through Cut",
            "Strawberry",
            (WIDTH, middle - reach, WIDTH + OVER, middle + reach),
            ((WIDTH, middle), (WIDTH + OVER, middle)),
            measured=OVER,
            unit="mm",
        ),
        Fault(
            "marks-missing",
            "Registration Marks",
            "The upper right cross",
            (x - arm, y - arm, x + arm, y + arm),
            (CROSSES[1],),
            measured=3,
            unit="marks",
        ),
        Fault(
            "marks-skewed",
            "Registration Marks",
            "The upper right dot",
            (*DOTS[1], *moved),
            (moved, DOTS[1]),
            measured=math.hypot(*OFF),
            unit="mm",
        ),
        Fault(
            "marks-faint",
            "Registration Marks",
            "The lower left dot",
            (grey_x, grey_y, grey_x, grey_y),
            (DOTS[2],),
            measured=_PAPER_LIGHTNESS - _lightness(GREY),
            unit="L*",
        ),
        Fault(
            "mark-size",
            "Registration Marks",
            "The lower right dot",
            (large_x - LARGE, large_y - LARGE, large_x + LARGE, large_y + LARGE),
            ((large_x - LARGE, large_y), (large_x + LARGE, large_y)),
            measured=2 * LARGE,
            unit="mm",
        ),
        Fault(
            "media-overflow",
            "Through Cut",
            "Strawberry",
            (WIDTH - SIDE_MARGIN, HIGH, WIDTH + OVER, foot),
            ((WIDTH, middle),),
            measured=0.0,
            unit="mm",
        ),
        Fault(
            "lead-short",
            "Print Art",
            "The bar of colours",
            (left, HIGH, WIDTH + OVER, LEAD_MARGIN),
            ((field, 0.0), (field, HIGH)),
            measured=HIGH,
            unit="mm",
        ),
    ]


def _lightness(grey: int) -> float:
    """L* of a grey of the screen on coated paper: IEC 61966-2-1 to linear light, its white the paper's, CIE 15 to L*."""
    linear = ((grey / 255 + 0.055) / 1.055) ** 2.4
    return 116 * math.cbrt(linear * _PAPER_Y) - 16


def gull_at_a_tenth() -> tuple[Sheet, list[Fault]]:
    """The gull at a tenth of its size, and the doubt about that."""
    sheet = bow_gull(0.1)
    whole = (0.0, 0.0, sheet.width, sheet.height)
    return sheet, [Fault("scale-doubtful", "", "The page", whole, measured=sheet.width, unit="mm")]
