"""Tiny sheets about lettering, pictures, lines and strays in PDF."""

from __future__ import annotations

from rule_sheets.case import found
from rule_sheets.content_sheet import POINT, ContentCase, Picture, lettering, placed

LIVE, ABSENT, COARSE, STRAY, SMALL, THIN = (
    "text-live",
    "image-absent",
    "image-coarse",
    "object-stray",
    "text-small",
    "line-thin",
)

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


AT = (10, 10, 20, 15)
"""Where the pictures lie."""
FINE = Picture(80, 40)
"""203 ppi there."""


def absent_cases() -> tuple[ContentCase, ...]:
    """Pictures that the file does not hold, or not all of."""
    here = placed("P", 10, 10, 10, 5)
    return (
        ContentCase(
            ABSENT,
            "fail-outside",
            "The content of the image is in another file",
            here,
            (found(ABSENT, AT, level="error"),),
            {"P": Picture(80, 40, outside="boat.hex")},
        ),
        ContentCase(ABSENT, "pass-inside", "The image is in the file", here, (), {"P": FINE}),
        ContentCase(
            ABSENT,
            "near-fail-last-row",
            "The last row of pixels is missing",
            here,
            (found(ABSENT, AT),),
            {"P": Picture(80, 40, held=39)},
        ),
        ContentCase(
            ABSENT,
            "near-pass-last-row",
            "A row of pixels more than the image has",
            here,
            (),
            {"P": Picture(80, 40, held=41)},
        ),
        ContentCase(
            ABSENT,
            "degenerate-unused",
            "A damaged image that the page does not draw",
            placed("P", 10, 10, 10, 5),
            (),
            {"P": FINE, "Q": Picture(80, 40, held=0)},
        ),
    )


def coarse_cases() -> tuple[ContentCase, ...]:
    """Pictures by how fine they lie: pixels / mm × 25.4."""

    def picture(
        name: str, title: str, columns: int, rows: int, *findings: dict[str, object], bits: int = 8
    ) -> ContentCase:
        held = {"P": Picture(columns, rows, bits)}
        return ContentCase(COARSE, name, title, placed("P", 10, 10, 10, 5), findings, held)

    def coarse(pixels: int, length: float, level: str) -> dict[str, object]:
        return found(COARSE, AT, pixels / length * 25.4, "ppi", level=level)

    return (
        picture("fail-grey", "31 × 40 pixels on 10 × 5 mm", 31, 40, coarse(31, 10, "error")),
        picture("fail-warning", "48 × 24 pixels on 10 × 5 mm", 48, 24, coarse(24, 5, "warning")),
        picture(
            "fail-line-art",
            "A line drawing of 80 × 40 pixels, one bit each, on 10 × 5 mm",
            80,
            40,
            coarse(80, 10, "warning"),
            bits=1,
        ),
        picture("pass-grey", "The same size in grey", 80, 40),
        picture("pass-line-art", "A line drawing of 160 × 80 pixels", 160, 80, bits=1),
        picture(
            "near-fail-wanted",
            "58 pixels on 10 mm, where 59.06 make 150 ppi",
            58,
            60,
            coarse(58, 10, "warning"),
        ),
        picture("near-pass-wanted", "59 pixels on 10 mm: 59.06, rounded to whole ones", 59, 30),
        picture(
            "near-fail-least", "38 pixels on 10 mm, where 39.37 make 100 ppi", 38, 60, coarse(38, 10, "error")
        ),
        ContentCase(
            COARSE,
            "near-fail-turned",
            "101.6 ppi along the edges of an image turned by 30°",
            "q 8.660254 5 2.5 -4.330127 20 15 cm /P Do Q",
            (found(COARSE, (20, 10.669873, 31.160254, 20), 101.6, "ppi", level="warning"),),
            {"P": Picture(40, 20)},
        ),
        picture("degenerate-pixel", "A single pixel drawn large is a plain colour", 1, 1),
        ContentCase(
            COARSE,
            "degenerate-blend",
            "A row of pixels drawn high is a blend: only along it do its pixels count",
            placed("P", 10, 10, 10, 15),
            (),
            {"P": Picture(80, 1)},
        ),
        ContentCase(
            COARSE,
            "near-pass-clipped",
            "A coarse image that is clipped away, and one off the page",
            f"q 50 30 2 2 re W n {placed('P', 10, 10, 10, 5)} Q {placed('P', 70, 10, 10, 5)}",
            (),
            {"P": Picture(10, 5)},
            judged_by=(COARSE, "reading"),
        ),
    )


