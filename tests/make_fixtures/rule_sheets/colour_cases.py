"""Tiny sheets about colours as they print: ``ink-heavy``, ``colour-space`` and, of separations, ``colour-conflict`` and ``colour-gamut``."""

from __future__ import annotations

from rule_sheets.case import SEA, Case, found, kiss_layer
from rule_sheets.content_sheet import ContentCase, Picture, kiss_cut, placed
from rule_sheets.tiny_pdf import Layer, Process, Separation, Shape, rectangle

INK, SPACE, CONFLICT = "ink-heavy", "colour-space", "colour-conflict"
JUDGED = ("colours", "reading")

FIELD = rectangle(12, 12, 20, 10)
FIELD_BOX = (12, 12, 32, 22)
PATCH = rectangle(20, 12, 12, 10)
"""The right of the field, 120 mm²."""
PATCH_BOX = (20, 12, 32, 22)

DEEP = Process((0.7, 0.6, 0.6, 0.9))
"""280 %."""
RUST = Separation("Rust Red", (0, 0.8, 1, 0))
"""A named colour for which 180 % of process inks stand in."""


def _sheet(
    rule: str, name: str, title: str, *shapes: Shape, findings: tuple[dict[str, object], ...] = ()
) -> Case:
    return Case(rule, name, title, (Layer("Print", shapes), kiss_layer()), findings, JUDGED)


def _heavy(box: tuple[float, ...], total: float) -> tuple[dict[str, object], ...]:
    return (found(INK, box, total, "%", level="warning"),)


def ink_cases() -> tuple[Case, ...]:
    """Totals by themselves, and by overprint and opacity."""
    over_green = Process((0.6, 0, 0.5, 0.1))
    """120 %: with the named colour on it 300 %."""
    return (
        _sheet(
            INK,
            "pass-knocked-out",
            "280 % painted over 280 %: the upper knocks out the lower",
            Shape(FIELD, fill=DEEP),
            Shape(PATCH, fill=DEEP),
        ),
        _sheet(
            INK,
            "pass-covered",
            "A field of 400 % covered by a light one",
            Shape(PATCH, fill=Process((1, 1, 1, 1))),
            Shape(FIELD, fill=SEA),
        ),
        _sheet(
            INK,
            "fail-four-inks",
            "A field of all four inks in full",
            Shape(FIELD, fill=Process((1, 1, 1, 1))),
            findings=_heavy(FIELD_BOX, 400),
        ),
        _sheet(
            INK,
            "fail-overprint",
            "A named colour, 180 % of process inks, overprints 160 % on the right of a field",
            Shape(FIELD, fill=SEA),
            Shape(PATCH, fill=RUST, over=True),
            findings=_heavy(PATCH_BOX, 340),
        ),
        _sheet(
            INK,
            "fail-see-through",
            "Half of 380 % over half of 280 % that shows through: 330 %",
            Shape(FIELD, fill=DEEP),
            Shape(PATCH, fill=Process((1, 1, 0.9, 0.9)), opacity=0.5),
            findings=_heavy(PATCH_BOX, 330),
        ),
        _sheet(
            INK,
            "near-pass-limit",
            "A field of exactly 300 %",
            Shape(FIELD, fill=Process((0.8, 0.7, 0.6, 0.9))),
        ),
        _sheet(
            INK,
            "near-fail-limit",
            "A field of 301 %",
            Shape(FIELD, fill=Process((0.8, 0.7, 0.61, 0.9))),
            findings=_heavy(FIELD_BOX, 301),
        ),
        _sheet(
            INK,
            "near-pass-overprint",
            "A named colour of 180 % overprints 120 %",
            Shape(FIELD, fill=over_green),
            Shape(PATCH, fill=RUST, over=True),
        ),
        _sheet(
            INK,
            "near-fail-overprint",
            "A named colour of 180 % overprints 121 %",
            Shape(FIELD, fill=Process((0.6, 0, 0.5, 0.11))),
            Shape(PATCH, fill=RUST, over=True),
            findings=_heavy(PATCH_BOX, 301),
        ),
        _sheet(
            INK,
            "near-pass-area",
            "400 % over 99 mm²",
            Shape(rectangle(12, 12, 11, 9), fill=Process((1, 1, 1, 1))),
        ),
        _sheet(
            INK,
            "near-fail-area",
            "400 % over 100 mm²",
            Shape(rectangle(12, 12, 10, 10), fill=Process((1, 1, 1, 1))),
            findings=_heavy((12, 12, 22, 22), 400),
        ),
        _sheet(
            INK,
            "degenerate-screen",
            "Black of a screen: the printer's software separates it",
            Shape(FIELD, fill=Process((0, 0, 0))),
        ),
    )


