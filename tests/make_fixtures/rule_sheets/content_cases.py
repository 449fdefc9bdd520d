"""Tiny sheets about lettering, pictures, lines and strays in PDF."""

from __future__ import annotations

from rule_sheets.case import found
from rule_sheets.content_sheet import POINT, ContentCase, lettering

LIVE = "text-live"

TEN = 10 * POINT
LINE = (10, 20 - 0.7 * TEN, 10 + 1.5 * TEN, 20 + 0.2 * TEN)
"""Three letters of 10 pt on the line at y 20 mm, by the widths, ascent and descent of the font."""


def live_cases() -> tuple[ContentCase, ...]:
    """Text with and without its font."""
    return (
        ContentCase(
            LIVE,
            "fail-not-embedded",
            "Text in a font that the file does not hold",
            lettering("Tea", 10, 10, 20),
            (found(LIVE, LINE, level="error"),),
        ),
        ContentCase(
            LIVE,
            "pass-embedded",
            "Text in a font that the file holds",
            lettering("AAA", 10, 10, 20, font="F3"),
        ),
        ContentCase(
            LIVE,
            "near-pass-invisible",
            "Text in render mode 3, as laid over a scan: nothing shows",
            lettering("Tea", 10, 10, 20, setting="3 Tr 0 g"),
        ),
        ContentCase(
            LIVE,
            "degenerate-blanks",
            "Blanks in a font that the file does not hold draw nothing",
            lettering("   ", 10, 10, 20),
        ),
    )


def content_cases() -> tuple[ContentCase, ...]:
    """All of them."""
    return live_cases()
