"""Tiny sheets about registration marks in PDF: the separation All, the trim box, inks and their contrast."""

from __future__ import annotations

from rule_sheets.case import SEA, Case, cut, found, kiss_layer
from rule_sheets.tiny_pdf import Layer, Process, Separation, Shape, circle, rectangle

CROWDED, SIZE, FAINT, MISSING, SKEWED = (
    "mark-crowded",
    "mark-size",
    "marks-faint",
    "marks-missing",
    "marks-skewed",
)

EVERY = Separation("All", (0, 0, 0, 1))
BLACK = Process((0, 0, 0, 1))
PLACES = ((5, 5), (55, 5), (55, 35), (5, 35))
"""Centres of the marks, in their order round the page."""
TRIM = (12, 10, 48, 30)
"""A trim box with a slug around it that marks stand in."""

ART = Layer("Print", (Shape(rectangle(15, 13, 30, 14), fill=SEA),))
CUT = kiss_layer(cut(rectangle(17, 15, 26, 10)))


def _dots(
    *places: tuple[float, float], ink: Process | Separation = BLACK, radius: float = 2
) -> tuple[Shape, ...]:
    return tuple(Shape(circle(x, y, radius), fill=ink) for x, y in places or PLACES)


def _target(x: float, y: float) -> Shape:
    """A ring with a cross in it, as drawing programs print beside a page."""
    return Shape(
        f"{circle(x, y, 1)} {x - 1.8:g} {y:g} m {x + 1.8:g} {y:g} l {x:g} {y - 1.8:g} m {x:g} {y + 1.8:g} l",
        stroke=EVERY,
        width=0.1,
    )


def _crop_marks(ink: Process | Separation) -> tuple[Shape, ...]:
    """Two lines at each corner of the trim box, 2 mm from it and 4 mm long."""
    x0, y0, x1, y1 = TRIM
    lines = []
    for x, out in ((x0, -1), (x1, 1)):
        for y, away in ((y0, -1), (y1, 1)):
            lines.append(f"{x + 2 * out:g} {y:g} m {x + 6 * out:g} {y:g} l")
            lines.append(f"{x:g} {y + 2 * away:g} m {x:g} {y + 6 * away:g} l")
    return tuple(Shape(line, stroke=ink, width=0.1) for line in lines)


def _case(
    rule: str,
    name: str,
    title: str,
    marks: tuple[Shape | Layer, ...],
    *findings: dict[str, object],
    art: Layer = ART,
    trim: bool = False,
) -> Case:
    items = (art, CUT, *marks)
    return Case(rule, name, title, items, findings, judged_by=("marks",), trim=TRIM if trim else None)


def crowded_cases() -> tuple[Case, ...]:
    """What stands too near a mark, and what is no mark a cutter reads."""
    near = Layer("Print", (*ART.items, Shape(rectangle(10, 4, 8, 2), fill=SEA)))
    bled = Layer("Print", (Shape(rectangle(9, 7, 42, 26), fill=SEA),))
    return (
        _case(CROWDED, "fail-every-plate", "Art 3 mm from a dot in the separation All", _dots(ink=EVERY), found(CROWDED, (7, 5, 10, 5), 3, level="error"), art=near),
        _case(CROWDED, "fail-overprint", "White set to overprint does not take away the art beside a dot", _dots(), found(CROWDED, (7, 5, 10, 5), 3),
              art=Layer("Print", (*near.items, Shape(rectangle(9, 2, 12, 6), fill=Process((0, 0, 0, 0)), over=True, mode=1)))),
        _case(CROWDED, "pass-crop-marks", "Art that bleeds past the trim box towards crop marks and targets in the separation All",
              (*_crop_marks(EVERY), *(_target(x, y) for x, y in ((30, 3.5), (30, 36.5), (3, 20), (57, 20)))), art=bled, trim=True),
        _case(CROWDED, "pass-crop-marks-black", "The same crop marks in black, known by their place outside the trim box", _crop_marks(BLACK), art=bled, trim=True),
        _case(CROWDED, "near-fail-every-plate", "Art 4.97 mm from a dot in the separation All", _dots(ink=EVERY), found(CROWDED, (7, 5, 11.97, 5), 4.97),
              art=Layer("Print", (*ART.items, Shape(rectangle(11.97, 4, 8, 2), fill=SEA)))),
        _case(CROWDED, "near-pass-every-plate", "Art 5.03 mm from a dot in the separation All", _dots(ink=EVERY),
              art=Layer("Print", (*ART.items, Shape(rectangle(12.03, 4, 8, 2), fill=SEA)))),
    )  # fmt: skip