def _picture(
    name: str,
    title: str,
    content: str,
    *inks: tuple[str, int],
    rows: int = 10,
    **findings: tuple[dict[str, object], ...],
) -> ContentCase:
    """A sheet with the picture ``P``, a pixel to the millimetre where it is placed so."""
    pictures = {"P": Picture(sum(times for _, times in inks), rows, inks=inks)}
    return ContentCase(
        INK,
        name,
        title,
        f"{content} {kiss_cut(8, 8, 40, 24)}",
        pictures=pictures,
        judged_by=JUDGED,
        **findings,  # type: ignore[arg-type]
    )


def image_ink_cases() -> tuple[ContentCase, ...]:
    """Images by their pixels. Shares of 255: bf 75 %, c0 75.3 %, 80 50.2 %."""
    field = placed("P", 12, 12, 20, 10)
    black = "ffffffff"
    return (
        _picture("near-pass-image", "An image of 299.6 %", field, ("bfbfbfbf", 20)),
        _picture(
            "near-fail-image",
            "An image of 301.2 %",
            field,
            ("c0c0c0c0", 20),
            findings=_heavy(FIELD_BOX, 100 * 4 * 0xC0 / 255),
        ),
        _picture(
            "fail-image-in-part",
            "An image of all inks in full on its right, of half of them on its left",
            field,
            ("80808080", 10),
            (black, 10),
            findings=_heavy((22, 12, 32, 22), 400),
        ),
        _picture(
            "near-pass-image-area",
            "An image of 400 %, 99 mm² of it",
            placed("P", 12, 12, 11, 9),
            (black, 11),
            rows=9,
        ),
        _picture(
            "near-fail-image-area",
            "An image of 400 %, 100 mm² of it",
            placed("P", 12, 12, 10, 10),
            (black, 10),
            findings=_heavy((12, 12, 22, 22), 400),
        ),
        _picture(
            "pass-image-covered",
            "An image of 400 % under a light field",
            f"{field} 0.9 0.4 0.1 0.2 k 12 12 20 10 re f",
            (black, 20),
        ),
        _picture(
            "pass-under-image",
            "400 % under an image of 40 %",
            f"1 1 1 1 k 12 12 20 10 re f {field}",
            ("1a1a1a1a", 20),
        ),
        _picture(
            "degenerate-image-see-through",
            "An image of 400 % at half strength, of which the rule says that it was not checked",
            f"/Half gs {field}",
            (black, 20),
        ),
    )


def space_cases() -> tuple[Case, ...]:
    """The folder's profile accepts CMYK and named colours only."""
    return (
        _sheet(
            SPACE,
            "pass-cmyk",
            "CMYK and a named colour, as the job accepts",
            Shape(FIELD, fill=SEA),
            Shape(PATCH, fill=RUST),
        ),
        _sheet(
            SPACE,
            "fail-grey",
            "A field in grey",
            Shape(FIELD, fill=Process((0.5,))),
            findings=(found(SPACE, FIELD_BOX, level="warning"),),
        ),
        _sheet(
            SPACE,
            "near-fail-stroke",
            "A CMYK field with a border in RGB",
            Shape(FIELD, fill=SEA, stroke=Process((1, 0, 0)), width=1),
            findings=(found(SPACE, FIELD_BOX),),
        ),
        Case(
            SPACE,
            "near-pass-cut",
            "The cut line alone is in RGB: it does not print",
            (
                Layer("Print", (Shape(FIELD, fill=SEA),)),
                kiss_layer(Shape(rectangle(10, 10, 30, 20), stroke=Process((1, 0, 0)))),
            ),
            (),
            ("colour-space", "reading"),
        ),
        _sheet(
            SPACE,
            "degenerate-named",
            "A named colour that looks RGB on screen is a named colour",
            Shape(FIELD, fill=Separation("Tea Rose", (1, 0.6, 0.6))),
        ),
    )