def stray_cases() -> tuple[ContentCase, ...]:
    """Things off the page, with and without a bleed box."""
    beside = "0.9 0.4 0.1 0.2 k 62 10 6 6 re f"
    away = (found(STRAY, (62, 10, 68, 16), 2, level="warning"),)
    page = {"CropBox": (0.0, 0.0, 60.0, 40.0), "MediaBox": (-10.0, -10.0, 70.0, 50.0)}
    return (
        ContentCase(
            STRAY, "fail-crop-box", "Art inside the media box, off the crop box", beside, away, boxes=page
        ),
        ContentCase(
            STRAY,
            "pass-bleed-box",
            "Art off the crop box, inside the bleed box",
            beside,
            boxes={**page, "BleedBox": (-3.0, -3.0, 63.0, 43.0), "TrimBox": (0.0, 0.0, 60.0, 40.0)},
        ),
        ContentCase(
            STRAY,
            "near-fail-bleed-box",
            "Art that lies 0.03 mm off the bleed box",
            beside,
            (found(STRAY, (62, 10, 68, 16), 0.03, level="warning"),),
            boxes={**page, "BleedBox": (-2.0, -2.0, 61.97, 42.0), "TrimBox": (0.0, 0.0, 60.0, 40.0)},
        ),
        ContentCase(
            STRAY,
            "fail-nothing",
            "A fill at no opacity",
            "/Nothing gs 0 g 10 10 6 6 re f",
            (found(STRAY, (10, 10, 16, 16), level="note"),),
        ),
    )


def small_cases() -> tuple[ContentCase, ...]:
    """Small type, dark on light and light on dark."""

    def small(name: str, title: str, content: str, *sizes: float) -> ContentCase:
        """Three letters from x 14 mm on the line at y 20 mm."""
        findings = tuple(
            found(
                SMALL,
                (14, 20 - 0.7 * size * POINT, 14 + 1.5 * size * POINT, 20 + 0.2 * size * POINT),
                size,
                "pt",
                level="warning",
            )
            for size in sizes
        )
        return ContentCase(SMALL, name, title, content, findings, judged_by=(SMALL, "reading"))

    sea, pale = "1 0.6 0 0.3 k 10 10 40 20 re f", "0 0 0.1 0 k 10 10 40 20 re f"
    white, knocked = "0 0 0 0 k", "/Half gs"
    return (
        small("fail-black", "Black type of 4 pt", lettering("Tea", 4, 14, 20), 4),
        small(
            "fail-white",
            "CMYK white type of 6 pt on four inks",
            f"{sea} {lettering('Tea', 6, 14, 20, setting=white)}",
            6,
        ),
        small(
            "fail-see-through",
            "White type of 6 pt on black at half strength",
            f"q {knocked} 0 g 10 10 40 20 re f Q {lettering('Tea', 6, 14, 20, setting=white)}",
            6,
        ),
        small(
            "pass-scaled",
            "Type of 3 pt drawn at twice its size",
            f"q 2 0 0 2 0 0 cm {lettering('Tea', 3, 7, 10)} Q",
        ),
        small(
            "near-fail-scaled",
            "Type of 9.9 pt drawn at half its size",
            f"q 0.5 0 0 0.5 0 0 cm {lettering('Tea', 9.9, 28, 40)} Q",
            4.95,
        ),
        small(
            "pass-covered",
            "White type of 6 pt on a yellow tint that covers four inks",
            f"{sea} {pale} {lettering('Tea', 6, 14, 20, setting=white)}",
        ),
    )


def thin_cases() -> tuple[ContentCase, ...]:
    """Thin lines in one ink and in several, dark on light and light on dark."""

    def line(name: str, title: str, paint: str, size: float, *found_sizes: float) -> ContentCase:
        """A line of 20 mm at y 20 mm, its width in points."""
        content = f"{paint} {size * POINT:.6f} w 14 20 m 34 20 l S"
        findings = (found(THIN, (14, 20, 34, 20), one, "pt", level="warning") for one in found_sizes)
        return ContentCase(THIN, name, title, content, tuple(findings), judged_by=(THIN, "reading"))

    one_ink, several = "0 0 0 1 k 10 10 40 20 re f", "1 0.6 0 0.3 k 10 10 40 20 re f"
    black, mixed, white = "0 0 0 1 K", "0.9 0.4 0 0 K", "0 0 0 0 K"
    return (
        line("fail-no-width", "A line of width 0, the thinnest of the device", black, 0, 0),
        line("fail-mixed", "A line of 0.4 pt in cyan and magenta", mixed, 0.4, 0.4),
        line("pass-one-ink", "A line of 0.4 pt in black", black, 0.4),
        line("near-fail-mixed", "A line of 0.48 pt in cyan and magenta", mixed, 0.48, 0.48),
        line("near-pass-mixed", "A line of 0.5 pt in cyan and magenta", mixed, 0.5),
        line("near-fail-one-ink", "A white line of 0.48 pt in black", f"{one_ink} {white}", 0.48, 0.48),
        line("near-pass-one-ink", "A white line of 0.5 pt in black", f"{one_ink} {white}", 0.5),
        line("near-fail-several", "A white line of 0.98 pt in three inks", f"{several} {white}", 0.98, 0.98),
        line("near-pass-several", "A white line of 1 pt in three inks", f"{several} {white}", 1),
        line(
            "fail-squeezed",
            "A line of 2 pt that a matrix squeezes to 0.2 pt",
            f"{black} 1 0 0 0.1 0 18 cm",
            2,
            0.2,
        ),
        line("degenerate-white", "A white line of 0.1 pt on bare film", white, 0.1),
    )


def content_cases() -> tuple[ContentCase, ...]:
    """All of them."""
    return (*live_cases(), *absent_cases(), *coarse_cases(), *stray_cases(), *small_cases(), *thin_cases())