def missing_cases() -> tuple[Case, ...]:
    """How many marks there are."""
    fourth = found(MISSING, (3, 33, 7, 37), 3, "marks", points_mm=[[5, 35]])
    return (
        _case(MISSING, "fail-every-plate", "Three dots in the separation All", _dots(*PLACES[:3], ink=EVERY), fourth),
        _case(MISSING, "fail-trim", "Three dots outside the trim box", _dots(*PLACES[:3]), fourth, trim=True),
        _case(MISSING, "pass-trim", "Four dots outside the trim box", _dots(), trim=True),
        _case(MISSING, "pass-in-piece", "A word's dot in the separation All inside a piece is no mark", (Shape(circle(30, 20, 1), fill=EVERY),)),
        _case(MISSING, "pass-targets", "Targets in the middle of the sides: the printer's, who reads them by eye",
              tuple(_target(x, y) for x, y in ((30, 3.5), (30, 36.5), (3, 20), (57, 20)))),
    )  # fmt: skip


def skewed_cases() -> tuple[Case, ...]:
    """Where the marks stand."""
    moved = ((5, 5), (55, 5), (55.4, 35.3), (5, 35))
    return (
        _case(SKEWED, "fail-every-plate", "One of four targets in the separation All is 0.5 mm off", tuple(_target(x, y) for x, y in moved),
              found(SKEWED, (55, 35, 55.4, 35.3), 0.5, level="error", points_mm=[[55.4, 35.3], [55, 35]])),
        _case(SKEWED, "pass-every-plate", "Four targets in the separation All", tuple(_target(x, y) for x, y in PLACES)),
    )  # fmt: skip


def faint_cases() -> tuple[Case, ...]:
    """How dark the marks print. CMYK of FOGRA39: paper L* 95, yellow 89, cyan 55, magenta 48, black 16."""
    box = (5, 5, 55, 35)

    def marks(name: str, title: str, ink: Process | Separation, contrast: float | None = None) -> Case:
        told = () if contrast is None else (found(FAINT, box, contrast, "L*", level="warning"),)
        return _case(FAINT, name, title, (Layer("Registration marks", _dots(ink=ink)),), *told)

    return (
        marks("fail-yellow", "Yellow marks", Process((0, 0, 1, 0)), 6),
        marks("fail-cyan", "Cyan marks", Process((1, 0, 0, 0)), 40),
        marks(
            "fail-named",
            "Marks in a named colour that looks like magenta",
            Separation("Harbour Rose", (0, 1, 0, 0)),
            47,
        ),
        marks("fail-tint", "Marks in black at a tint of half", Process((0, 0, 0, 0.5)), 34.031),
        marks("pass-black", "Black marks", BLACK),
        marks("pass-every-plate", "Marks in the separation All", EVERY),
        marks(
            "near-fail-black",
            "Black at 70 %, which is 49.9 darker than paper",
            Process((0, 0, 0, 0.7)),
            49.902,
        ),
        marks("near-pass-black", "Black at 71 %", Process((0, 0, 0, 0.71))),
        marks("degenerate-blank", "Marks in black at a tint of nothing", Process((0, 0, 0, 0)), 0),
    )


def size_cases() -> tuple[Case, ...]:
    """How large the marks are; the profile asks for 5 mm."""
    return (
        _case(SIZE, "fail-every-plate", "A dot of 4 mm among dots of 5 mm in the separation All", (*_dots(*PLACES[:3], ink=EVERY, radius=2.5), *_dots(PLACES[3], ink=EVERY)),
              found(SIZE, (3, 33, 7, 37), 4)),
        _case(SIZE, "pass-every-plate", "Dots of 5 mm in the separation All", _dots(ink=EVERY, radius=2.5)),
    )  # fmt: skip


def mark_cases() -> tuple[Case, ...]:
    """All of them."""
    return (*crowded_cases(), *missing_cases(), *skewed_cases(), *faint_cases(), *size_cases())