def conflict_cases() -> tuple[Case, ...]:
    """Two separations of one name."""
    return (
        _sheet(
            CONFLICT,
            "fail-separations",
            "One separation with two stand-ins, grey of L* 50 and of L* 60 to the eye",
            Shape(FIELD, fill=Separation("Slate", (0.466, 0.466, 0.466))),
            Shape(PATCH, fill=Separation("Slate", (0.569, 0.569, 0.569))),
            # Greys differ in lightness alone: ΔE00 = ΔL*/S_L, S_L of the mean L* 55 (CIE 142-2001); L* of the greys by IEC 61966-2-1.
            findings=(found(CONFLICT, FIELD_BOX, _grey_difference(0.466, 0.569), "ΔE00", level="warning"),),
        ),
    )


def _grey_difference(first: float, second: float) -> float:
    one, other = (116 * ((value + 0.055) / 1.055) ** (2.4 / 3) - 16 for value in (first, second))
    off = ((one + other) / 2 - 50) ** 2
    return (other - one) / (1 + 0.015 * off / (20 + off) ** 0.5)


GAMUT = "colour-gamut"
PINK, GREEN, LAMP = (1, 0.2, 0.5), (0, 1, 0.2), (0, 0.6, 0.3)
"""What stands in on the screen for the named colours below; the last is in the folder's library, with measured tints."""


def _out_of_reach(
    box: tuple[float, ...], value: float, level: str = "warning"
) -> tuple[dict[str, object], ...]:
    return (found(GAMUT, box, value, "ΔE00", level=level),)


def gamut_cases() -> tuple[Case, ...]:
    """Tints of separations. Values: an exhaustive search over grids of ever finer steps, as said in the folder's profile."""
    left, right = FIELD, PATCH
    return (
        _sheet(
            GAMUT,
            "pass-tint",
            "A pink that is perhaps out of reach in full, printed at 30 % only",
            Shape(left, fill=Separation("Tide Pink", PINK, 0.3)),
        ),
        _sheet(
            GAMUT,
            "near-pass-tint",
            "The same pink at 80 %, just within the tolerance of 3",
            Shape(left, fill=Separation("Tide Pink", PINK, 0.8)),
        ),
        _sheet(
            GAMUT,
            "near-fail-tint",
            "The same pink at 85 %, just beyond the tolerance, which is uncertain",
            Shape(left, fill=Separation("Tide Pink", PINK, 0.85)),
            findings=_out_of_reach(FIELD_BOX, 3.064, "note"),
        ),
        _sheet(
            GAMUT,
            "fail-tint",
            "A green printed at 30 % and 40 %: the worse tint is told, on the right",
            Shape(left, fill=Separation("Lantern Green", GREEN, 0.3)),
            Shape(right, fill=Separation("Lantern Green", GREEN, 0.4)),
            findings=_out_of_reach(PATCH_BOX, 11.948),
        ),
        _sheet(
            GAMUT,
            "pass-measured-tint",
            "Half of a measured ink, which is within reach; assumed from its full tint it would not be",
            Shape(left, fill=Separation("Lamp Green", LAMP, 0.5)),
        ),
        _sheet(
            GAMUT,
            "fail-assumed-tint",
            "60 % of a library's ink that was measured in full only: far enough out to be sure of it",
            Shape(left, fill=Separation("Glow Green", LAMP, 0.6)),
            findings=_out_of_reach(FIELD_BOX, 10.137),
        ),
        _sheet(
            GAMUT,
            "degenerate-no-tint",
            "A separation at a tint of 0 lays down no ink",
            Shape(left, fill=Separation("Lantern Green", GREEN, 0.0)),
        ),
    )
