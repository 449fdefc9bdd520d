"""Pages on the roll in PDF: content in operators, mm, y down. The profiles beside the files say how wide the roll is."""

from __future__ import annotations

from rule_sheets.case import found
from rule_sheets.content_sheet import ContentCase

OVERFLOW, LEAD, SCALE = "media-overflow", "lead-short", "scale-doubtful"
ART = "0.96 0.64 0.38 rg {} {} {} {} re f"


def layout_cases() -> tuple[ContentCase, ...]:
    """Jobs against a cutter of 49 in and media of 1370 mm, against media of 610 mm, and sizes out of all proportion."""
    return (
        _case(
            OVERFLOW,
            "near-pass-page",
            "Art 1244.5 mm wide on a cutter of 49 in",
            (1300, 500),
            (20, 50, 1244.5, 400),
        ),
        _case(
            OVERFLOW,
            "near-fail-page",
            "Art 1244.7 mm wide on a cutter of 49 in",
            (1300, 500),
            (20, 50, 1244.7, 400),
            found(OVERFLOW, (20, 50, 1264.7, 450), 1244.7),
        ),
        _case(
            OVERFLOW,
            "fail-media",
            "A page as wide as the media, whose art reaches its right edge",
            (1370, 500),
            (200, 50, 1200, 400),
            found(OVERFLOW, (1345, 50, 1370, 450), 0),
        ),
        _case(
            LEAD,
            "fail-tail",
            "Art 12 mm from the tail edge of a page as wide as the media",
            (610, 500),
            (40, 60, 500, 428),
            found(LEAD, (40, 450, 540, 488), 12),
        ),
        _case(
            SCALE,
            "pass-page",
            "Every size in PDF is in points, and nothing of it is in doubt",
            (60, 40),
            (5, 5, 50, 30),
        ),
        _case(
            SCALE,
            "fail-tiny",
            "A drawing at a hundredth that nobody has confirmed",
            (9, 6),
            (1, 1, 6, 4),
            found(SCALE, (0, 0, 9, 6), 9),
        ),
    )


def _case(
    rule: str,
    name: str,
    title: str,
    size: tuple[float, float],
    art: tuple[float, float, float, float],
    *findings: dict[str, object],
) -> ContentCase:
    boxes = {"MediaBox": (0.0, 0.0, *size)}
    return ContentCase(rule, name, title, ART.format(*art), findings, boxes=boxes, judged_by=(rule,))
