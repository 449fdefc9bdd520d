"""Tiny sheets about bleed, margins and spacing where PDF has its own: separations, overprinting white, opacity."""

from __future__ import annotations

from typing import Any

from rule_sheets.case import CUT, KISS, SEA, TEA, Case, cut, found, kiss_layer
from rule_sheets.content_sheet import ContentCase, kiss_cut, lettering
from rule_sheets.tiny_pdf import Layer, Process, Shape, rectangle

BLEED, NEAR, SPACING, OFF_PAGE = "bleed-short", "art-near-cut", "cut-spacing", "cut-off-page"
CLEARANCES = ("clearances",)
WHITE = Process((0, 0, 0, 0))
"""Nothing in CMYK: white that takes away what lies below it."""


GROUND = "0.9 0.4 0.1 0.2 k 5 5 50 30 re f"
"""Art that bleeds past the cut all round."""


def _lettered(name: str, title: str, x: float, ground: str, *findings: dict[str, Any]) -> ContentCase:
    """Three letters of 10 pt, boxes 2.117 mm by 2.469 mm side by side, right of a cut at x 10 mm, on the line at y 20 mm."""
    words = lettering("AAA", 10, x, 20, font="F3", setting="1 1 1 rg" if ground else "0 g")
    return ContentCase(
        NEAR, name, title, f"{ground} {words} {kiss_cut(10, 10, 30, 20)}", findings, judged_by=CLEARANCES
    )


def clearance_cases() -> tuple[Case | ContentCase, ...]:
    """Each rule about distances on a page of separations and process inks."""
    return (
        _lettered(
            "fail-lettering",
            "Letters on a ground that bleeds, 1.2 mm inside the cut",
            11.2,
            GROUND.replace("0.9 0.4 0.1 0.2", "0.3 0 0 0"),
            found(NEAR, (11.2, 17.5306, 13.3167, 20), 1.2),
        ),
        _lettered(
            "near-pass-lettering", "Letters on a ground that bleeds, 2.0 mm inside the cut", 12.0, GROUND
        ),
        _lettered(
            "near-fail-lettering",
            "Letters on bare film, 1.97 mm inside the cut",
            11.97,
            "",
            found(NEAR, None, 1.97) | {"bounds_mm": [11.97, 17.5306, 11.99, 20]},
        ),
        Case(
            BLEED,
            "pass-separation",
            "A separation that goes 3 mm past the cut",
            (Layer("Print", (Shape(rectangle(7, 7, 36, 26), fill=TEA),)), kiss_layer()),
            judged_by=CLEARANCES,
        ),
        Case(
            BLEED,
            "fail-knocked-out-inks",
            "White takes the bleed away 1 mm past the cut",
            (
                Layer(
                    "Print",
                    (
                        Shape(rectangle(5, 5, 50, 30), fill=SEA),
                        Shape(rectangle(20, 31, 10, 9), fill=WHITE),
                    ),
                ),
                kiss_layer(),
            ),
            (found(BLEED, (20, 31, 30, 32.99), 1.0),),
            judged_by=CLEARANCES,
        ),
        Case(
            NEAR,
            "fail-tint",
            "A tint of 20 % ends 1.4 mm inside the cut",
            (
                Layer("Print", (Shape(rectangle(11.4, 14, 8, 8), fill=Process((0.2, 0, 0, 0))),)),
                kiss_layer(),
            ),
            (found(NEAR, (11.4, 14, 11.99, 22), 1.4),),
            judged_by=CLEARANCES,
        ),
        Case(
            SPACING,
            "fail-separation",
            "Two kiss cuts 1.5 mm apart, named by their separation",
            (Layer("Knife", (cut(rectangle(10, 10, 15, 20)), cut(rectangle(26.5, 10, 15, 20)))),),
            (found(SPACING, (25, 10, 26.5, 10), 1.5),),
            judged_by=CLEARANCES,
        ),
        Case(
            OFF_PAGE,
            "fail-below",
            "The kiss cut runs off the bottom of the page by 5 mm",
            (kiss_layer(cut(rectangle(10, 25, 20, 20), ink=KISS)),),
            (found(OFF_PAGE, (10, 40, 30, 45), 5.0),),
            judged_by=CLEARANCES,
        ),
        Case(
            NEAR,
            "pass-neutral",
            "Art 3 mm inside the cut in every ink",
            (Layer("Print", (Shape(rectangle(13, 13, 24, 14), fill=SEA),)), kiss_layer(cut(CUT))),
            judged_by=CLEARANCES,
        ),
    )
