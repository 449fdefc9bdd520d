"""Tiny sheets about inks that are laid over each other: ``overprint-lost`` and ``step-printed``."""

from __future__ import annotations

from rule_sheets.case import ART, CUT, CUT_BOX, INSIDE, KISS, SEA, TEA, Case, cut, found, kiss_layer
from rule_sheets.tiny_pdf import Layer, Process, Separation, Shape, rectangle

LOST, PRINTED = "overprint-lost", "step-printed"

WHITE = Process((0, 0, 0, 0))
BASE = rectangle(12, 12, 20, 10)
"""Art inside the cut that white and lines are laid over."""
PATCH = rectangle(14, 14, 6, 4)
PATCH_BOX = (14, 14, 20, 18)
MARK = rectangle(20, 14, 3, 3)


def _art(*shapes: Shape) -> Layer:
    return Layer("Print", shapes)


def lost_cases() -> tuple[Case, ...]:
    """White that vanishes, and what knocks out."""
    base = Shape(BASE, fill=SEA)
    over_white = Shape(PATCH, fill=WHITE, over=True, mode=1)
    reaching = Shape(rectangle(35, 15, 10, 6), fill=SEA)
    """Art that the cut's right side runs over for 6 mm."""
    return (
        Case(
            LOST,
            "pass-unprinted-art",
            "A kiss cut that does not overprint, over a drawing that is not printed",
            (Layer("Notes", (reaching,), printed=False), kiss_layer(cut(over=False))),
        ),
        Case(
            LOST,
            "pass-unprinted-cut",
            "A kiss cut that does not overprint, on a layer that is not printed, over art",
            (_art(reaching), kiss_layer(cut(over=False), printed=False)),
            (found("step-hidden", CUT_BOX),),
        ),
        Case(
            LOST,
            "fail-white",
            "CMYK white set to overprint, in overprint mode 1, over process art",
            (_art(base, over_white), kiss_layer()),
            (found(LOST, PATCH_BOX, 6, level="error"),),
        ),
        Case(
            LOST,
            "fail-white-line",
            "A white line 1 mm wide set to overprint runs out of the art",
            (
                _art(base, Shape("26 17 m 36 17 l", stroke=WHITE, width=1, over=True, mode=1)),
                kiss_layer(),
            ),
            (found(LOST, (26, 16.5, 32, 17.5), 6),),
        ),
        Case(
            LOST,
            "fail-white-on-separation",
            "White of RGB set to overprint leaves the separation below as it is",
            (
                _art(Shape(BASE, fill=TEA), Shape(PATCH, fill=Process((1, 1, 1)), over=True)),
                kiss_layer(),
            ),
            (found(LOST, PATCH_BOX, 6),),
        ),
        Case(
            LOST,
            "fail-white-separation",
            "A separation at a tint of 0 set to overprint takes away its own ink only",
            (
                _art(base, Shape(PATCH, fill=Separation(TEA.name, TEA.looks, 0), over=True)),
                kiss_layer(),
            ),
            (found(LOST, PATCH_BOX, 6),),
        ),
        Case(
            LOST,
            "fail-cut",
            "A kiss cut in its own separation that knocks out the art it runs over",
            (_art(reaching), kiss_layer(cut(over=False))),
            (found(LOST, (40, 15, 40, 21), 6, level="warning"),),
        ),
        Case(
            LOST,
            "fail-mark",
            "A registration mark in its own separation that knocks out the art",
            (
                _art(base),
                Layer("Registration marks", (Shape(MARK, fill=Separation("Dock Mark", (0, 0, 0, 1))),)),
                kiss_layer(),
            ),
            (found(LOST, (20, 14, 23, 17), 3, level="warning"),),
        ),
        Case(
            LOST,
            "fail-varnish",
            "Varnish that knocks out the art it is to shine on",
            (
                _art(base),
                Layer("Varnish", (Shape(PATCH, fill=Separation("Varnish", (0, 0, 0.1, 0))),)),
                kiss_layer(),
            ),
            (found(LOST, PATCH_BOX, 6, level="warning"),),
        ),
        Case(
            LOST,
            "pass-white",
            "White that knocks out, and process white that overprints process art in overprint mode 0",
            (
                _art(
                    base,
                    Shape(PATCH, fill=WHITE),
                    Shape(rectangle(24, 14, 4, 4), fill=WHITE, over=True),
                    Shape(rectangle(14, 19, 4, 2), fill=Process((1,)), over=True, mode=1),
                ),
                kiss_layer(),
            ),
        ),
        Case(
            LOST,
            "pass-white-over-white",
            "Overprinting white above white that has knocked the art out already",
            (_art(base, Shape(PATCH, fill=WHITE), over_white), kiss_layer()),
        ),
        Case(
            LOST,
            "pass-cut",
            "A kiss cut in its own separation that overprints the art",
            (_art(reaching), kiss_layer()),
        ),
        Case(
            LOST,
            "near-fail-size",
            "Overprinting white that lies over the art for 1.03 mm",
            (
                _art(base, Shape(rectangle(30.97, 14, 5, 0.5), fill=WHITE, over=True, mode=1)),
                kiss_layer(),
            ),
            (found(LOST, (30.97, 14, 32, 14.5), 1.03),),
        ),
        Case(
            LOST,
            "near-pass-size",
            "Overprinting white that lies over the art for 0.97 mm",
            (
                _art(base, Shape(rectangle(31.03, 14, 5, 0.5), fill=WHITE, over=True, mode=1)),
                kiss_layer(),
            ),
        ),
        Case(
            LOST,
            "near-pass-beside",
            "Overprinting white and a kiss cut without overprint that touch the art and do not lie over it",
            (
                _art(base, Shape(rectangle(32, 12, 5, 5), fill=WHITE, over=True, mode=1)),
                kiss_layer(cut(over=False)),
            ),
        ),
        Case(
            LOST,
            "degenerate-nothing-beneath",
            "Overprinting white before any art, without area, and outside the art",
            (
                _art(
                    over_white,
                    base,
                    Shape(rectangle(14, 14, 6, 0), fill=WHITE, over=True, mode=1),
                    Shape(rectangle(34, 12, 4, 4), fill=WHITE, over=True, mode=1),
                ),
                kiss_layer(),
            ),
        ),
    )


def printed_cases() -> tuple[Case, ...]:
    """Cut lines that print although they are in PDF."""
    other = rectangle(45, 10, 10, 10)
    other_box = (45, 10, 55, 20)
    looks = KISS.looks
    red_art = Layer("Print", (Shape(INSIDE, fill=TEA),))

    def twin(*values: float) -> tuple[Shape | Layer, ...]:
        return ART, kiss_layer(), Layer("Extra", (Shape(other, stroke=Process(values)),))

    return (
        Case(
            PRINTED,
            "pass-unprinted-twin",
            "A contour in the colour of the kiss cut on a layer that is not printed leaves no ink",
            (ART, kiss_layer(), Layer("Extra", (Shape(other, stroke=Process(looks)),), printed=False)),
        ),
        Case(
            PRINTED,
            "near-pass-unprinted",
            "A kiss cut in process colour on a layer that is not printed: hidden perhaps, but not printed",
            (red_art, kiss_layer(cut(ink=Process((0, 1, 0, 0))), printed=False)),
            (found("step-hidden", CUT_BOX),),
        ),
        Case(
            PRINTED,
            "fail-metadata",
            "A kiss cut by its layer's metadata, in process colour beside art in a separation",
            (red_art, kiss_layer(cut(ink=Process((0, 1, 0, 0))))),
            (found(PRINTED, CUT_BOX, 0.1),),
        ),
        Case(
            PRINTED,
            "fail-process-twin",
            "A contour in the process values that the separation of the kiss cut looks like",
            twin(*looks),
            (found(PRINTED, other_box, 0.1),),
        ),
        Case(
            PRINTED,
            "fail-every-plate",
            "A kiss cut in the separation All prints on every plate",
            (ART, kiss_layer(cut(ink=Separation("All", (0, 0, 0, 1))))),
            (found(PRINTED, CUT_BOX, 0.1),),
        ),
        Case(
            PRINTED,
            "pass-separation",
            "A kiss cut in its own separation beside art in another",
            (red_art, kiss_layer()),
        ),
        Case(
            PRINTED,
            "pass-layer-alone",
            "A kiss cut in process colour where the page has no separation: the shop names cuts by layer",
            (ART, Layer("Kiss cut", (Shape(CUT, stroke=Process((0, 1, 0, 0))),))),
        ),
        Case(
            PRINTED,
            "near-fail-process-twin",
            "Process values within rounding of what the separation looks like",
            twin(looks[0], looks[1] + 0.001, looks[2], looks[3]),
            (found(PRINTED, other_box, 0.1),),
        ),
        Case(
            PRINTED,
            "near-pass-process-twin",
            "Process values one step of 255 off what the separation looks like",
            twin(looks[0], looks[1] + 0.004, looks[2], looks[3]),
        ),
        Case(
            PRINTED,
            "near-pass-other-inks",
            "Black of four inks looks like the black of the kiss cut's separation and is no twin of it",
            (
                ART,
                kiss_layer(cut(ink=Separation("Kiss Cut", (0, 0, 0, 1)))),
                Layer("Extra", (Shape(other, stroke=Process((1, 1, 1, 1))),)),
            ),
        ),
        Case(
            PRINTED,
            "degenerate-black-plate",
            "A kiss cut in the separation of the black plate, and no other on the page",
            (ART, Layer("Kiss cut", (cut(ink=Separation("Black", (0, 0, 0, 1))),))),
        ),
    )
